"""The one equation, solved on int64 arrays.

Every disturbance is an integer combination of named frequencies that ends on zero::

    a*fT + b*fI + c*fX + fixed = offset        0 when it falls exactly on the IF (or on the dial setting)

with fT the dial setting, fI the intermediate frequency, fX another signal, and a fixed part for what neither
tunes nor changes, such as a harmonic of a crystal.  A product of the m-th harmonic of a signal and the n-th of
the oscillator, e*(n*fL - m*fX) = fI, is such a combination because the oscillator itself is one of dial and
IF: fL = sigma*fT + t*fI.

Sign convention: m >= 1, n any integer, e = +1 or -1 says which way round the difference is taken.

Notes
-----
Overflow cannot happen: frequencies are at most 300 GHz (6e11 Hz for a later oscillator), coefficients of dial and
signal at most 26, of the IF 100, and 5000 for harmonics of later oscillators that a wide tolerance leaves open, which
hold the dial once at most.  So numerators stay below 2e16 and cross products of two ratios below 1e18, int64 ends at
9e18; harmonics of clocks are followed only as far as a product of the oscillator reaches.

References
----------
IEC 60050-161:2016, entry 161-06-06 "spurious frequency": the general relation, here with its sign written out.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, TypeVar

import numpy as np
import numpy.typing as npt

from freqplan.hertz import Int64, Ratios

if TYPE_CHECKING:
    from freqplan.plan import Plan

Hertz = TypeVar("Hertz", int, Fraction)


@dataclass(frozen=True)
class Tuning:
    """How the oscillator follows the dial: fL = sigma*fT + t*fI.

    Attributes
    ----------
    side : str
        ``"high"`` (fL = fT + fI), ``"low"`` (fL = fT - fI) or ``"sum"`` (fL = fI - fT, falling as the dial rises).
    intermediate_hz : int
        The intermediate frequency.
    """

    side: str
    intermediate_hz: int

    @property
    def sigma(self) -> int:
        """+1 where the oscillator rises with the dial, -1 where it falls."""
        return -1 if self.side == "sum" else 1

    @property
    def t(self) -> int:
        """How many times the IF is added to reach the oscillator."""
        return -1 if self.side == "low" else 1

    @property
    def wanted(self) -> tuple[int, int, int]:
        """The (m, n, e) by which the station on the dial setting is received."""
        return {"high": (1, 1, 1), "low": (1, 1, -1), "sum": (1, -1, -1)}[self.side]

    @property
    def wanted_slope(self) -> int:
        """Return w = e*n of the wanted response: which way its IF moves when the oscillator rises."""
        _, n, e = self.wanted
        return e * n

    def oscillator_hz(self, dial_hz: Hertz) -> Hertz:
        """Return the oscillator frequency [Hz] at one dial setting [Hz], whole or as a fraction like it."""
        return self.sigma * dial_hz + self.t * self.intermediate_hz

    def wanted_offset(self, dial_hz: Int64, signal_hz: Int64) -> Int64:
        """Return how far a station received as it should be lies from the middle of the IF [Hz]; shape (k,)."""
        m, n, e = (np.array([part], dtype=np.int64) for part in self.wanted)
        return Combinations.of_patterns(self, Patterns(m, n, e)).offset(dial_hz, signal_hz)


def tunings(plan: Plan) -> tuple[Tuning, ...]:
    """Return one `Tuning` for every oscillator side that `plan` leaves open."""
    return tuple(Tuning(side, plan.conversion[0].intermediate_hz) for side in plan.sides)


@dataclass(frozen=True)
class Patterns:
    """The harmonics that take part in each product, as equal-length arrays.

    Attributes
    ----------
    m, n, e : (k,) int64
        Harmonic of the signal, harmonic of the oscillator, sense of the difference.
    """

    m: Int64
    n: Int64
    e: Int64

    @property
    def order(self) -> Int64:
        """Order of the product, m + abs(n); shape (k,)."""
        order: Int64 = self.m + np.abs(self.n)
        return order

    def take(self, keep: np.ndarray) -> Patterns:
        """Return the patterns selected by a mask or index array."""
        return Patterns(self.m[keep], self.n[keep], self.e[keep])


def patterns(tuning: Tuning, *, signal: int, oscillator: int) -> Patterns:
    """Return every (m, n, e) up to the given orders except the wanted one, lowest order first.

    Parameters
    ----------
    tuning : Tuning
        Decides which one is wanted.
    signal, oscillator : int
        Largest m and largest abs(n).
    """
    m, n, e = np.meshgrid(
        np.arange(1, signal + 1, dtype=np.int64),
        np.arange(-oscillator, oscillator + 1, dtype=np.int64),
        np.array([1, -1], dtype=np.int64),
    )
    every = Patterns(m.ravel(), n.ravel(), e.ravel())
    wanted = np.array(tuning.wanted)
    is_wanted = (every.m == wanted[0]) & (every.n == wanted[1]) & (every.e == wanted[2])
    some = every.take(~is_wanted)
    return some.take(np.lexsort((-some.e, some.n, some.m, some.order)))


@dataclass(frozen=True)
class Combinations:
    """Coefficients of a*fT + b*fI + c*fX + fixed, as equal-length arrays.

    Attributes
    ----------
    a, b, c : (k,) int64
        How many times dial setting, IF and other signal are taken.
    intermediate_hz : int
        The IF of the set.
    fixed_hz : (k,) int64 or int [Hz]
        The fixed part.
    slack_hz : (k,) int64 or int [Hz]
        How far the fixed part may lie from that on either side.
    """

    a: Int64
    b: Int64
    c: Int64
    intermediate_hz: int
    fixed_hz: Int64 | int = 0
    slack_hz: Int64 | int = 0

    @classmethod
    def of_patterns(cls, tuning: Tuning, some: Patterns) -> Combinations:
        """Return e*(n*fL - m*fX) - fI as combinations of dial, IF and signal."""
        return cls(
            a=some.e * some.n * tuning.sigma,
            b=some.e * some.n * tuning.t - 1,
            c=-some.e * some.m,
            intermediate_hz=tuning.intermediate_hz,
        )

    def driven_by(self, other: Tuning, harmonic: Int64) -> Combinations:
        """Put a harmonic of another set's oscillator in the place of fX.

        Parameters
        ----------
        other : Tuning
            How that oscillator follows the dial of its set.
        harmonic : (k,) int64
            Which harmonic of it, for each sum.

        Returns
        -------
        Combinations
            (k,) sums in which fX stands for the dial setting of the other set: two dials in one equation.
        """
        often = self.c * harmonic
        return Combinations(
            a=self.a,
            b=self.b,
            c=often * other.sigma,
            intermediate_hz=self.intermediate_hz,
            fixed_hz=self.fixed_hz + often * other.t * other.intermediate_hz,
        )

    def exchanged(self) -> Combinations:
        """Return the same sums with fT and fX in each other's place."""
        return Combinations(self.c, self.b, self.a, self.intermediate_hz, self.fixed_hz)

    def take(self, keep: np.ndarray) -> Combinations:
        """Return the combinations selected by a mask or index array."""
        fixed, slack = (
            part if isinstance(part, int) else part[keep] for part in (self.fixed_hz, self.slack_hz)
        )
        return Combinations(self.a[keep], self.b[keep], self.c[keep], self.intermediate_hz, fixed, slack)

    def __len__(self) -> int:
        return len(self.a)

    def without_signal(self, dial_hz: int | Int64) -> Int64:
        """Return a*fT + b*fI + fixed [Hz]; shape (k,)."""
        part: Int64 = self.a * dial_hz + self.b * self.intermediate_hz + self.fixed_hz
        return part

    def offset(self, dial_hz: int | Int64, signal_hz: int | Int64) -> Int64:
        """Return how far the product lies from the middle of the IF [Hz]; shape (k,)."""
        part: Int64 = self.without_signal(dial_hz) + self.c * signal_hz
        return part

    def signal_about(self, dial_hz: Int64) -> npt.NDArray[np.float64]:
        """Return `signal` rounded to float64 at dial settings (k, g) [Hz]: for levels, which decide no frequency."""
        steady = (self.b * self.intermediate_hz + self.fixed_hz)[:, None]
        signal: npt.NDArray[np.float64] = -(self.a[:, None] * dial_hz + steady) / self.c[:, None]
        return signal

    def signal(self, dial_hz: int) -> Ratios:
        """Solve for fX: the signal that lands exactly on the IF at one dial setting; (k,) [Hz]."""
        return Ratios(-self.without_signal(dial_hz), self.c)

    def dial(self, signal_hz: int | Int64) -> Ratios:
        """Solve for fT: the dial setting where a given signal lands exactly on the IF; (k,) [Hz].

        "None" where the setting has no influence (a = 0).
        """
        return Ratios(-(self.b * self.intermediate_hz + self.fixed_hz + self.c * signal_hz), self.a)

    def own_dial(self, intermediate_hz: int | None = None, *, above_hz: int = 0) -> Ratios:
        """Solve with fX = fT, or `above_hz` above it: where the station tuned in disturbs itself; (k,) [Hz]."""
        used = self.intermediate_hz if intermediate_hz is None else intermediate_hz
        return Ratios(-(self.b * used + self.fixed_hz + self.c * above_hz), self.a + self.c)

    def own_range(self, tolerance_hz: int) -> tuple[Ratios, Ratios]:
        """Return the lowest and highest `own_dial`, the real IF lying up to `tolerance_hz` from the nominal one.

        "None" where tuning moves the sum no more than the wanted station (a + c = 0): it holds everywhere or nowhere.
        """
        middle = -(self.b * self.intermediate_hz + self.fixed_hz)
        either_way = np.abs(self.b) * tolerance_hz + self.slack_hz
        moves = self.a + self.c
        low = np.where(moves < 0, middle + either_way, middle - either_way)
        return Ratios(low, moves), Ratios(2 * middle - low, moves)

    def everywhere(self, twice_window_hz: int) -> npt.NDArray[np.bool_]:
        """Return which sums lie in the IF window, of half the width given [Hz], at every dial setting; (k,)."""
        offset = self.b * self.intermediate_hz + self.fixed_hz
        is_steady: npt.NDArray[np.bool_] = (self.a + self.c == 0) & (2 * np.abs(offset) <= twice_window_hz)
        return is_steady
