"""What the answer about ranges of the IF rests on, and what it leaves out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from freqplan.if_edges import Room
from freqplan.mechanisms import one_signal, own_if
from freqplan.mixing import Tuning
from freqplan.plan_reading import hertz_text
from freqplan.remarks import about_the_plan

if TYPE_CHECKING:
    from freqplan.plan import Plan


def about_ranges(plan: Plan, rooms: Sequence[Room], keep_out: Sequence[str]) -> Iterator[str]:
    """Yield the defaults in force and the limits of the answer, one sentence each.

    Parameters
    ----------
    plan : Plan
        The receiver.
    rooms : sequence of Room
        The oscillator sides that are answered for, and at which IFs.
    keep_out : sequence of str
        Mechanisms that are to stay out of the band.
    """
    yield from about_the_plan(plan)
    yield "Each IF is taken as exact; that of the plan plays no part."
    yield (
        "Ends belong to both ranges that meet there: with the IF exactly on an edge a response just touches the end of "
        "the band, the dial at an end of it."
    )
    if len(rooms) > 1:
        yield f"Oscillator side not given: answered for {' and '.join(room.side for room in rooms)}."
    for room in rooms:
        if room.open_at_hz in (room.low_hz, room.high_hz):
            where = "below" if room.side == "low" else "above"
            yield (
                f"With the oscillator {room.side} the IF must lie {where} {hertz_text(room.open_at_hz)}, where the "
                "oscillator would come down to zero; that end itself is no possible IF."
            )
    yield "Tables round ends to what is read; low_exact and high_exact hold them as ratios of whole hertz."
    yield from _about_orders(plan, rooms, keep_out)
    if len(plan.conversion) > 1:
        yield "Of several conversions the first is looked at."
    yield "Self-mixing, clocks and sums of stations are not looked at: compare and survey answer for one IF."


def _about_orders(plan: Plan, rooms: Sequence[Room], keep_out: Sequence[str]) -> Iterator[str]:
    most, top_hz = plan.orders.if_harmonic, plan.band.high_hz
    if rooms[0].low_hz * (most + 1) <= top_hz:
        yield (
            f"Harmonics of the IF are followed up to number {most} (if_harmonic in [orders]): higher ones, which reach "
            f"the band with IFs up to {hertz_text(top_hz // (most + 1))}, are not counted."
        )
    tuning = Tuning(rooms[0].side, plan.conversion[0].intermediate_hz)
    sums = (one_signal.responses(plan, tuning), own_if.harmonics(plan, tuning))
    computed = {name for each in sums for name in each.array("mechanism")}
    beyond = [name for name in keep_out if name not in computed]
    if beyond:
        yield f"Beyond the orders asked for, so that it keeps nothing out: {', '.join(beyond)}."
