"""Where the command `lenscalc` begins: Ctrl-C is a sentence from the first moment on, while the libraries are still being read in."""

from __future__ import annotations

import signal
import sys


def begin() -> None:
    """Run the command line of this process, to its end."""
    try:
        from lenscalc.cli.main import main

        main()
    except KeyboardInterrupt:  # before the command ran, or pressed again while it was putting away what it had begun
        sys.stderr.write("lenscalc: stopped\n")
        sys.exit(130)
    finally:
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # all is done: in the interpreter's own end a stop would only be a traceback
