"""What problems are made from: a plan, a level, a side, and numbers drawn from the plan's own band, raster and IF."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from random import Random
from typing import TYPE_CHECKING, TypeVar

from freqplan.hertz import HZ_IN, Rounding
from freqplan.mixing import Tuning
from freqplan.own_words import equals
from freqplan.problems.asked import ListAsked, NumberAsked
from freqplan.problems.parts import CannotBeSetError, Problem
from freqplan.words import setting as dial_text
from freqplan.words import span

if TYPE_CHECKING:
    from freqplan.plan import Plan

TRIES = 400
"""So often numbers are drawn until they fit."""

MOST_OFF_STEPS = 5
"""The real IF lies this many steps from the nominal one at most, unless the plan's tolerance is wider."""

IF_OVER_STEP = 450
"""The step is the power of ten below this part of the IF: 10 kHz at 10.7 MHz, 1 kHz at 455 kHz."""

MOST_EXTRA = 2
SIGN = {"high": 1, "low": -1}
SIDE_WORDS = {
    "high": "the oscillator above the signal (high)",
    "low": "the oscillator below the signal (low)",
    "sum": "an oscillator that falls as the dial rises (sum: oscillator and signal add up to the IF)",
}
OTHER = {"high": "low", "low": "high"}

Item = TypeVar("Item")


@dataclass(frozen=True)
class Setting:
    """What one problem is drawn from.

    Attributes
    ----------
    plan : Plan
        Gives band, raster, IF and side.
    level : int
        1 to 3.
    random : Random
        The one source of all that is drawn.
    side : str
        Side of the oscillator; where the plan leaves it open the one drawn.
    """

    plan: Plan
    level: int
    random: Random
    side: str

    @property
    def nominal_hz(self) -> int:
        """Return the first IF of the plan [Hz]."""
        return self.plan.conversion[0].intermediate_hz

    @property
    def rounding(self) -> Rounding:
        """Return how frequencies are written."""
        return self.plan.rounding

    @property
    def unit(self) -> str:
        """Return the unit of frequencies."""
        return self.rounding.unit

    @property
    def band_words(self) -> str:
        """Return what the set receives, such as ``87.50-108.00 MHz``."""
        band = self.plan.band
        return f"{span(band.low_hz, band.high_hz, self.rounding)} {self.unit}"

    def set_words(self, *, printed: bool = False) -> str:
        """Return a sentence about the set: band, IF and side; the IF is but `printed` where the real one is another."""
        what = "a printed IF" if printed else "an IF"
        return f"A set for {self.band_words} has {what} of {self.told(self.nominal_hz)} and {SIDE_WORDS[self.side]}."

    def tuning(self, intermediate_hz: int = 0, side: str = "") -> Tuning:
        """Return how the oscillator follows the dial."""
        return Tuning(side or self.side, intermediate_hz or self.nominal_hz)

    def text(self, hertz: Fraction | int) -> str:
        """Write a frequency without its unit."""
        return self.rounding.fine(hertz)

    def dial(self, hertz: int) -> str:
        """Write a dial setting with its unit."""
        return f"{dial_text(hertz, self.rounding)} {self.unit}"

    def told(self, hertz: Fraction | int) -> str:
        """Write a frequency with its unit."""
        return f"{self.text(hertz)} {self.unit}"

    def total(self, left: str, hertz: Fraction | int) -> str:
        """Write a sum and what it comes to."""
        return f"{left} {equals(hertz, rounding=self.rounding)} {self.text(hertz)}"

    def asked(self, *hertz: Fraction | int) -> NumberAsked:
        """Return a frequency to be asked for, with just so many decimals that these come out exactly, or nearly so."""
        fine = self.rounding.fine_decimals
        scale = HZ_IN[self.unit]
        exact = (
            decimals
            for decimals in range(fine, fine + MOST_EXTRA + 1)
            if all(one * 10**decimals % scale == 0 for one in hertz)
        )
        return NumberAsked(self.unit, next(exact, fine))

    def asked_list(self, hertz: Sequence[Fraction | int]) -> ListAsked:
        """Return a list of frequencies to be asked for."""
        return ListAsked(self.asked(*hertz))

    def pick(self, items: Sequence[Item]) -> Item:
        """Draw one of several."""
        return items[self.random.randrange(len(items))]

    def channel(self) -> int:
        """Draw a channel; on level 1 one that is easy to reckon with, where there are such [Hz]."""
        plan, band = self.plan, self.plan.band
        first, last = plan.first_channel_index, plan.last_channel_index
        if last < first:
            raise CannotBeSetError("no channel lies in the band")
        drawn = band.first_channel_hz + band.raster_hz * (first + self.random.randrange(last - first + 1))
        if self.level > 1:
            return drawn
        step = power_of_ten(max(1, (band.high_hz - band.low_hz) // 10))
        rounded = (drawn + step // 2) // step * step
        on_raster = (rounded - band.first_channel_hz) % band.raster_hz == 0
        return rounded if on_raster and band.low_hz <= rounded <= band.high_hz else drawn

    def real_if(self) -> int:
        """Draw a real IF some steps beside the nominal one [Hz]."""
        step = self.if_step
        most = max(MOST_OFF_STEPS, self.plan.conversion[0].tolerance_hz // step)
        off = 1 + self.random.randrange(most)
        return self.nominal_hz + step * (off if self.random.randrange(2) else -off)

    @property
    def if_step(self) -> int:
        """Return the step in which a real IF is told [Hz]."""
        return power_of_ten(max(1, self.nominal_hz // IF_OVER_STEP))

    def first_that_fits(self, attempt: Callable[[], Problem | None], why_not: str) -> Problem:
        """Return the first problem that an attempt gives.

        Raises
        ------
        CannotBeSetError
            None of many does; `why_not` is the reason.
        """
        for _ in range(TRIES):
            problem = attempt()
            if problem is not None:
                return problem
        raise CannotBeSetError(why_not)

    def beside_the_signal(self) -> None:
        """Refuse a sum converter.

        Raises
        ------
        CannotBeSetError
            The oscillator falls as the dial rises.
        """
        if self.side not in SIGN:
            raise CannotBeSetError("it is for an oscillator that follows the signal, above or below it")


def power_of_ten(most: int) -> int:
    """Return the largest power of ten up to `most`."""
    power: int = 10 ** (len(str(most)) - 1)
    return power
