"""Which two carriers are listened to: at an offset that is given, or as tuning moves them in the IF of a plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from freqplan.baseband import Glide
from freqplan.birdies import birdies
from freqplan.errors import ModelRangeError
from freqplan.hertz import quoted, whole_hertz
from freqplan.mechanisms import catalogue
from freqplan.mechanisms.one_signal import SELF_MIXING
from freqplan.mechanisms.own_if import IF_HARMONIC
from freqplan.mixing import Tuning, tunings
from freqplan.plan_reading import hertz_text
from freqplan.responses import responses

if TYPE_CHECKING:
    from freqplan.plan import Plan

FARTHEST_HZ = 300_000
"""Beyond this nothing gives a tone; the envelope is sampled finely enough for it."""

USUAL_TUNING_HZ = 3_000
NUMBERS = ("k", "m", "n", "e")
MOST_NAMED = 12


@dataclass(frozen=True)
class Case:
    """What is in the IF, and why.

    Attributes
    ----------
    told : str
        The case in a sentence.
    wanted, intruder : Glide
        Where the two carriers are.
    copies : int
        How many times over the intruder carries the modulation of the wanted carrier, of which it is made.
    """

    told: str
    wanted: Glide
    intruder: Glide
    copies: int = 0

    @property
    def start_hz(self) -> int:
        """Distance of the two at the beginning [Hz]."""
        return abs(self.intruder.start_hz - self.wanted.start_hz)

    @property
    def end_hz(self) -> int:
        """Distance of the two at the end [Hz]."""
        return abs(self.intruder.end_hz - self.wanted.end_hz)


def given_case(offset_hz: int, to_hz: int | None = None) -> Case:
    """Return an intruder at an offset, or moving from one to another; the set stands on the wanted carrier.

    Raises
    ------
    ModelRangeError
        An offset is no whole number of hertz, or too far away.
    """
    start = _offset(offset_hz, "offset")
    end = start if to_hz is None else _offset(to_hz, "offset at the end")
    where = f"stands {hertz_text(start)} from it"
    if end != start:
        where = f"moves from {hertz_text(start)} to {hertz_text(end)} from it"
    told = f"The set stands on the wanted carrier; the intruder {where}."
    return Case(told, Glide(0, 0), Glide(start, end))


def _offset(value: int, what: str) -> int:
    offset = abs(whole_hertz(value, what))
    if offset > FARTHEST_HZ:
        raise ModelRangeError(f"{what} {hertz_text(offset)}: give at most {hertz_text(FARTHEST_HZ)}")
    return offset


def tuned_case(
    plan: Plan, mechanism: str, tuning_hz: int = USUAL_TUNING_HZ, numbers: Mapping[str, int | None] | None = None
) -> Case:  # fmt: skip
    """Return what moves in the IF while the dial passes over the exact zero beat of a response or birdie.

    Parameters
    ----------
    plan : Plan
        Its engine says how both carriers move.
    mechanism : str
        Id of the catalogue, such as ``"image"``.
    tuning_hz : int [Hz]
        How far the dial is moved to either side.
    numbers : mapping, optional
        k, m, n or e that the row must have; those left out or None do not matter.

    Raises
    ------
    ModelRangeError
        No such row, or several that sound different, or one whose pitch tuning does not move; or it would go too far.
    """
    tuning_hz = whole_hertz(tuning_hz, "tuning")
    row = _one_row(
        plan, mechanism, {name: value for name, value in (numbers or {}).items() if value is not None}
    )
    if not row["beat_rate"]:
        raise ModelRangeError(
            f"{mechanism}: tuning does not move its pitch, for both carriers move alike; give an offset"
        )
    if not 0 < tuning_hz <= FARTHEST_HZ // (row["beat_rate"] + 1):
        most = hertz_text(FARTHEST_HZ // (row["beat_rate"] + 1))
        raise ModelRangeError(f"tuning {hertz_text(tuning_hz)}: give more than 0 and at most {most}")
    wanted, intruder, copies = _slopes(row, {one.side: one for one in tunings(plan)}[row["oscillator"]])
    told = (
        f"{catalogue()[mechanism].title} ({_numbers(row)}), oscillator {row['oscillator']}: the dial goes from "
        f"{hertz_text(tuning_hz)} below zero beat to {hertz_text(tuning_hz)} above it; the beat moves "
        f"{row['beat_rate']} kHz per kHz of tuning."
    )
    glides = [Glide(-slope * tuning_hz, slope * tuning_hz) for slope in (wanted, intruder)]
    return Case(told[0].upper() + told[1:], glides[0], glides[1], copies)


def _slopes(row: Mapping[str, Any], tuning: Tuning) -> tuple[int, int, int]:
    """Return how far wanted and intruder move in the IF per unit of the dial, and how often one is in the other.

    A harmonic of the IF is k times the wanted signal in the IF and comes in again as a signal from outside does, so
    that it moves there k times as far as that, turned over where the set turns signals over.
    """
    wanted = tuning.sigma * tuning.wanted_slope
    turned = -tuning.wanted[2]
    if row["mechanism"] == IF_HARMONIC.id:
        copies = turned * row["k"]
        return wanted, wanted + copies * wanted, copies
    intruder = wanted * row["tuning_slope"]
    own = row["mechanism"] == SELF_MIXING.id
    return wanted, intruder, -row["e"] * row["m"] * turned if own else 0


def _rows(plan: Plan) -> Iterator[dict[str, Any]]:
    sides = tunings(plan)
    for table in (responses(plan, sides), birdies(plan, sides)):
        yield from (row for row in table.rows() if row["beat_rate"] is not None)


def _one_row(plan: Plan, mechanism: str, asked: Mapping[str, int]) -> dict[str, Any]:
    rows = list(_rows(plan))
    named = [row for row in rows if row["mechanism"] == mechanism]
    if not named:
        there = ", ".join(dict.fromkeys(row["mechanism"] for row in rows))
        raise ModelRangeError(f"mechanism {quoted(mechanism)} is not on this dial; there are: {there}")
    fitting = [row for row in named if all(row.get(name) == value for name, value in asked.items())]
    if not fitting:
        wrong = ", ".join(f"{name} {value}" for name, value in asked.items())
        raise ModelRangeError(f"{mechanism} with {wrong} is not on this dial; there are: {_choices(named)}")
    if len({(row["beat_rate"], row["tuning_slope"]) for row in fitting}) > 1:
        differ = [name for name in NUMBERS if len({row.get(name) for row in fitting}) > 1]
        by = ", ".join(differ or ["the oscillator side"])
        raise ModelRangeError(f"{mechanism}: say which, by {by}; there are: {_choices(fitting)}")
    return fitting[0]


def _choices(rows: list[dict[str, Any]]) -> str:
    several = len({row["oscillator"] for row in rows}) > 1
    texts = [
        f"{_numbers(row)}{' oscillator ' + row['oscillator'] if several else ''} (moves {row['beat_rate']} kHz per kHz)"
        for row in rows
    ]
    named = list(dict.fromkeys(texts))
    left = len(named) - MOST_NAMED
    return "; ".join(named[:MOST_NAMED]) + (f"; and {left} more" if left > 0 else "")


def _numbers(row: Mapping[str, Any]) -> str:
    return " ".join(f"{name} {row[name]}" for name in NUMBERS if row.get(name) is not None)
