"""What a few readings of the dial say about the oscillator, the IF and the pointer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from freqplan.arguments import checked
from freqplan.cardlines import EITHER
from freqplan.dial_words import DialWords, trimmer_percent
from freqplan.errors import ModelRangeError, ReadingsError
from freqplan.explanation import Explanation, farthest_pointer_hz, usual_error_hz
from freqplan.findings import Findings
from freqplan.hertz import json_number, whole_hertz
from freqplan.mechanisms.one_signal import LIVE_CHASSIS
from freqplan.mechanisms.own_if import OPEN_SET
from freqplan.plan_reading import hertz_text
from freqplan.readings import off_the_scale
from freqplan.remarks import about_the_plan
from freqplan.results import Result
from freqplan.separating import NextTest, fitted_hz, next_test, same_again
from freqplan.services import cautions_for, services_in
from freqplan.travel import Piece, missing, pieces
from freqplan.weighing import FEWEST, MOST_WORSE, Weighed, suspect, weighed
from freqplan.words import span

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.readings import Readings

EXPLANATION_COLUMNS = (
    "kind", "oscillator", "how_much", "value", "unit", "ratio", "trimmer_percent", "residual_hz", "verdict", "advice",
)  # fmt: skip
READING_COLUMNS = (
    "reads_hz", "is_hz", "plays", "expected_hz", "error_hz", "oscillator", "oscillator_should_hz", "oscillator_is_hz",
)  # fmt: skip
PIECE_COLUMNS = ("low_hz", "high_hz", "dial_low_hz", "dial_high_hz", "oscillator")


@dataclass(frozen=True)
class Dial(Result):
    """What explains dial readings, best first; each table is computed when it is first asked for.

    Attributes
    ----------
    readings_given : Readings
        What the dial reads and what plays there.
    reading_error_hz : int
        How well the dial is read [Hz].
    """

    command: ClassVar[str] = "dial"
    table_names: ClassVar[tuple[str, ...]] = ("explanations", "readings", "received")

    readings_given: Readings = field(kw_only=True)
    reading_error_hz: int = field(kw_only=True)

    @cached_property
    def found(self) -> Weighed:
        """The explanations as they were fitted, best first."""
        return weighed(self.plan, self.readings_given, self.reading_error_hz)

    @property
    def undecided(self) -> bool:
        """Return whether the readings leave it open."""
        return not self.found.is_settled

    @cached_property
    def suspect(self) -> tuple[int, Weighed] | None:
        """The reading that keeps everything from fitting, and what the others say; None where there is no such."""
        if self.found.fits(self.found.first):
            return None
        return suspect(self.plan, self.readings_given, self.reading_error_hz)

    @cached_property
    def next_test(self) -> NextTest | None:
        """What to do next; None where the readings settle it, and where nothing would."""
        again = same_again(self.plan, self.found, *self.suspect) if self.suspect else None
        return again or next_test(self.plan, self.found)

    @cached_property
    def explanations(self) -> Findings:
        """Every explanation with the values that fit best."""
        rows = [self._explanation(one) for one in self.found.ranked]
        details = ("value", "unit", "ratio", "trimmer_percent", *(("oscillator",) if self.one_side else ()))
        return Findings.of_rows("What explains the readings", rows, EXPLANATION_COLUMNS, details=details)

    def _explanation(self, one: Explanation) -> dict[str, Any]:
        value, unit = self._words.value(one)
        both = not self.one_side and self.found.on_either_side(one)
        return {
            "kind": one.kind,
            "oscillator": EITHER if both else one.tuning.side,
            "how_much": self._words.how_much(one),
            "value": value,
            "unit": unit,
            "ratio": float(one.ratio),
            "trimmer_percent": json_number(trimmer_percent(one)),
            "residual_hz": one.residual_hz,
            "verdict": self._words.verdict(one),
            "advice": self._words.advice(one),
        }

    @cached_property
    def readings(self) -> Findings:
        """Each reading, by the first explanation."""
        rows = list(self._readings())
        return Findings.of_rows("The readings, by the first explanation", rows, READING_COLUMNS)

    def _readings(self) -> Iterator[dict[str, Any]]:
        given, first = self.readings_given, self.found.first
        pairs = zip(given.reads_hz.tolist(), given.is_hz.tolist(), strict=True)
        for i, (reads_hz, is_hz) in enumerate(pairs):
            expected = self._fitted(first.plays_hz(reads_hz, first.sides[i]))
            yield {
                "reads_hz": reads_hz,
                "is_hz": is_hz,
                "plays": given.stations[i] if given.stations and given.stations[i].strip() else None,
                "expected_hz": expected,
                "error_hz": is_hz - expected,
                "oscillator": first.sides[i],
                "oscillator_should_hz": first.nominal_hz(reads_hz),
                "oscillator_is_hz": self._fitted(first.oscillator_hz(reads_hz)),
            }

    def _fitted(self, hertz: Fraction) -> int:
        return fitted_hz(hertz, self.reading_error_hz, digits=2)

    @cached_property
    def _pieces(self) -> tuple[Piece, ...] | None:
        """Parts of the band that are received; None where nothing is known that would tell."""
        if self.found.settings < FEWEST or not self.found.fits(self.found.first):
            return None
        return pieces(self.plan, self.found.first)

    @cached_property
    def received(self) -> Findings:
        """Parts of the band that the first explanation has received, over the travel of the capacitor."""
        rows = [
            {
                "low_hz": piece.low_hz, "high_hz": piece.high_hz, "dial_low_hz": piece.dial_low_hz,
                "dial_high_hz": piece.dial_high_hz, "oscillator": piece.side,
            }
            for piece in self._pieces or ()
        ]  # fmt: skip
        return Findings.of_rows("What is received, by the first explanation", rows, PIECE_COLUMNS)

    @property
    def unreachable(self) -> tuple[tuple[Fraction, Fraction], ...] | None:
        """Return the parts of the band that cannot be received [Hz]; None where that cannot be told."""
        return None if self._pieces is None else missing(self.plan, self._pieces)

    @property
    def reason(self) -> str | None:
        """Return why the readings do not settle it, and that no test would, if so; None where they settle it."""
        if not self.undecided:
            return None
        why = self._words.reason(self.suspect)
        return why if self.next_test else f"{why} {self._words.no_test}"

    @property
    def _words(self) -> DialWords:
        return DialWords(self.plan, self.found)

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return whether it is settled, why not, what to do next, and what cannot be received."""
        lost = self.unreachable
        return {
            "undecided": self.undecided,
            "reason": self.reason,
            "next_test": self.next_test.to_dict() if self.next_test else None,
            "unreachable": None if lost is None else [list(map(json_number, ends)) for ends in lost],
            "reading_error_hz": self.reading_error_hz,
            "readings_used": len(self.readings_given),
        }

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the verdict with its sum, what leaves it open, and what to do next."""
        return (*super().headlines, *self._headlines())

    def _headlines(self) -> Iterator[str]:
        given, source = self.readings_given, self.readings_given.source
        count = f"{len(given)} reading{'' if len(given) == 1 else 's'}{f' from {source}' if source else ''}"
        yield f"{count}, taken as good to {hertz_text(self.reading_error_hz)}"
        if self._pieces is None:
            yield f"Cannot tell from these readings. {self.reason}"
        else:
            yield self._side + self._words.sum(self.found.first, int(min(given.reads_hz)))
            if self.undecided:
                yield f"Undecided: {self.reason}"
        if self.next_test:
            seen = "; ".join(
                f"{kind}: {reading}"
                for kind, reading in zip(self.next_test.separates, self.next_test.predicted, strict=True)
            )
            yield f"Next: {self.next_test.what} {seen[0].upper()}{seen[1:]}."
        for low, high in self.unreachable or ():
            yield f"Then {span(low, high, self.rounding)} {self.rounding.unit} cannot be received."

    @property
    def _side(self) -> str:
        first = self.found.first
        open_ = not self.one_side and not self.found.on_either_side(first)
        return f"If the scale is made for the oscillator {first.tuning.side}: " if open_ else ""

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return the defaults in force and the limits of the computation."""
        return tuple(self._assumptions())

    def _assumptions(self) -> Iterator[str]:
        if not self.one_side:
            sides = " and ".join(tuning.side for tuning in self.sides)
            yield f"Oscillator side not given: the scale is taken as made for {sides} in turn."
        *own, _ = about_the_plan(self.plan)
        yield from own
        yield (
            f"An explanation fits where no more than {self._words.error} is left over, as root mean square; of "
            "those that fit, the one with fewest values to fit comes first."
        )
        if self.found.settings > MOST_WORSE:
            yield (
                f"With readings at {self.found.settings} settings, what leaves {MOST_WORSE} squared reading errors "
                "more than the best explanation, all settings together, does not fit either. A dial nowhere off by "
                "more than the reading error is right all the same."
            )
        yield (
            f"No pointer is taken to be farther off than {hertz_text(farthest_pointer_hz(self.plan))}; readings that "
            "close to their image, two IFs away, are tried as images."
        )
        yield (
            "The tuned circuit is taken as ideal: coil and total capacitance move the oscillator by the same ratio "
            "everywhere, a trimmer moves it most at the high end."
        )
        yield (
            "The other side of the oscillator is tried with one ratio; with coil and trimmer turned as well it "
            "imitates nearly any dial. A second radio on the oscillator tells."
        )

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return what can hurt inside the set, and who lives where its oscillator is."""
        first = self.found.first
        ends = [first.oscillator_hz(hz) for hz in first.travel_hz(self.plan)]
        near = services_in(min(ends), max(ends), region=self.plan.region)
        return (*self.plan.cautions, OPEN_SET, LIVE_CHASSIS, *cautions_for(near))


@checked
def dial(plan: Plan, readings: Readings, *, reading_error_hz: int | None = None) -> Dial:
    """Tell from a few readings of the dial what is wrong with oscillator, IF or pointer.

    Parameters
    ----------
    plan : Plan
        The set as it should be: the scale was made for its oscillator side and IF. Where the side is unknown, every
        one that is possible is tried.
    readings : Readings
        What the dial reads and what plays there, one or more; three to six, spread over the dial, are enough.
    reading_error_hz : int, optional [Hz]
        How well the dial is read; by default 0.1 MHz from 30 MHz upwards, below a thousandth of the band's middle, at
        least 2 kHz.

    Returns
    -------
    Dial
        With less than three settings, or where nothing fits, it cannot be told, and the result says why.

    Raises
    ------
    ReadingsError
        Readings off the scale, or stations that no fault brings in: every one of them, with its place.
    ModelRangeError
        The reading error is no whole number of hertz, or not above zero.
    """
    error_hz = (
        usual_error_hz(plan) if reading_error_hz is None else whole_hertz(reading_error_hz, "reading error")
    )
    if not 0 < error_hz < plan.band.high_hz:
        raise ModelRangeError(f"reading error {error_hz} Hz: give more than 0, such as 100_000")
    faults = list(off_the_scale(plan, readings))
    if faults:
        raise ReadingsError(faults)
    return Dial(plan, readings_given=readings, reading_error_hz=error_hz)
