"""The next thing to try: the reading or measurement that tells two explanations of a dial apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.explanation import POINTER, WRONG_SIDE, Explanation
from freqplan.hertz import Rounding
from freqplan.readingsfile import MOST_READINGS
from freqplan.services import safety_ranges_hz
from freqplan.weighing import MOST_WORSE, Weighed
from freqplan.words import setting

if TYPE_CHECKING:
    from freqplan.plan import Plan

MOST_TRIED = 60
"""Channels looked at, evenly spread over the dial."""

CLEARLY = 2
"""Reading errors by which two predictions must differ to be told apart by a reading."""

HALF_IF = (
    " Or find the ghost half an IF from a strong station: it comes in below the station with the oscillator above, "
    "above the station with the oscillator below."
)


@dataclass(frozen=True)
class NextTest:
    """What to do next, and what each of two explanations says will be seen.

    Attributes
    ----------
    what : str
        What to do.
    separates : (str, str)
        The two kinds.
    predicted : (str, str)
        What is seen if it is the one, and if it is the other.
    """

    what: str
    separates: tuple[str, str]
    predicted: tuple[str, str]

    def to_dict(self) -> dict[str, Any]:
        """Return it as a JSON object."""
        return {
            "what": self.what,
            "separates": list(self.separates),
            "predicted": dict(zip(self.separates, self.predicted, strict=True)),
        }


def next_test(plan: Plan, found: Weighed) -> NextTest | None:
    """Return what tells the first explanation from its first rival, or from another one if nothing does.

    None where nothing is left to tell, and where nothing tells.

    Parameters
    ----------
    plan : Plan
        The set.
    found : Weighed
        The explanations.

    Notes
    -----
    A reading costs least and is asked for where one can tell.  The side of the oscillator, or the IF, shows in the
    oscillator's own frequency.  A pointer that has slipped and a circuit that imitates it have the oscillator on the
    same frequency everywhere: there only the pointer itself tells.  What none of these tells from the first rival may
    tell the first from the next one; no test is named whose outcome is the same for both.
    """
    if found.is_settled:
        return None
    benches = [_Bench(plan, found, found.first, other) for other in found.others]
    if found.settings < found.needed:
        benches.sort(key=lambda each: each.best_reading()[1], reverse=True)
    return next((test for bench in benches for test in bench.tests()), None)


def same_again(plan: Plan, found: Weighed, place: int, without: Weighed) -> NextTest | None:
    """Return the test that takes a reading in doubt again; None where every explanation has the same station there.

    Parameters
    ----------
    plan : Plan
        The set.
    found : Weighed
        What explains all readings, badly.
    place : int
        Which reading is in doubt.
    without : Weighed
        What explains the others.
    """
    first, reads_hz = without.first, int(found.readings.reads_hz[place])
    others = (one for one in (*without.others, *found.ranked) if one.kind != first.kind)
    benches = (_Bench(plan, without, first, other) for other in others)
    telling = (bench for bench in benches if bench.apart(reads_hz) >= without.error_hz)
    return next((bench.reading(reads_hz, "Take this reading again") for bench in telling), None)


@dataclass(frozen=True, eq=False)
class _Bench:
    """Two explanations and what each of them predicts."""

    plan: Plan
    found: Weighed
    one: Explanation
    other: Explanation

    @property
    def kinds(self) -> tuple[str, str]:
        return self.one.kind, self.other.kind

    @property
    def _both(self) -> tuple[Explanation, Explanation]:
        return self.one, self.other

    def tests(self) -> Iterator[NextTest]:
        """Yield what tells the two apart, the best first."""
        error_hz, is_few = self.found.error_hz, self.found.settings < self.found.needed
        reading, apart = self.best_reading()
        if apart >= CLEARLY * error_hz and (is_few or WRONG_SIDE not in self.kinds):
            yield self.reading(reading, "Take one more reading")
        dial_hz, off = self.best_for_the_oscillator()
        if off >= error_hz:
            yield self.oscillator(dial_hz)
        if any(each.kind == POINTER and abs(each.shift_hz) >= error_hz for each in self._both):
            yield self.end_stop()
        widest = max(self._settings(), key=self.apart)
        most = self.apart(widest)
        if MOST_READINGS * most**2 >= MOST_WORSE * error_hz**2:
            gap = f"{self._written(most)} {self.plan.rounding.unit}"
            how = f"The two are {gap} apart at most, too little for one reading: take many, all over the dial, and"
            yield self.reading(widest, f"{how} among them this one")

    def _settings(self) -> list[int]:
        """Return the dial settings to choose from: those read already first, then channels that both can be set to."""
        plan, travels = self.plan, [each.travel_hz(self.plan) for each in self._both]
        low, high = max(low for low, _ in travels), min(high for _, high in travels)
        first, last = plan.first_channel_index, plan.last_channel_index
        spread = np.linspace(first, last, min(MOST_TRIED, last - first + 1)).round().astype(np.int64)
        channels = (plan.band.first_channel_hz + plan.band.raster_hz * spread).tolist()
        every = list(dict.fromkeys([*self.found.readings.reads_hz.tolist(), *channels]))
        return [hz for hz in every if low <= hz <= high] or every

    def apart(self, dial_hz: int) -> Fraction:
        """Return by how much [Hz] the two differ in what plays; 0 where either has no station of the band."""
        stations = [stations_at(each, dial_hz, self.plan) for each in self._both]
        return min((abs(a - b) for a in stations[0] for b in stations[1]), default=Fraction(0))

    def best_reading(self) -> tuple[int, Fraction]:
        """Return where the two differ most in what plays, far from what was read, and by how much [Hz]."""
        read = self.found.readings.reads_hz

        def worth(dial_hz: int) -> tuple[int, int]:
            return int(self.apart(dial_hz) // self.found.error_hz), int(np.min(np.abs(read - dial_hz)))

        best = max(self._settings(), key=worth)
        return best, self.apart(best)

    def best_for_the_oscillator(self) -> tuple[int, Fraction]:
        """Return where the two differ most in the oscillator, and by how much [Hz].

        Where a second radio of the band can hear it comes first, and never where lives depend on the frequency if
        that can be helped; of places that are equal one that was read already.
        """
        forbidden = safety_ranges_hz(region=self.plan.region)

        def worth(dial_hz: int) -> tuple[bool, int, int]:
            places = [each.oscillator_hz(dial_hz) for each in self._both]
            free = not any(low <= place <= high for place in places for low, high in forbidden)
            return (
                free,
                sum(map(self._in_band, places)),
                int(abs(places[0] - places[1]) // self.found.error_hz),
            )

        best = max(self._settings(), key=worth)
        own, others = (each.oscillator_hz(best) for each in self._both)
        return best, abs(own - others)

    def _in_band(self, hertz: Fraction) -> bool:
        return self.plan.band.low_hz <= hertz <= self.plan.band.high_hz

    def reading(self, dial_hz: int, how: str) -> NextTest:
        """Ask for a reading."""
        rounding = self.plan.rounding
        at = setting(dial_hz, rounding)

        def seen(one: Explanation) -> str:
            stations = stations_at(one, dial_hz, self.plan)
            plays = " or ".join(self._written(hertz) for hertz in stations) or "no station of the band"
            return f"{plays} plays with the dial at {at}"

        what = f"{how}: find the station that plays with the dial at {at} {rounding.unit}, or next to it."
        return self._test(what, seen)

    def oscillator(self, dial_hz: int) -> NextTest:
        """Ask for the frequency of the oscillator."""
        rounding = self.plan.rounding
        at = setting(dial_hz, rounding)
        heard = [each for each in self._both if self._in_band(each.oscillator_hz(dial_hz))]
        radio = "on a second radio beside the set, where the noise goes quiet, or " if heard else ""
        half_if = HALF_IF if WRONG_SIDE in self.kinds else ""
        what = (
            f"Find the oscillator with the dial at {at} {rounding.unit}: {radio}with a frequency counter, loosely "
            f"coupled.{half_if}"
        )
        return self._test(
            what,
            lambda one: f"oscillator on {self._written(one.oscillator_hz(dial_hz))} with the dial at {at}",
        )

    def end_stop(self) -> NextTest:
        """Ask for the pointer at the end of its travel."""
        off = next(abs(each.shift_hz) for each in self._both if each.kind == POINTER)
        beside = f"pointer {self._written(Fraction(off))} {self.plan.rounding.unit} beside the end mark"
        what = (
            "Turn the tuning to its end stop, the capacitor fully closed, and see where the pointer stands against the "
            "end mark of the scale: in the range of the readings the oscillator is on the same frequencies either way."
        )
        return self._test(what, lambda one: beside if one.kind == POINTER else "pointer on the end mark")

    def _test(self, what: str, seen: Callable[[Explanation], str]) -> NextTest:
        return NextTest(what, self.kinds, (seen(self.one), seen(self.other)))

    def _written(self, hertz: Fraction) -> str:
        return rough(hertz, self.found.error_hz, self.plan.rounding)


def stations_at(one: Explanation, dial_hz: int, plan: Plan) -> list[Fraction]:
    """Return what an explanation has playing at a dial setting [Hz], as far as it lies in the band."""
    every = (one.plays_hz(dial_hz, side) for side in one.receives)
    return [hertz for hertz in every if plan.band.low_hz <= hertz <= plan.band.high_hz]


def rough(hertz: Fraction, error_hz: int, rounding: Rounding) -> str:
    """Write a frequency that comes from a fit, to a tenth of the reading error or finer."""
    return rounding.fine(fitted_hz(hertz, error_hz))


def fitted_hz(hertz: Fraction, error_hz: int, *, digits: int = 1) -> int:
    """Round a frequency that comes from a fit [Hz]: so many decimal digits finer than the reading error."""
    return int(round(hertz, -max(0, len(str(error_hz)) - 1 - digits)))
