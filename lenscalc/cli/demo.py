"""`lenscalc demo`: the demo data, copied out."""

from __future__ import annotations

from pathlib import Path

import click

from lenscalc.cli.options import json_option
from lenscalc.cli.show import show_json
from lenscalc.demo import demo_files
from lenscalc.errors import FileError
from lenscalc.own_file import write_whole


@click.command()
@click.argument("folder", default=".")
@click.option("--force", is_flag=True, help="Write over files of the same name.")
@json_option
def demo(folder: str, force: bool, as_json: bool) -> None:
    """Copy the demo data into FOLDER: three reading sheets, a day's readings, a table of six candidates and a series of water checks, all
    invented, and one sheet of published readings.

    \b
    Example:
      lenscalc demo trial && lenscalc follow trial/copolymer_e.toml
    """
    target = Path(folder)
    if target.is_file():
        raise FileError(f"{folder}: is a file; name a folder")
    names = [f.name for f in demo_files()]
    there = [name for name in names if (target / name).exists()]
    if there and not force:
        raise FileError(f"{target / there[0]} is there already; choose another folder, or --force to write over it")
    try:
        target.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(f"{folder}: {error.strerror or error}") from None
    for file in demo_files():
        write_whole(target / file.name, file.read_text(encoding="utf-8"))
    if as_json:
        show_json({"folder": str(target), "files": names}, [])
        return
    for name in names:
        click.echo(target / name)
