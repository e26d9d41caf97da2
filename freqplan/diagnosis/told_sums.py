"""The arithmetic of a candidate in one line, with the real IF as far as the evidence tells it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from freqplan.diagnosis.candidates import NOBODY, Block, Candidates
from freqplan.hertz import HZ_IN, decimal_text
from freqplan.mixing import Combinations, Tuning
from freqplan.own_words import equals, times
from freqplan.services import names_of, services_in
from freqplan.tones import SUBCARRIER_HZ
from freqplan.words import birdie_sum, product_sum, signal_sum

if TYPE_CHECKING:
    from freqplan.diagnosis.places import Spot
    from freqplan.diagnosis.scene import Scene

INTEGERS = ("m", "n", "e", "k")

OF_BIRDIES = (*INTEGERS, "q", "name", "sources_hz", "lands_on", "zone", "tone_hz")
"""Columns that not every sum of the set's own making has."""


@dataclass(frozen=True)
class Told:
    """One candidate with everything that is needed to write it.

    Attributes
    ----------
    scene : Scene
        The set.
    some : Candidates
        Exactly one.
    block : Block
        Where it comes from.
    spot : Spot
        Where the symptom was met.
    intermediate_hz : int
        The real IF.
    """

    scene: Scene
    some: Candidates
    block: Block
    spot: Spot
    intermediate_hz: int

    @property
    def tuning(self) -> Tuning:
        """Return how the oscillator follows the dial, with the real IF."""
        return Tuning(self.scene.tunings[int(self.some.side[0])].side, self.intermediate_hz)

    @property
    def integers(self) -> dict[str, int | None]:
        """Return m, n, e and k, None where they do not apply, or where a fixed frequency beside a signal takes part."""
        row = {} if self.block.form == "signal" and self._row.get("q") is not None else self._row
        return {name: row.get(name) for name in INTEGERS}

    @property
    def _row(self) -> dict[str, Any]:
        """Return the columns of the catalogue's row."""
        if self.block.sums is None or self.block.form == "receiver":
            return {}
        place = 0 if self.block.form == "sum" else int(self.some.row[0])
        one = self.block.sums.columns
        values = {name: values[place] for name, values in one.items()}
        return {name: value.item() if hasattr(value, "item") else value for name, value in values.items()}

    @property
    def stations(self) -> tuple[int, ...]:
        """Return the places of the stations that take part."""
        return tuple(int(place) for place in self.some.who[0] if place != NOBODY)

    @property
    def spot_hz(self) -> Fraction | None:
        """Return where on the dial it is exactly [Hz]; None where it has no place of its own."""
        a, b, rest = (int(getattr(self.some, name)[0]) for name in ("a", "b", "rest_hz"))
        return Fraction(-(b * self.intermediate_hz + rest), a) if a and self.some.placed[0] else None

    @property
    def at_hz(self) -> int | None:
        """Return the dial setting that it is written for."""
        return self.spot.wanted_hz if self.spot.wanted_hz is not None else self.spot.dial_hz

    @property
    def signal_hz(self) -> Fraction | None:
        """Return the frequency of the signal behind it; of one nobody has named that which lands on the IF here."""
        if self.block.form != "signal" or self.block.sums is None:
            return None
        if self.stations:
            return Fraction(int(self.some.signal_hz[0]))
        if not self.some.a[0]:
            return Fraction(self.intermediate_hz, int(self._row["m"]))
        if self.at_hz is None:
            return None
        solved = self.combination.signal(self.at_hz).exact()[0]
        return None if solved is None else Fraction(solved)

    @property
    def combination(self) -> Combinations:
        """Return the catalogue's sum behind it, with the real IF; one row."""
        assert self.block.sums is not None
        one = self.block.sums.combinations.take(self.some.row)
        return replace(one, intermediate_hz=self.intermediate_hz)

    @property
    def takes_a_signal(self) -> bool:
        """Return whether a harmonic of one signal meets one of the oscillator."""
        return self.block.form == "signal" and self._row.get("m") is not None

    @property
    def sum(self) -> str:
        """Return the arithmetic in one line; empty where there is none."""
        writers = {
            "signal": self._of_signal, "birdie": self._of_birdie, "sum": self._of_stations,
            "receiver": self._of_receiver, "misplaced": self._of_misplaced, "neighbour": self._of_neighbour,
            "harmonic": self._of_harmonic,
        }  # fmt: skip
        writer = writers.get(self.block.form)
        return writer() if writer else ""

    def _at(self, text: str, dial_hz: Fraction | int | None) -> str:
        return text if dial_hz is None else f"{text}, at {self.scene.plan.rounding.fine(dial_hz)} on the dial"

    def _of_signal(self) -> str:
        signal, rounding = self.signal_hz, self.scene.plan.rounding
        dial = self.spot_hz if self.stations else None if not self.some.a[0] else self.at_hz
        if signal is None or (dial is None and self.some.a[0]):
            return f"{self._row['mechanism']}: the signal depends on the dial setting, which is not given"
        row = {
            "m": None,
            **self._row,
            "station_hz": signal,
            "dial_hz": None if dial is None else Fraction(dial),
        }
        text = self._at(signal_sum(row, self.tuning, rounding), dial)
        if self.stations:
            return text
        lives = names_of(services_in(signal, signal, region=self.scene.plan.region))
        return f"{text}; {rounding.fine(signal)}: {', '.join(lives) or 'nobody is known to live there'}"

    def _of_birdie(self) -> str:
        row: Mapping[str, Any] = {**dict.fromkeys(OF_BIRDIES), **self._row}
        if row["n"] == 1 and row["m"] is None and row["q"] is None:
            return f"oscillator on {self.scene.plan.rounding.fine(self.intermediate_hz)}, the IF itself"
        if row.get("tone_hz") is not None:
            tone = decimal_text(int(row["tone_hz"]), unit_hz=HZ_IN["kHz"], decimals=0, extra=3)
            return f"{tone} kHz of the reference in what the demodulator gives"
        return birdie_sum({**row, "dial_hz": self.spot_hz}, self.tuning, self.scene.plan.rounding)

    def _of_stations(self) -> str:
        assert self.block.stations is not None
        hertz = tuple(int(self.scene.cast.frequency_hz[place]) for place in self.stations)
        row = {
            **self._row,
            "stations_hz": hertz,
            "frequency_hz": int(self.some.signal_hz[0]),
            "dial_hz": self.spot_hz,
        }
        return product_sum(row, self.tuning, self.scene.plan.rounding)

    def _of_receiver(self) -> str:
        """Write where the other set stands: by the pitch, to the hertz on either side; else where its dial is."""
        from freqplan.diagnosis.other_sets import culprit_words

        return culprit_words(self)

    def _of_misplaced(self) -> str:
        rounding, read = self.scene.plan.rounding, self.spot.dial_hz
        if read is None or not self.stations:
            return ""
        right = int(self.scene.cast.frequency_hz[self.stations[0]])
        off = read - right
        if not off:
            return f"reads {rounding.fine(read)}, where the station is"
        way = "too high" if off > 0 else "too low"
        return f"reads {rounding.fine(read)}, the station is on {rounding.fine(right)}: {rounding.fine(abs(off))} {way}"

    def _of_neighbour(self) -> str:
        if self.spot.wanted_hz is None or not self.stations:
            return ""
        apart = abs(int(self.some.signal_hz[0]) - self.spot.wanted_hz)
        nearest = min(
            (SUBCARRIER_HZ, 3 * SUBCARRIER_HZ, 5 * SUBCARRIER_HZ), key=lambda hertz: abs(hertz - apart)
        )
        khz = [
            decimal_text(one, unit_hz=HZ_IN["kHz"], decimals=0, extra=3)
            for one in (apart, nearest, abs(apart - nearest))
        ]
        return f"{khz[0]} kHz apart, against {khz[1]} kHz in the decoder: {khz[2]} kHz"

    def _of_harmonic(self) -> str:
        m, rounding = int(self.some.row[0]), self.scene.plan.rounding
        signal = Fraction(int(self.some.signal_hz[0])) if self.stations else Fraction(self.at_hz or 0, m)
        if not signal:
            return ""
        return f"{times(m, signal, rounding)} {equals(signal, rounding=rounding)} {rounding.fine(m * signal)}"
