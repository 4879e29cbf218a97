"""A word for a misspelt command, and for an option that there is not."""

from __future__ import annotations

import click


def told_of_option(error: click.NoSuchOption) -> str:
    """The options that begin with what was written; else click's nearest, or where they are listed."""
    params = error.ctx.command.params if error.ctx else []
    begun = [name for param in params for name in param.opts if name.startswith(error.option_name)]
    near = begun or list(error.possibilities or [])
    hint = f"did you mean {' or '.join(near)}?" if near else f"{error.ctx.command_path if error.ctx else 'lenscalc'} --help lists them"
    return f"no option {error.option_name!r}; {hint}"


class HelpfulGroup(click.Group):
    """As click's, with the nearest command for one that there is not."""

    def resolve_command(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        """The command, or the nearest by name in the message."""
        from difflib import get_close_matches

        names = self.list_commands(ctx)
        if args and args[0] not in names:
            near = get_close_matches(args[0], names, n=1)
            hint = f"; did you mean {near[0]}?" if near else f"; there are {', '.join(names)}"
            raise click.UsageError(f"no command {args[0]!r}{hint}", ctx)
        return super().resolve_command(ctx, args)
