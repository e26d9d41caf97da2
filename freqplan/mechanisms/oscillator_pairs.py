"""Products of two oscillators of the set: spots of the dial that later conversions bring with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations as pairs_of
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.chains import Chain, chains, narrowest_behind_hz, sides_told
from freqplan.findings import text_column
from freqplan.hertz import Int64
from freqplan.mechanisms.clocks import DIAL, IF, IMAGE, Tone
from freqplan.mechanisms.kinds import Family, Mechanism, Sums, joined
from freqplan.mechanisms.own_if import OPEN_SET
from freqplan.mixing import Combinations, Tuning

if TYPE_CHECKING:
    from freqplan.plan import Plan

OSCILLATOR_PRODUCT = Mechanism(
    id="oscillator-product",
    title="product of two oscillators",
    formula="n*fL + q*fL2 = fS",
    fingerprint=(
        "The noise goes quiet at one fixed place of the dial and a station there whistles; with the aerial out it "
        "stays. Several, ever weaker, stand along the dial. What falls on the dial setting falls on the IF with one n "
        "less or more: it is the same spot."
    ),
    check="Aerial out: it stays. Warm the crystal of the later oscillator: the spot moves.",
    test="Pull out the aerial: it stays. Shift the later oscillator a little: the spot moves.",
    cure=(
        "Screen the oscillators from each other and from the mixers; filter the supply they share; less drive; a later "
        "oscillator on the other side."
    ),
    caution=OPEN_SET,
    source="harmonics n and q of two oscillators meet on the dial setting or on an IF: n fL + q fL2 = fS, exact",
)


@dataclass(frozen=True)
class _Source:
    """An oscillator as coefficients: of the dial, of each IF, and a fixed part [Hz]."""

    number: int
    name: str
    dial: int
    ifs: Int64
    fixed_hz: int
    hertz: int | None
    """None where it tunes."""


@dataclass(frozen=True)
class _Landed:
    """Products n of one oscillator and q of another, (k,) each, as offsets from one place where they may land."""

    name: str
    lands_on: str
    sources_hz: tuple[int, ...]
    n: Int64
    q: Int64
    dial: Int64
    ifs: Int64
    """(k, IFs)"""
    fixed_hz: Int64
    turn: int
    """-1 where the later conversions up to there have turned the signal over."""
    width_hz: int
    """Of the narrowest filter that follows."""
    referred: Int64
    """(k, oscillators): how often each is taken when all is referred to the first IF."""

    @property
    def order(self) -> Int64:
        """Order of the products; (k,)."""
        order: Int64 = np.abs(self.n) + np.abs(self.q)
        return order

    @property
    def is_new(self) -> npt.NDArray[np.bool_]:
        """Return which are no harmonic of one oscillator alone; (k,).

        Referred to the first IF such a one holds the first oscillator only, which is `oscillator-in-if`, or a later one
        and the first at most once, which is that harmonic on the IF, the dial setting or the image: `internal-clock`.
        """
        later = np.count_nonzero(self.referred[:, 1:], axis=1)
        alone = (later == 0) | (later == 1) & (np.abs(self.referred[:, 0]) <= 1)
        new: npt.NDArray[np.bool_] = ~alone
        return new


def products(plan: Plan, tuning: Tuning) -> Sums:
    """Return the products of two oscillators that fall on the dial setting or an IF somewhere on the dial.

    Each physical spot once, by its lowest orders: what falls on the dial setting falls on every IF with other n and q.
    """
    parts: dict[tuple[str, str], Sums] = {}
    if len(plan.conversion) > 1:
        for chain in chains(plan):
            pairs = pairs_of(_sources(plan, tuning, chain), 2)
            landed = [one for pair in pairs for one in _landings(plan, tuning, chain, *pair)]
            for one, keep in zip(landed, _lowest_of_each(landed), strict=True):
                parts.setdefault((one.name, one.lands_on), _sums(plan, tuning, one, keep))
    return joined(list(parts.values()), tuning.intermediate_hz)


def _sources(plan: Plan, tuning: Tuning, chain: Chain) -> list[_Source]:
    count = len(plan.conversion)
    found = [_Source(1, "1", tuning.sigma, tuning.t * _unit(count, 1), 0, None)]
    for later in chain:
        tone = Tone.of_oscillator(later, count)
        ifs = np.array([tone.times_first_if, *tone.times_later_ifs], dtype=np.int64)
        found.append(_Source(later.number, later.name, 0, ifs, later.fixed_hz or 0, tone.hertz))
    return found


def _unit(count: int, number: int) -> Int64:
    """Return one of the IF or oscillator `number`, nothing of the others; (count,)."""
    unit: Int64 = np.eye(count, dtype=np.int64)[number - 1]
    return unit


def _landings(plan: Plan, tuning: Tuning, chain: Chain, one: _Source, other: _Source) -> Iterator[_Landed]:
    most, count = plan.orders.oscillator, len(plan.conversion)
    steps = np.array([*range(-most, 0), *range(1, most + 1)], dtype=np.int64)
    n, q = (part.ravel() for part in np.meshgrid(steps, steps, indexing="ij"))
    dial = n * one.dial  # the other is a later one, which does not tune
    ifs = n[:, None] * one.ifs + q[:, None] * other.ifs
    fixed = n * one.fixed_hz + q * other.fixed_hz
    taken = n[:, None] * _unit(count, one.number) + q[:, None] * _unit(count, other.number)
    name = f"oscillators {one.name} and {other.name}"
    sources = tuple(source.hertz for source in (one, other) if source.hertz is not None)
    width, first = narrowest_behind_hz(plan, 1), _unit(count, 1)
    _, own_n, own_e = tuning.wanted
    # Received like a signal, e (n fL - F) = fI; where the first oscillator takes part, the image is no other spot.
    received = [(DIAL, own_n, own_e), *([(IMAGE, 1, -own_n * own_e)] if one.number > 1 else [])]
    for where, by_n, e in received:
        yield _Landed(
            name, where, sources, n, q, e * (by_n * tuning.sigma - dial),
            e * (by_n * tuning.t * first - ifs) - first, -e * fixed, 1, width, e * (by_n * first - taken),
        )  # fmt: skip
    for number in range(1, count + 1):
        referred, turn = taken, 1
        for later in reversed(chain[: number - 1]):
            referred = later.beta * referred + later.alpha * _unit(count, later.number)
            turn *= later.beta
        yield _Landed(
            name + sides_told(chain[: number - 1]), IF if number == 1 else f"{IF}-{number}", sources, n, q, dial,
            ifs - _unit(count, number), fixed, turn, narrowest_behind_hz(plan, number), referred,
        )  # fmt: skip


def _lowest_of_each(landed: Sequence[_Landed]) -> list[npt.NDArray[np.bool_]]:
    """Return, for each part, which of its products are named: of the same spot the one of lowest order."""
    referred = np.concatenate([one.referred for one in landed])
    order = np.concatenate([one.order for one in landed])
    sequence = np.argsort(order, kind="stable")
    _, first = np.unique(referred[sequence], axis=0, return_index=True)
    named = np.zeros(len(order), dtype=bool)
    named[sequence[first]] = True
    ends = np.cumsum([len(one.n) for one in landed])[:-1]
    return [keep & one.is_new for keep, one in zip(np.split(named, ends), landed, strict=True)]


def _sums(plan: Plan, tuning: Tuning, one: _Landed, keep: npt.NDArray[np.bool_]) -> Sums:
    count, (_, own_n, own_e) = len(one.n), tuning.wanted
    later_ifs = np.array([each.intermediate_hz for each in plan.conversion[1:]], dtype=np.int64)
    tolerances = np.array([each.tolerance_hz for each in plan.conversion[1:]], dtype=np.int64)
    slope = one.dial * own_e * own_n * tuning.sigma * one.turn
    columns = {
        "mechanism": np.full(count, OSCILLATOR_PRODUCT.id, object),
        "oscillator": np.full(count, tuning.side, object),
        "n": one.n,
        "q": one.q,
        "name": np.full(count, one.name, object),
        "sources_hz": text_column([one.sources_hz] * count),
        "lands_on": np.full(count, one.lands_on, object),
        "tuning_slope": slope,
        "beat_rate": np.abs(slope - 1),
        "level_law": np.zeros(count, dtype=np.int64),
    }
    some = Combinations(
        a=one.dial,
        b=one.ifs[:, 0],
        c=np.zeros(count, dtype=np.int64),
        intermediate_hz=tuning.intermediate_hz,
        fixed_hz=one.fixed_hz + one.ifs[:, 1:] @ later_ifs,
        slack_hz=np.abs(one.ifs[:, 1:]) @ tolerances,
    )
    # What tuning does not move must lie inside every filter that follows; the rest is cut to the dial by the table.
    return Sums(some, columns, one.order).take(keep & ((one.dial != 0) | some.everywhere(one.width_hz)))


FAMILY = Family(mechanisms=(OSCILLATOR_PRODUCT,), birdies=products)
