"""The command `lenscalc`: finds the wanted command and imports only that one."""

from __future__ import annotations

import os
import sys
from importlib import import_module

import click

from lenscalc.cli.misspelt import HelpfulGroup, told_of_option
from lenscalc.cli.stopped import end_stopped, heeded
from lenscalc.errors import LenscalcError

COMMANDS = {
    "follow": "one reading sheet, all the way to the decision",
    "index": "one reading sheet, to the index in use",
    "report": "the determination of a sheet or a record as PDF or HTML, to print and to keep",
    "day": "a day's readings of many specimens, to the index of each",
    "power": "power of a lens from its dimensions and index",
    "recut": "the radii that give a wanted power with this index; a ladder of powers",
    "conform": "does a power conform to its label, and how well must the index be known",
    "image": "spherical aberration, best focus and MTF of a lens in a named beam",
    "eye": "what a change of power or index does to the refraction",
    "border": "where a refractometer's border stands, how it moves, how bright the field is",
    "worksheet": "exercises about a lens to print, with blanks, a picture and the answers",
    "polymer": "published polymers, each with its paper; your own beside them",
    "batch": "a file of lenses through the whole chain",
    "rank": "which candidates of a file of results are worth making, and how sure that is",
    "control": "has the instrument or the material moved? a series on a control chart",
    "records": "what the lab keeps: add, find, chart, check, compute again, merge",
    "verify": "the reference cases, with their sources",
    "demo": "copy the demo data into a folder",
    "app": "the pages in a browser, on this machine only",
}


class LazyGroup(HelpfulGroup):
    """A group whose commands are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order of the job."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command of this name."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = getattr(import_module(f"lenscalc.cli.{cmd_name}"), cmd_name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 110})
@click.version_option(package_name="lenscalc")
def lenscalc() -> None:
    """From a refractometer's reading of a lens polymer to the power of the lens, its uncertainty and the decision.

    Start with `lenscalc follow --demo`. Every command takes --json. For materials work, teaching and research; not a medical device; it does
    not choose an implant for a patient.
    """


def main(args: list[str] | None = None) -> None:
    """Run the command line: bad input ends with one line on standard error and exit code 2."""
    if any("\0" in word for word in args or ()):  # the system hands none on, a caller in Python may
        click.echo("lenscalc: an argument holds a zero character, as no number and no name of a file does", err=True)
        sys.exit(2)
    try:
        with heeded():
            code = lenscalc.main(args, prog_name="lenscalc", standalone_mode=False)
            if sys.stdout:  # none where somebody shut it (>&-)
                sys.stdout.flush()
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message())
        sys.exit(0)
    except click.ClickException as error:
        where = error.ctx.command_path if isinstance(error, click.UsageError) and error.ctx else "lenscalc"
        told = told_of_option(error) if isinstance(error, click.NoSuchOption) else error.format_message()
        click.echo(f"{where}: {told}", err=True)
        sys.exit(2)
    except LenscalcError as error:
        click.echo(f"lenscalc: {error}", err=True)
        sys.exit(2)
    except (click.Abort, KeyboardInterrupt) as error:
        end_stopped(error, "what it was to write is there whole, or not at all")
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(1)
    except OSError as error:  # a full disk behind standard output; whoever writes a file says so itself
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # what could not be written is not tried again at the end
        click.echo(f"lenscalc: {error.filename or 'standard output'}: {error.strerror or error}", err=True)
        sys.exit(1)
    sys.exit(code if isinstance(code, int) else 0)
