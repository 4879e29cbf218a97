"""`lenscalc app`: the pages."""

from __future__ import annotations

import click


@click.command()
@click.option("--port", type=click.IntRange(1024, 65535), help="Port on this machine; the first free one from 8501 by default.")
@click.option("--json", "as_json", is_flag=True, help="Print the address as JSON before starting.")
def app(port: int | None, as_json: bool) -> None:
    """The pages in a browser, on this machine only; nothing is sent anywhere. Stop with Ctrl-C.

    \b
    Example:
      lenscalc app --port 8600
    """
    from lenscalc.web.start import run

    if as_json:
        from lenscalc.cli.show import show_json

        show_json({"address": f"http://localhost:{port or 8501}"}, [])
    run(port)
