"""diagnose: from what was heard to the cause."""

from __future__ import annotations

import click

from freqplan.cli import options
from freqplan.cli.output import keep_inputs


@click.command()
@options.common
@click.argument("evidence", metavar="EVIDENCE")
@options.conversion
@options.region
@options.stations
def diagnose(
    plan: str, evidence: str, form: str, output: str | None, table: str | None, limit: int | None, orders: str | None,
    oscillator: str | None, intermediate: str | None, region: str | None, stations: str | None,
) -> None:  # fmt: skip
    """Ranked causes of an observed fault, and the next test that separates them.

    EVIDENCE is a file (TOML) of what was observed; everything in it may be left out, or "unknown". Tables: causes,
    tests, mechanisms.
    """
    from freqplan.diagnoses import diagnose as answer
    from freqplan.evidencefile import load_evidence

    options.one_reader(plan, evidence, stations)
    keep_inputs(output, plan, evidence, stations)
    receiver = options.read_plan(
        plan, orders=orders, oscillator=oscillator, intermediate=intermediate, region=region
    )
    observed = load_evidence(evidence)
    result = answer(receiver, observed, options.read_stations(stations))
    options.give(result, form=form, output=output, table=table, limit=limit)
