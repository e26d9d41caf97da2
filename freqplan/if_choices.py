"""Which IFs keep which responses out of the band: exact ranges, and what stands in the way where none is left."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar

from freqplan.arguments import checked
from freqplan.card import DEFAULT_LIMIT
from freqplan.errors import ModelRangeError, shortened
from freqplan.findings import Findings
from freqplan.hertz import HIGHEST_HZ, quoted, whole_hertz
from freqplan.if_edges import InBand, Room, in_band, rooms
from freqplan.if_tables import clear_table, edge_table, obstacle_table, range_table
from freqplan.mechanisms import one_signal, own_if
from freqplan.mechanisms.own_if import IF_HARMONIC
from freqplan.mixing import Tuning
from freqplan.plan_reading import hertz_text
from freqplan.range_remarks import about_ranges
from freqplan.results import Result
from freqplan.services import cautions_for, services_in
from freqplan.words import span

if TYPE_CHECKING:
    from freqplan.plan import Plan

SIDES, UNKNOWN = ("high", "low", "sum"), "unknown"
KEPT_OUT = ("image", "half-if", "if-harmonic")
"""What a receiver is usually planned to be free of, if it can be."""

EVERY = "all"
MECHANISMS = (
    *(one.id for one in one_signal.FAMILY.mechanisms if one is not one_signal.SELF_MIXING),
    own_if.IF_HARMONIC.id,
)
"""What can be kept out: everything whose place depends on dial, IF and the signal alone."""

MOST_NAMES = 300_000
"""Names of responses that the ranges hold at most, all together; of more only the number is given."""


@dataclass(frozen=True)
class IfRanges(Result):
    """Ranges of the IF and what is in the band there; each table is computed when it is first asked for.

    Attributes
    ----------
    low_hz, high_hz : int [Hz]
        The IFs asked for.
    keep_out : tuple of str
        Mechanisms that are to stay out of the band.
    rooms : tuple of Room
        The oscillator sides and, of each, the IFs that are possible.
    """

    command: ClassVar[str] = "if-ranges"
    table_names: ClassVar[tuple[str, ...]] = ("clear", "obstacles", "edges", "ranges")
    overview: ClassVar[Mapping[str, int]] = MappingProxyType(
        {"edges": DEFAULT_LIMIT, "ranges": DEFAULT_LIMIT}
    )

    low_hz: int = field(kw_only=True)
    high_hz: int = field(kw_only=True)
    keep_out: tuple[str, ...] = field(kw_only=True)
    rooms: tuple[Room, ...] = field(kw_only=True)

    @property
    def sides(self) -> tuple[Tuning, ...]:
        """Return the sides that are answered for."""
        return tuple(Tuning(room.side, self.plan.conversion[0].intermediate_hz) for room in self.rooms)

    @cached_property
    def _in_band(self) -> tuple[InBand, ...]:
        return tuple(in_band(self.plan, room) for room in self.rooms)

    @cached_property
    def clear(self) -> Findings:
        """Ranges of the IF in which nothing that is to be kept out falls into the band."""
        return clear_table(self._in_band, self.keep_out)

    @cached_property
    def obstacles(self) -> Findings:
        """What stands in the way: how much each mechanism forbids, and what would be clear without it."""
        return obstacle_table(self._in_band, self.keep_out)

    @cached_property
    def edges(self) -> Findings:
        """For each response the IFs, as far as asked for, at which it is in the band; lowest order first."""
        return edge_table(self._in_band)

    @cached_property
    def ranges(self) -> Findings:
        """Ranges of the IF over which the same responses are in the band, without gaps, on each side."""
        return range_table(self._in_band, named=self._can_be_named)

    @cached_property
    def _names_needed(self) -> int:
        return sum(int(each.counts().sum()) for each in self._in_band)

    @property
    def _can_be_named(self) -> bool:
        return self._names_needed <= MOST_NAMES

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return what was asked for."""
        return {"from_hz": self.low_hz, "to_hz": self.high_hz, "keep_out": list(self.keep_out)}

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return what was asked, and for each side what is clear, or what forbids most."""
        rounding, band = self.plan.rounding, self.plan.band
        asked = f"IF from {hertz_text(self.low_hz)} to {hertz_text(self.high_hz)}"
        tuned = f"{span(band.low_hz, band.high_hz, rounding)} {rounding.unit} {band.modulation.upper()}"
        followed = f" up to number {self.plan.orders.if_harmonic}" if IF_HARMONIC.id in self.keep_out else ""
        kept_out = f"kept out of the band: {', '.join(self.keep_out)}{followed}"
        return (f"{tuned}, {asked}, {kept_out}", *(self._verdict(each) for each in self._in_band))

    def _verdict(self, each: InBand) -> str:
        rounding, side = self.plan.rounding, each.room.side
        low, high = (ends.exact() for ends in each.clear(each.named(self.keep_out)))
        found = [(stop - start, start, stop) for start, stop in zip(low, high, strict=True) if start and stop]
        if found:
            _, start, stop = max(found)
            more = f", the widest of {len(found)} ranges" if len(found) > 1 else ""
            clear = f"{rounding.inward(start, up=True)}-{rounding.inward(stop, up=False)}"
            return f"Oscillator {side}: clear are {clear} {rounding.unit}{more}"
        worst = next(row for row in self.obstacles.rows() if row["oscillator"] == side)
        return (
            f"Oscillator {side}: no IF is clear; {worst['mechanism']} forbids most, "
            f"{rounding.fine(worst['forbids_hz'])} of {rounding.fine(each.room.width_hz)} {rounding.unit}"
        )

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return the defaults in force and the limits of the answer."""
        return tuple(self._assumptions())

    def _assumptions(self) -> Iterator[str]:
        yield from about_ranges(self.plan, self.rooms, self.keep_out)
        if not self._can_be_named:
            yield (
                f"The ranges would hold {self._names_needed:,} names of responses, more than {MOST_NAMES:,}: only how "
                "many there are is given. For the names ask for fewer IFs or lower orders, or take the table of edges."
            )

    @property
    def _inside(self) -> tuple[str, ...]:
        """Return what is to be said of IFs inside the tuned band, if any were asked for."""
        band = self.plan.band
        low, high = max(self.low_hz, band.low_hz), min(self.high_hz, band.high_hz)
        if low > high:
            return ()
        return (
            f"IFs from {hertz_text(low)} to {hertz_text(high)} lie inside the tuned band: what is received on the IF "
            "passes the mixer at every dial setting, whatever else is clear",
        )

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return what to mind where an oscillator falls on services on which lives depend."""
        near = [
            service
            for room in self.rooms
            for service in services_in(*_oscillator_reach(self.plan, room), region=self.plan.region)
        ]
        return (*self._inside, *cautions_for(near))


@checked
def if_ranges(
    plan: Plan,
    low_hz: int,
    high_hz: int,
    keep_out: str | Sequence[str] = KEPT_OUT,
    *,
    oscillator: str | None = None,
) -> IfRanges:
    """Tell exactly which IFs keep which responses out of the band.

    Parameters
    ----------
    plan : Plan
        Gives band, orders and oscillator side; its own IF plays no part.
    low_hz, high_hz : int [Hz]
        The IFs to look at.
    keep_out : sequence of str
        Mechanisms that are to stay out of the band, of every order up to the plan's; ``"all"`` for every one.
    oscillator : {"high", "low", "sum", "unknown"}, optional
        Another side than the plan's; unknown is answered for each that is possible.

    Returns
    -------
    IfRanges

    Raises
    ------
    ModelRangeError
        IFs that are no range, a mechanism that cannot be kept out, or a side that is possible at none of the IFs.
    """
    start, stop = (whole_hertz(hertz, "intermediate frequency") for hertz in (low_hz, high_hz))
    if not 0 < start < stop <= HIGHEST_HZ:
        raise ModelRangeError(
            f"no range of IFs from {hertz_text(start)} to {hertz_text(stop)}; give the lower one first, above zero and "
            "up to 300 GHz"
        )
    side = oscillator or plan.conversion[0].oscillator
    found = _possible(plan, side, start, stop)
    return IfRanges(plan, low_hz=start, high_hz=stop, keep_out=_checked(keep_out), rooms=found)


def _possible(plan: Plan, side: str, low_hz: int, high_hz: int) -> tuple[Room, ...]:
    """Return the sides to answer for, with the IFs that are possible.

    Raises
    ------
    ModelRangeError
        There is no such side, or it is possible at none of the IFs.
    """
    if side not in (*SIDES, UNKNOWN):
        raise ModelRangeError(f"oscillator {shortened(side)!r}: write {', '.join(SIDES)} or {UNKNOWN}")
    found = rooms(plan.band, SIDES if side == UNKNOWN else (side,), low_hz, high_hz)
    if not found:
        limit = ("below", plan.band.low_hz) if side == "low" else ("above", plan.band.high_hz)
        raise ModelRangeError(
            f"with the oscillator {side} the IF must lie {limit[0]} {hertz_text(limit[1])}, or the oscillator would "
            f"come down to zero; none from {hertz_text(low_hz)} to {hertz_text(high_hz)} does"
        )
    return found


def _checked(keep_out: str | Sequence[str]) -> tuple[str, ...]:
    """Return the mechanisms to keep out, each once.

    Raises
    ------
    ModelRangeError
        None is given, or some that there are not; all of those are named.
    """
    asked = (keep_out,) if isinstance(keep_out, str) else tuple(dict.fromkeys(keep_out))
    unknown = [name for name in asked if name not in (*MECHANISMS, EVERY)]
    if unknown or not asked:
        told = ", ".join(map(_with_nearest, unknown)) or "nothing"
        raise ModelRangeError(
            f"to keep out {told} is not possible; there are: {', '.join((*MECHANISMS, EVERY))}"
        )
    return MECHANISMS if EVERY in asked else asked


def _with_nearest(name: str) -> str:
    close = difflib.get_close_matches(name[:80].lower(), (*MECHANISMS, EVERY), n=1)
    return quoted(name) + (f' (did you mean "{close[0]}"?)' if close else "")


def _oscillator_reach(plan: Plan, room: Room) -> tuple[int, int]:
    """Return the lowest and highest oscillator frequency over the dial and all the IFs [Hz]."""
    corners = [
        Tuning(room.side, intermediate_hz).oscillator_hz(dial_hz)
        for intermediate_hz in (room.low_hz, room.high_hz)
        for dial_hz in (plan.band.low_hz, plan.band.high_hz)
    ]
    return min(corners), max(corners)
