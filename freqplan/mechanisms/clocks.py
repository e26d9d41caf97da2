"""Steady oscillators inside the set, received like signals: clocks, and the oscillators of later conversions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from freqplan.chains import Later, chains, narrowest_behind_hz
from freqplan.errors import ModelRangeError
from freqplan.findings import text_column
from freqplan.hertz import Int64
from freqplan.landing import spread
from freqplan.mechanisms.kinds import Family, Mechanism, Sums, joined
from freqplan.mechanisms.own_if import OPEN_SET
from freqplan.mixing import Combinations, Patterns, Tuning

if TYPE_CHECKING:
    from freqplan.plan import Plan

MOST_HARMONIC = 5000
"""Harmonics of one clock are followed up to this: a 32.768 kHz crystal to 163 MHz, farther than any is heard."""

MOST_SPOTS = 300_000
"""More spots of clocks than this are refused: nobody reads them, and they would fill the memory."""

DIAL, IMAGE, IF, OTHER = "dial", "image", "if", "other"

INTERNAL_CLOCK = Mechanism(
    id="internal-clock",
    title="harmonic of a clock in the set",
    formula="e*(n*fL - m*fC) = fI",
    fingerprint=(
        "The noise goes quiet at one fixed place of the dial, or everywhere if it falls on an IF, and a station there "
        "whistles; with the aerial out it stays. On the dial itself a whistle keeps its pitch while tuning, on the "
        "image it moves 2 kHz per kHz."
    ),
    check="Aerial out: it stays. Warm that crystal, or stop it where the set can do without: the spot moves or goes.",
    test=(
        "Pull out the aerial: the quiet stays. Warm the crystal or stop the clock: the spot moves, m times as far as "
        "the crystal where it is on the dial, or goes."
    ),
    cure=(
        "Screen the clock and choke its supply and leads; another crystal, a few kilohertz away, moves the m-th "
        "harmonic off the station."
    ),
    caution=OPEN_SET,
    source="the m-th harmonic of the clock received as a signal: e(n fL - m fC) = fI, exact",
)


@dataclass(frozen=True)
class Tone:
    """Something in the set that oscillates and does not tune.

    Attributes
    ----------
    name : str
        How it is called.
    hertz : int
        Its frequency.
    times_first_if : int
        How many times it holds the first IF, on whose tolerance it then depends.
    times_later_ifs : tuple of int
        How many times it holds each IF from the second on; the rest of its frequency is exact.
    """

    name: str
    hertz: int
    times_first_if: int = 0
    times_later_ifs: tuple[int, ...] = ()

    @classmethod
    def of_oscillator(cls, later: Later, conversions: int) -> Tone:
        """Return the oscillator of a later conversion, of so many conversions."""
        times = [0] * conversions
        times[later.number - 2], times[later.number - 1] = later.own_ifs
        return cls(f"oscillator {later.name}", later.oscillator_hz, times[0], tuple(times[1:]))

    def slack_hz(self, plan: Plan) -> int:
        """Return how far it may lie from its frequency for the tolerance of later IFs [Hz]."""
        later = zip(self.times_later_ifs, plan.conversion[1:], strict=False)
        return sum(abs(times) * conversion.tolerance_hz for times, conversion in later)


def later_tones(plan: Plan) -> tuple[Tone, ...]:
    """Return the oscillators of the later conversions, each once."""
    found = (Tone.of_oscillator(later, len(plan.conversion)) for chain in chains(plan) for later in chain)
    return tuple(dict.fromkeys(found))


def harmonics(plan: Plan, tuning: Tuning) -> Sums:
    """Return every harmonic of a clock that is received somewhere on the dial, and those on an IF.

    Clocks are followed through every response of a signal up to the plan's order of the oscillator; oscillators of
    later conversions through the wanted response and the image.

    Raises
    ------
    ModelRangeError
        More than `MOST_SPOTS`.
    """
    tones = [(Tone(one.name, one.frequency_hz), None) for one in plan.clock]
    parts: list[Sums] = []
    for tone, most_n in [*tones, *((tone, 1) for tone in later_tones(plan))]:
        parts += _of(plan, tuning, tone, most_n)
        if sum(map(len, parts)) > MOST_SPOTS:
            raise ModelRangeError(
                f"more than {MOST_SPOTS} spots of clocks: lower the order of the oscillator, or take only the clocks "
                "that matter"
            )
    return joined(parts, tuning.intermediate_hz)


def _of(plan: Plan, tuning: Tuning, tone: Tone, most_n: int | None) -> Iterator[Sums]:
    yield _received(plan, tuning, tone, _patterns(plan.orders.oscillator if most_n is None else most_n))
    for number in range(1, len(plan.conversion) + 1):
        yield _on_an_if(plan, tuning, tone, number)


def _patterns(oscillator: int) -> Patterns:
    """Return every (1, n, e) in which the oscillator takes part."""
    n, e = np.meshgrid(np.arange(-oscillator, oscillator + 1), np.array([1, -1]), indexing="ij")
    some = Patterns(np.ones(n.size, dtype=np.int64), n.ravel().astype(np.int64), e.ravel().astype(np.int64))
    return some.take(some.n != 0)


def _received(plan: Plan, tuning: Tuning, tone: Tone, some: Patterns) -> Sums:
    """Return the harmonics that a response meets somewhere on the dial, or close to it: the table cuts exactly."""
    tolerance, sums = plan.conversion[0].tolerance_hz, Combinations.of_patterns(tuning, some)
    ends = np.stack([sums.signal(hertz).num for hertz in (plan.band.low_hz, plan.band.high_hz)])
    margin = np.abs(sums.b) * tolerance
    slack = abs(tone.times_first_if) * tolerance + tone.slack_hz(plan)
    first = -((margin - ends.min(axis=0)) // (tone.hertz + slack))
    last = (ends.max(axis=0) + margin) // max(tone.hertz - slack, 1)
    rows, p = _counted(first, last)
    n, e = some.n[rows], some.e[rows]
    combinations = Combinations(
        a=sums.a[rows],
        b=sums.b[rows] - e * p * tone.times_first_if,
        c=np.zeros_like(p),
        intermediate_hz=tuning.intermediate_hz,
        fixed_hz=-e * p * (tone.hertz - tone.times_first_if * tuning.intermediate_hz),
        slack_hz=p * tone.slack_hz(plan),
    )
    wanted = (n == tuning.wanted[1]) & (e == tuning.wanted[2])
    places = np.where(wanted, DIAL, np.where((n == 1) & ~(wanted | _backwards(tuning, e)), IMAGE, OTHER))
    slope = e * n * tuning.wanted_slope
    return _named(combinations, tuning, tone, m=p, n=n, e=e, slope=slope, lands_on=places.astype(object))


def _backwards(tuning: Tuning, e: Int64) -> np.ndarray:
    """Return where a pattern with n = 1 is no image: in a sum converter that with e = +1 meets no positive signal."""
    other: np.ndarray = (e == 1) & (tuning.side == "sum")
    return other


def _on_an_if(plan: Plan, tuning: Tuning, tone: Tone, number: int) -> Sums:
    """Return the harmonics inside the filters that follow mixer `number`: heard all over the dial."""
    target = plan.conversion[number - 1].intermediate_hz
    width = narrowest_behind_hz(plan, number)
    first = -((width - 2 * target) // (2 * tone.hertz))
    _, p = _counted(np.array([first]), np.array([(2 * target + width) // (2 * tone.hertz)]))
    zeros = np.zeros_like(p)
    combinations = Combinations(zeros, zeros, zeros, tuning.intermediate_hz, p * tone.hertz - target)
    where = IF if number == 1 else f"{IF}-{number}"
    return _named(
        combinations, tuning, tone, m=p, n=zeros, e=zeros - 1, slope=zeros, lands_on=np.full(len(p), where, object)
    )  # fmt: skip


def _counted(first: Int64, last: Int64) -> tuple[Int64, Int64]:
    """Return, row by row, the whole numbers from `first` to `last` (k,) that are harmonics."""
    start = np.maximum(first, 1)
    rows, steps = spread(np.maximum(np.minimum(last, MOST_HARMONIC) - start + 1, 0))
    return rows, start[rows] + steps


def _named(
    combinations: Combinations, tuning: Tuning, tone: Tone, *, m: Int64, n: Int64, e: Int64, slope: Int64,
    lands_on: np.ndarray,
) -> Sums:  # fmt: skip
    count = len(m)
    columns = {
        "mechanism": np.full(count, INTERNAL_CLOCK.id, object),
        "oscillator": np.full(count, tuning.side, object),
        "m": m,
        "n": n,
        "e": e,
        "name": np.full(count, tone.name, object),
        "sources_hz": text_column([(tone.hertz,)] * count),
        "lands_on": lands_on,
        "tuning_slope": slope,
        "beat_rate": np.abs(slope - 1),
        "level_law": np.zeros(count, dtype=np.int64),
    }
    return Sums(combinations, columns, 2 + np.abs(n))


def cut_short(plan: Plan, sides: Sequence[Tuning]) -> tuple[str, ...]:
    """Return the names of the clocks whose harmonics might reach farther than they are followed."""
    ends = [abs(side.oscillator_hz(hz)) for side in sides for hz in (plan.band.low_hz, plan.band.high_hz)]
    highest = plan.orders.oscillator * max(ends) + plan.conversion[0].intermediate_hz
    return tuple(one.name for one in plan.clock if one.frequency_hz * MOST_HARMONIC < highest)


FAMILY = Family(mechanisms=(INTERNAL_CLOCK,), birdies=harmonics)
