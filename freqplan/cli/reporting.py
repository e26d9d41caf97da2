"""report: everything about one set on one page, to be printed and filed with it."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

import click

from freqplan.cli import options
from freqplan.cli.output import check_output, deliver, keep_inputs
from freqplan.errors import FreqplanError, shortened

if TYPE_CHECKING:
    from freqplan.evidence import Evidence
    from freqplan.readings import Readings


@click.command()
@click.argument("plan", metavar="PLAN")
@click.option(
    "-o",
    "--output",
    metavar="FILE",
    required=True,
    help="File to write, whole or not at all; - writes to standard output.",
)
@options.stations
@click.option("--evidence", metavar="TOML", help="What was observed: adds the diagnosis.")
@click.option(
    "--readings", metavar="CSV", help="What the dial reads and what plays there: adds what that tells."
)
@click.option("--reading-error", metavar="F", help='How well the dial is read, such as "0.2 MHz".')
@options.conversion
@options.orders
@options.region
@click.option("--date", metavar="DAY", help="Day on the page, such as 2026-11-26 (default: today).")
@click.option(
    "--limit", type=click.IntRange(min=1), metavar="N", help="Most rows of the check list (default: 20)."
)
@click.option("--no-charts", is_flag=True, help="Leave out the charts.")
def report(
    plan: str, output: str, stations: str | None, evidence: str | None, readings: str | None, orders: str | None,
    oscillator: str | None, intermediate: str | None, region: str | None, date: str | None, limit: int | None,
    no_charts: bool, reading_error: str | None,
) -> None:  # fmt: skip
    """Everything about one set on one page of HTML: to print, to file with the set, to read on a screen.

    Check list with boxes to tick, charts, tables, side against side, mechanisms and assumptions; with --evidence the
    diagnosis, with --readings what the dial tells. PLAN may be - for standard input.
    """
    from freqplan.card import DEFAULT_LIMIT
    from freqplan.reports.writing import report as answer

    options.one_reader(plan, evidence, readings, stations)
    check_output(output)
    keep_inputs(output, plan, stations, evidence, readings)
    day = _read_date(date)
    error_hz = options.read_hertz(reading_error, "--reading-error")
    receiver = options.read_plan(
        plan, orders=orders, oscillator=oscillator, intermediate=intermediate, region=region
    )
    given = {
        "--oscillator": oscillator,
        "--intermediate": intermediate,
        "--orders": orders,
        "--region": region,
    }
    text = answer(
        receiver, options.read_stations(stations), evidence=_read_evidence(evidence),
        readings=_read_readings(readings), reading_error_hz=error_hz, limit=limit or DEFAULT_LIMIT, date=day,
        charts=not no_charts,
        plan_source=plan, changed={option: value for option, value in given.items() if value is not None},
    )  # fmt: skip
    deliver(text, output, utf8=True)


def _read_evidence(source: str | None) -> Evidence | None:
    if source is None:
        return None
    from freqplan.evidencefile import load_evidence

    return load_evidence(source)


def _read_readings(source: str | None) -> Readings | None:
    if source is None:
        return None
    from freqplan.readings import load_readings

    given = load_readings(source)
    options.tell_remarks(given.source, given.remarks)
    return given


def _read_date(text: str | None) -> datetime.date | None:
    if text is None:
        return None
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise FreqplanError(f"--date {shortened(text)!r}: not a day; write for example 2026-11-26") from None
