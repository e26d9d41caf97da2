"""receivers: the sets of one house against each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from freqplan.cli import options
from freqplan.cli.output import keep_inputs
from freqplan.errors import InputError

if TYPE_CHECKING:
    from freqplan.plan import Plan


@click.command()
@options.several
@options.region
@options.stations
def receivers(
    plans: tuple[str, ...], form: str, output: str | None, table: str | None, limit: int | None,
    orders: str | None, region: str | None, stations: str | None,
) -> None:  # fmt: skip
    """Whose oscillator disturbs whom among the sets of one house.

    Each PLAN is a set; two of one kind are the same file given twice. With one PLAN the answer is where another radio
    hears its oscillator. Tables: conflicts, listen_at, mutual, radiation, mechanisms; with --stations also pairs.
    """
    from freqplan.households import check_number
    from freqplan.households import receivers as answer

    options.one_reader(*plans, stations)
    check_number(len(plans))
    keep_inputs(output, *plans, stations)
    house = _read_all(plans, orders, region)
    result = answer(house, options.read_stations(stations))
    options.give(result, form=form, output=output, table=table, limit=limit)


def _read_all(sources: tuple[str, ...], orders: str | None, region: str | None) -> list[Plan]:
    """Load every plan; the faults of all of them are told together, each file's once."""
    read: dict[str, Plan] = {}
    faulty: dict[str, InputError] = {}
    for source in dict.fromkeys(sources):
        try:
            read[source] = options.read_plan(source, orders=orders, region=region)
        except InputError as error:
            faulty[source] = error
    if faulty:
        raise InputError(dict.fromkeys(fault for error in faulty.values() for fault in error.faults))
    return [read[source] for source in sources]
