"""A group that has a word for a misspelt command."""

from __future__ import annotations

import click


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
