"""sweep: which IF, side and number of tuned circuits serves many towns."""

from __future__ import annotations

import re
import sys
import time
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import click

from freqplan.cli import STOPPED, options
from freqplan.cli.output import check_output, keep_inputs
from freqplan.errors import Fault, FreqplanError, StationsError, shortened

if TYPE_CHECKING:
    from freqplan.stations import StationList

BOTH = "both"
STEPS = 20
"""So many lines tell how far it is."""


def _swept(command: Callable[..., None]) -> Callable[..., None]:
    """Add the options that say over what is swept."""
    towns = 'Many towns: a folder with one list each, or one list with a column "town".'
    some = [
        click.option("--from", "low", metavar="F", help='Lowest IF, such as "10.6 MHz".'),
        click.option("--to", "high", metavar="F", help="Highest IF."),
        click.option("--step", metavar="F", help="From one IF to the next."),
        click.option("--intermediate", "intermediates", metavar="F", multiple=True, help="An IF; may be repeated."),
        click.option(
            "--oscillator", type=click.Choice(["high", "low", "sum", BOTH]), default=BOTH,
            help="Side of the oscillator (default: both, high and low).",
        ),
        click.option("--circuits", metavar="LIST", help="Numbers of tuned circuits, such as 2,3,4."),
        click.option("--stations", "lists", metavar="CSV", multiple=True, help="The list of a town; may be repeated."),
        click.option("--towns", metavar="PATH", help=towns),
        click.option("--products", is_flag=True, help="Count sums of several stations too; slow."),
    ]  # fmt: skip
    return _with(command, some)


def _computed(command: Callable[..., None]) -> Callable[..., None]:
    """Add the options that say how it is computed and ranked."""
    some = [
        click.option("--draws", type=click.IntRange(min=1), default=1, metavar="N", help="Sets of each choice."),
        click.option("--seed", type=click.IntRange(min=0), default=0, metavar="S", help="Of the draws."),
        click.option("--tracking", metavar="F", help="How far the front end of a set drawn may stand off."),
        click.option("--goal", type=click.Choice(["quiet"]), help="Rank the choices by their worst town."),
        click.option("--jobs", type=click.IntRange(min=1), default=1, metavar="N", help="Processes (default: 1)."),
        click.option("--progress", is_flag=True, help="Tell how far it is, also where nobody sits at a terminal."),
    ]  # fmt: skip
    return _with(command, some)


def _with(
    command: Callable[..., None], some: Sequence[Callable[..., Callable[..., None]]]
) -> Callable[..., None]:
    for option in reversed(some):
        command = option(command)
    return command


@click.command()
@options.common
@_swept
@options.region
@_computed
@click.pass_context
def sweep(
    context: click.Context, plan: str, form: str, output: str | None, table: str | None, limit: int | None,
    orders: str | None, low: str | None, high: str | None, step: str | None, intermediates: tuple[str, ...],
    oscillator: str, circuits: str | None, lists: tuple[str, ...], towns: str | None, products: bool,
    region: str | None, draws: int, seed: int, tracking: str | None, goal: str | None, jobs: int, progress: bool,
) -> None:  # fmt: skip
    """Which IF, oscillator side and number of tuned circuits serves many towns.

    Every choice is tried in every town, with --draws also as sets leave the bench. Without an IF it is the plan's own.
    Ctrl-C stops it; what is finished is written all the same. Tables: choices, towns, and by name only draws.
    """
    from freqplan.sweeping import Sweep
    from freqplan.sweeping import sweep as answer
    from freqplan.towns import files_of

    Sweep.check_table(table)
    check_output(output)
    if [*lists, towns].count("-") > 1:
        raise click.UsageError("only one station list can come from standard input")
    options.one_reader(plan, "-" if "-" in lists else None)
    options.one_reader(plan, towns, last="--towns")
    keep_inputs(output, plan, *files_of(towns), *lists)
    receiver = options.read_plan(plan, orders=orders, region=region)
    asked = _intermediates(low, high, step, intermediates) or [receiver.conversion[0].intermediate_hz]
    numbers = _numbers(circuits)
    tracking_hz = options.read_hertz(tracking, "--tracking") or 0
    if tracking_hz and draws == 1:
        click.echo(
            "freqplan: --tracking changes nothing: the one set of each choice is the nominal one; give --draws",
            err=True,
        )
    found = _read_towns(lists, towns)
    result = answer(
        receiver, intermediates_hz=asked, towns=found, sides=("high", "low") if oscillator == BOTH else (oscillator,),
        circuits=numbers, draws=draws, seed=seed, tracking_hz=tracking_hz, products=products, goal=goal,
        n_jobs=_jobs(jobs), progress=_teller() if progress or _at_a_terminal() else None,
    )  # fmt: skip
    options.give(result, form=form, output=output, table=table, limit=limit)
    if not result.complete:
        done = result.heading["sets_done"]
        click.echo(f"freqplan: stopped; {done} of {len(result.work)} sets are in the answer", err=True)
        context.exit(STOPPED)


def _intermediates(
    low: str | None, high: str | None, step: str | None, single: tuple[str, ...]
) -> Sequence[int]:
    """Return the IFs asked for [Hz]: those of the range, then the single ones."""
    from freqplan.sweep_checks import MOST_TASKS

    ends = [
        options.read_hertz(text, name) for text, name in ((low, "--from"), (high, "--to"), (step, "--step"))
    ]
    some = [hertz for text in single if (hertz := options.read_hertz(text, "--intermediate")) is not None]
    start, stop, by = ends
    if start is None and stop is None and by is None:
        return some
    if start is None or stop is None or by is None:
        raise click.UsageError("--from, --to and --step belong together: a range of IFs needs all three")
    if not by or stop < start:
        raise FreqplanError(
            f"--from {shortened(low or '')} --to {shortened(high or '')} --step {shortened(step or '')}: no range; "
            'write for example --from "10.6 MHz" --to "10.8 MHz" --step "10 kHz"'
        )
    span = range(start, stop + 1, by)
    if len(span) > MOST_TASKS:
        raise FreqplanError(f"{len(span):,} IFs, more than {MOST_TASKS:,} sets: take a wider --step")
    return [*span, *some]


def _numbers(text: str | None) -> tuple[int | None, ...]:
    if text is None:
        return (None,)
    if not re.fullmatch(r"\s*[0-9]{1,3}(\s*,\s*[0-9]{1,3})*\s*", text, re.ASCII):
        raise FreqplanError(
            f'--circuits "{shortened(text)}": not a list of numbers; write for example "--circuits 2,3,4"'
        )
    return tuple(int(number) for number in text.split(","))


def _read_towns(lists: tuple[str, ...], towns: str | None) -> dict[str, StationList]:
    """Read all lists; the faults of all of them are told together."""
    from freqplan.towns import load_lists, load_towns

    if not lists and towns is None:
        raise click.UsageError("no town: give --stations CSV or --towns PATH")
    found: dict[str, StationList] = {}
    faults: list[Fault] = []
    for source in (lists, towns or ()):
        try:
            more = load_towns(source) if isinstance(source, str) else load_lists(source)
        except StationsError as error:
            faults += error.faults
            continue
        if twice := [name for name in more if name in found]:
            raise FreqplanError(f'two towns are called "{shortened(twice[0])}": rename one of the lists')
        found |= more
    if faults:
        raise StationsError(faults)
    remarks = [f"{one.source}: {text}" for one in found.values() for text in one.remarks]
    options.tell_remarks("towns", tuple(remarks))
    return found


def _jobs(jobs: int) -> int | None:
    """Return how many processes are asked for, and say where there can be but one."""
    from freqplan.batches import has_joblib

    if jobs > 1 and not has_joblib():
        click.echo("freqplan: --jobs needs joblib (extra: parallel); computed by one process", err=True)
    return None if jobs == 1 else jobs


def _at_a_terminal() -> bool:
    return sys.stderr is not None and sys.stderr.isatty()


def _teller() -> Callable[[int, int], None]:
    """Return what says on standard error how far it is, a line each twentieth part."""
    told, started = -1, time.monotonic()

    def tell(done: int, total: int) -> None:
        nonlocal told
        part = STEPS * done // total
        if part > told:
            told = part
            left_s = (time.monotonic() - started) * (total - done) / done
            click.echo(f"freqplan: {done} of {total} sets, about {_time(left_s)} left", err=True)

    return tell


def _time(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"
