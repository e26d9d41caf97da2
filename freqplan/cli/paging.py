"""page: the local page in a browser."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from freqplan.cli import options

if TYPE_CHECKING:
    from freqplan.page.answers import Measured
    from freqplan.page.state import Bench


@click.command()
@click.argument("plan", metavar="[PLAN]", required=False)
@options.stations
@click.option(
    "--port", type=click.IntRange(1, 65535), metavar="N", help="Where to listen first (default: 8107)."
)
@click.option("--no-browser", is_flag=True, help="Say the address only; open no browser.")
def page(plan: str | None, stations: str | None, port: int | None, no_browser: bool) -> None:
    """Open a page in the browser: numbers in, answers out, all on this machine.

    With PLAN it begins with that set, else with a choice of sets. It listens on this machine alone; a busy port moves
    on to the next. Ctrl-C ends it.
    """
    from freqplan.page.serving import PORT, serve

    if stations is not None and plan is None:
        raise click.UsageError("--stations needs a PLAN: it goes with that set")
    first, measured = _read(plan, stations) if plan is not None else (None, None)
    serve(first, measured, port=port or PORT, browser=not no_browser, tell=_tell)


def _read(plan: str, stations: str | None) -> tuple[Bench, Measured | None]:
    from freqplan.page.beginning import bench_of_files

    options.one_reader(plan, stations)
    return bench_of_files(plan, stations)


def _tell(text: str) -> None:
    click.echo(f"freqplan: {text}", err=True)
