"""dial: what a few readings of the dial say about the oscillator."""

from __future__ import annotations

import click

from freqplan.cli import options
from freqplan.cli.output import keep_inputs


@click.command()
@options.common
@click.argument("readings", metavar="READINGS")
@options.conversion
@click.option("--reading-error", metavar="F", help='How well the dial is read, such as "0.2 MHz".')
def dial(
    plan: str, readings: str, form: str, output: str | None, table: str | None, limit: int | None, orders: str | None,
    oscillator: str | None, intermediate: str | None, reading_error: str | None,
) -> None:  # fmt: skip
    """Tell from a few readings of the dial what is wrong with oscillator, IF or pointer.

    READINGS is a CSV file with the columns reads_mhz and is_mhz (or with _khz): what the dial reads, and the station
    that plays there. Three to six readings, spread over the dial, are enough. PLAN or READINGS may be - for standard
    input. Tables: explanations, readings, received.
    """
    from freqplan.dials import dial as answer
    from freqplan.readings import load_readings

    options.one_reader(plan, readings, last="READINGS")
    keep_inputs(output, plan, readings)
    error_hz = options.read_hertz(reading_error, "--reading-error")
    receiver = options.read_plan(plan, orders=orders, oscillator=oscillator, intermediate=intermediate)
    given = load_readings(readings)
    options.tell_remarks(given.source, given.remarks)
    result = answer(receiver, given, reading_error_hz=error_hz)
    options.give(result, form=form, output=output, table=table, limit=limit)
