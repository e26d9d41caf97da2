"""The options that commands share, and how their values are read."""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from contextlib import AbstractContextManager
from fractions import Fraction
from typing import TYPE_CHECKING

import click

from freqplan.cli.output import deliver
from freqplan.errors import Fault, WeightsError, shortened
from freqplan.terms import TERMS

if TYPE_CHECKING:
    from freqplan.changes import Trial
    from freqplan.plan import Plan
    from freqplan.results import Result
    from freqplan.stations import StationList

FORMATS = ("table", "markdown", "csv", "json", "html", "latex")
MOST_REMARKS, LONGEST_REMARK = 50, 500


def common(command: Callable[..., None]) -> Callable[..., None]:
    """Add the plan and the options of every command that answers from one."""
    return click.argument("plan", metavar="PLAN")(_answering(command))


def several(command: Callable[..., None]) -> Callable[..., None]:
    """Add one or more plans and the same options."""
    return click.argument("plans", metavar="PLAN...", nargs=-1, required=True)(_answering(command))


def _answering(command: Callable[..., None]) -> Callable[..., None]:
    options = [
        click.option(
            "--format",
            "form",
            type=click.Choice(FORMATS),
            default="table",
            help="Form of the answer (default: table).",
        ),
        click.option("-o", "--output", metavar="FILE", help="Write to a file, whole or not at all."),
        click.option("--table", metavar="NAME", help="Only this table; csv takes the first by default."),
        click.option(
            "--limit", type=click.IntRange(min=1), metavar="N", help="Most rows of a table (card: 20)."
        ),
        explain,
        orders,
    ]
    for option in reversed(options):
        command = option(command)
    return command


def conversion(command: Callable[..., None]) -> Callable[..., None]:
    """Add the options that put another oscillator side or IF in place of the plan's."""
    command = click.option("--intermediate", metavar="F", help='Another IF, such as "10.67 MHz".')(command)
    return oscillator(command)


def trial(command: Callable[..., None]) -> Callable[..., None]:
    """Add the options that try something between aerial and set."""
    command = click.option(
        "--notch", "notches", multiple=True, metavar="F,DB",
        help='Try a trap, such as "101.2 MHz,30 dB"; may be repeated.',
    )(command)  # fmt: skip
    return click.option("--pad", metavar="DB", help='Try a pad in the aerial lead, such as "10 dB".')(command)


EXPLAIN = "freqplan.explain"
explain = click.option(
    "--explain", metavar="ROW", expose_value=False,
    callback=lambda context, _, row: context.meta.update({EXPLAIN: row}),
    help="Why a row of the table is there: its number, or a mechanism; see --table.",
)  # fmt: skip
"""Handed to `give` by the context, for no command has to know of it."""

orders = click.option("--orders", metavar="M,N", help="Largest order of signal and oscillator.")
oscillator = click.option(
    "--oscillator",
    type=click.Choice(["high", "low", "sum", "unknown"]),
    help="Another side of the oscillator.",
)
all_products = click.option(
    "--all-products", is_flag=True, help="List every sum of stations, also where they are too many to read."
)
region = click.option(
    "--region", type=click.Choice(["1", "2", "3"]), help="Another ITU Region, for who lives where."
)
stations = click.option(
    "--stations", metavar="CSV", help="Who is on the air: a list of names and frequencies."
)
weights = click.option(
    "--weight", "weights", metavar="TERM=NUMBER", multiple=True,
    help="How much a term counts, such as half-if-in-band=2; may be repeated.",
)  # fmt: skip
TERMS_TOLD = "\n".join(
    [
        "\b\nTerms of --weight, each with the share that it counts:",
        *(
            textwrap.fill(f"{term.name:<23}{term.scale}", 76, initial_indent="  ", subsequent_indent=" " * 25)
            for term in TERMS
        ),
    ]
)
"""What stands below the options of a command that takes weights."""


def give(result: Result, *, form: str, output: str | None, table: str | None, limit: int | None) -> None:
    """Write a result where it is wanted, in the form wanted."""
    from freqplan.tables import render

    row = click.get_current_context().meta.get(EXPLAIN)
    if row is not None:
        from freqplan.explanations import explain as why

        result, table = why(result, row, table), None
    deliver(render(result, form, table=table, limit=limit), output, utf8=form != "table")


def one_reader(*sources: str | None, last: str = "--stations") -> None:
    """Refuse to read two things from standard input, before either is read; the `last` one is no plan."""
    *plans, other = sources
    if plans.count("-") > 1:
        raise click.UsageError("only one file can come from standard input")
    if "-" in plans and other == "-":
        raise click.UsageError(f"PLAN and {last} cannot both come from standard input")


def read_plan(
    source: str,
    *,
    orders: str | None,
    oscillator: str | None = None,
    intermediate: str | None = None,
    region: str | None = None,
) -> Plan:
    """Load a plan and put the values of the command line in place of its own."""
    from freqplan.planfile import load_plan

    intermediate_hz, most = read_hertz(intermediate, "--intermediate"), read_orders(orders)
    plan = load_plan(source)
    if (oscillator, intermediate_hz, most, region) == (None, None, None, None):
        return plan
    with faults_by_option():
        return plan.with_changes(
            oscillator=oscillator,
            intermediate_hz=intermediate_hz,
            orders=most,
            region=int(region) if region else None,
        )


def faults_by_option() -> AbstractContextManager[None]:
    """Tell faults of a plan that options of the command line have changed by the names of these."""
    from freqplan.questions import faults_by_name

    options = {"conversion[0].intermediate": "--intermediate", "conversion[0].oscillator": "--oscillator"}
    return faults_by_name(options, "--orders")


def read_stations(source: str | None) -> StationList | None:
    """Load a station list, if one is asked for, and say on standard error what was remarkable in it."""
    from freqplan.stations import load_stations

    if source is None:
        return None
    listed = load_stations(source)
    tell_remarks(listed.source, listed.remarks)
    return listed


def tell_remarks(source: str, remarks: tuple[str, ...]) -> None:
    """Say on standard error what was remarkable in a list."""
    for remark in remarks[:MOST_REMARKS]:
        click.echo(f"freqplan: {source}: {shortened(remark, LONGEST_REMARK)}", err=True)
    if len(remarks) > MOST_REMARKS:
        click.echo(f"freqplan: {source}: and {len(remarks) - MOST_REMARKS} more remarks", err=True)


def read_hertz(text: str | None, option: str) -> int | None:
    """Read a frequency written with its unit."""
    from freqplan import questions

    return None if text is None else questions.read_hertz(text, option)


def read_weights(texts: tuple[str, ...]) -> dict[str, Fraction]:
    """Read how much each term counts; whether there is such a term, and it can be answered, is seen later."""
    from freqplan.questions import is_number

    found: dict[str, Fraction] = {}
    faults = []
    for text in texts:
        name, _, number = (part.strip() for part in text.partition("="))
        if not is_number(number):
            faults.append(
                Fault("not a weight", 'write for example "half-if-in-band=2"', key="--weight", found=text)
            )
        elif name in found:
            faults.append(Fault("the term has a weight already", "give it once", key="--weight", found=text))
        else:
            found[name] = Fraction(number)
    if faults:
        raise WeightsError(faults)
    return found


def read_trial(pad: str | None, notches: tuple[str, ...], stations: str | None) -> Trial:
    """Read what is to be tried between aerial and set; it needs a station list."""
    from freqplan import questions

    if (pad or notches) and stations is None:
        raise click.UsageError(
            "--pad and --notch need --stations: what they change is what these stations do"
        )
    return questions.read_trial(pad, notches, ("--pad", "--notch"))


def read_loss(text: str, option: str) -> float:
    """Read how much something takes off, in dB."""
    from freqplan import questions

    return questions.read_loss(text, option)


def read_decibel(text: str, option: str) -> float:
    """Read a ratio written with its unit."""
    from freqplan import questions

    return questions.read_decibel(text, option)


def read_orders(text: str | None) -> tuple[int, int] | None:
    """Read M,N."""
    from freqplan import questions

    return None if text is None else questions.read_orders(text, "--orders", '"--orders 5,5"')


def read_dial(text: str, plan: Plan) -> int:
    """Read a dial setting, and say on standard error what was assumed to read it."""
    from freqplan import questions

    dialled = questions.read_dial(text, plan)
    if dialled.remark:
        click.echo(f"freqplan: {dialled.remark}", err=True)
    return dialled.dial_hz
