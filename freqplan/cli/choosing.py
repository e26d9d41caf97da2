"""if-ranges: which IF to choose."""

from __future__ import annotations

import click

from freqplan.cli import options
from freqplan.cli.output import keep_inputs


@click.command("if-ranges")
@options.common
@options.region
@click.option("--from", "low", required=True, metavar="F", help='Lowest IF to look at, such as "5 MHz".')
@click.option("--to", "high", required=True, metavar="F", help='Highest IF to look at, such as "30 MHz".')
@click.option(
    "--keep-out", multiple=True, metavar="ID",
    help="A mechanism to keep out of the band, or all; may be repeated (default: image, half-if, if-harmonic).",
)  # fmt: skip
@options.oscillator
def if_ranges(
    plan: str, form: str, output: str | None, table: str | None, limit: int | None, orders: str | None,
    region: str | None, low: str, high: str, keep_out: tuple[str, ...], oscillator: str | None,
) -> None:  # fmt: skip
    """Which IFs keep which responses out of the band, exactly.

    The plan gives band, orders and oscillator side; its own IF plays no part. Tables: clear, obstacles, edges, ranges.
    """
    from freqplan.if_choices import KEPT_OUT
    from freqplan.if_choices import if_ranges as answer

    keep_inputs(output, plan)
    low_hz, high_hz = options.read_hertz(low, "--from"), options.read_hertz(high, "--to")
    assert low_hz is not None
    assert high_hz is not None
    receiver = options.read_plan(plan, orders=orders, region=region)
    result = answer(receiver, low_hz, high_hz, keep_out or KEPT_OUT, oscillator=oscillator)
    options.give(result, form=form, output=output, table=table, limit=limit)
