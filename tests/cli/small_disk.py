"""A disk of a few pages that only a process of its own sees: it is gone with that process, also where the tests are killed."""

import os
import shutil
import subprocess
from contextlib import contextmanager
from pathlib import Path

import pytest

HOLD = 'mount -t tmpfs -o "size=$1k" tmpfs "$2" && echo mounted && exec cat'  # as long as somebody holds the other end of the pipe
INSIDE = 'cd "$1" && shift && exec "$@"'


class SmallDisk:
    """The name of its folder, for what runs on it; and the same place as it is seen from outside, for the test."""

    def __init__(self, folder, holder):
        self.folder, self._holder = folder, str(holder.pid)
        self.seen = Path(f"/proc/{holder.pid}/root{folder}")

    def run(self, command, **how):
        """A process that sees the disk, in the folder where it was called."""
        enter = ["nsenter", "--user", "--mount", "--preserve-credentials", "--target", self._holder, "sh", "-c", INSIDE, "sh", os.getcwd()]
        return subprocess.run([*enter, *map(str, command)], capture_output=True, text=True, timeout=600, **how)

    def fill(self):
        """To the last page: a file can be made, and nothing can be written into it."""
        self.run(["sh", "-c", 'cat /dev/zero >> "$1"', "sh", self.folder / "rest"])

    def remount(self, options):
        self.run(["mount", "-o", f"remount,{options}", self.folder], check=True)


@contextmanager
def small_disk(folder, *, kilobytes):
    folder.mkdir()
    if not (shutil.which("unshare") and shutil.which("nsenter")):
        pytest.skip("no small disk can be made: there is no unshare here")
    command = ["unshare", "--map-root-user", "--mount", "sh", "-c", HOLD, "sh", str(kilobytes), str(folder)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as holder:
        if holder.stdout.readline() != "mounted\n":
            pytest.skip(f"no small disk can be made: {holder.stderr.read().strip()}")
        yield SmallDisk(folder, holder)
        holder.stdin.close()
