"""One sum as the spectrum chart takes it: a row of any table of results, or values given by hand, made whole."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from freqplan.charts.drawing import label
from freqplan.errors import ModelRangeError
from freqplan.hearing import zones_of
from freqplan.mechanisms import catalogue
from freqplan.mixing import Combinations, Patterns, Tuning, tunings
from freqplan.own_words import is_shift
from freqplan.tones import pitches_hz

if TYPE_CHECKING:
    from freqplan.hertz import Ratios
    from freqplan.plan import Plan

Hertz: TypeAlias = "Fraction | int"

AS_THEY_ARE = (
    "m", "n", "e", "k", "q", "harmonic", "other_dial_hz", "other_oscillator_hz", "offset_hz", "decoder_hz", "pitch_hz",
)  # fmt: skip
TEXTS = ("lands_on", "kind", "name")
SIGNALS = ("signal_hz", "response_hz", "station_hz", "frequency_hz")
"""What the other signal of a sum is called in tables; the first that is given counts."""

LETTERS = ("A", "B", "C")
"""What stations are called that have no names."""

LONGEST_NAME, LONGEST_TEXT = 14, 80


def tidy(hertz: Fraction) -> Hertz:
    """Return a frequency as an integer where it is whole."""
    return hertz.numerator if hertz.denominator == 1 else hertz


def distance_hz(one: Hertz, other: Hertz) -> Hertz:
    """Return how far two frequencies lie apart [Hz]."""
    return one - other if one > other else other - one


@dataclass(frozen=True)
class Row:
    """One sum with its numbers.

    Attributes
    ----------
    mechanism : str
        Id in the catalogue.
    tuning : Tuning
        How the oscillator follows the dial.
    dial_hz : Fraction or int [Hz]
        The dial setting.
    m, n, e, k, q, harmonic : int or None
        As in the tables; `harmonic` is that of another set's oscillator.
    signal_hz : Fraction, int or None [Hz]
        The other signal, or the sum of stations.
    sources_hz : tuple of int [Hz]
        Steady sources that take part.
    lands_on, kind, name : str
        Where the sum falls, which kind of sum of stations it is, what the source is called; empty where unsaid.
    stations : tuple of (str, int)
        Names and frequencies [Hz] of the stations summed.
    other_dial_hz, other_oscillator_hz : Fraction, int or None [Hz]
        Dial setting and oscillator of another set.
    offset_hz, decoder_hz, pitch_hz : int or None [Hz]
        Distance in the decoder, the carrier that it beats with, and the note.
    """

    mechanism: str
    tuning: Tuning
    dial_hz: Hertz
    m: int | None = None
    n: int | None = None
    e: int | None = None
    k: int | None = None
    q: int | None = None
    harmonic: int | None = None
    signal_hz: Hertz | None = None
    sources_hz: tuple[int, ...] = ()
    lands_on: str = ""
    kind: str = ""
    name: str = ""
    stations: tuple[tuple[str, int], ...] = ()
    other_dial_hz: Hertz | None = None
    other_oscillator_hz: Hertz | None = None
    offset_hz: int | None = None
    decoder_hz: int | None = None
    pitch_hz: int | None = None

    @property
    def oscillator_hz(self) -> Hertz:
        """Return the oscillator at the dial setting [Hz]."""
        return tidy(self.tuning.oscillator_hz(Fraction(self.dial_hz)))

    @property
    def slope(self) -> int | None:
        """Return the tuning slope of the product; None where it is no product of signal and oscillator."""
        if self.n is None or self.e is None:
            return None
        return self.e * self.n * self.tuning.wanted_slope

    def numbers(self) -> dict[str, Any]:
        """Return the values under the names by which `freqplan.words` writes sums."""
        return {
            "mechanism": self.mechanism, "dial_hz": self.dial_hz, "m": self.m, "n": self.n, "e": self.e, "k": self.k,
            "q": self.q, "station_hz": self.signal_hz, "sources_hz": self.sources_hz or None,
            "lands_on": self.lands_on, "kind": self.kind, "name": self.name or None,
            "stations_hz": tuple(hertz for _, hertz in self.stations), "frequency_hz": self.signal_hz,
        }  # fmt: skip


def row_of(plan: Plan, values: Mapping[str, Any]) -> Row:
    """Make a row whole: a dial setting or signal that is not given is solved for.

    Parameters
    ----------
    plan : Plan
        The receiver.
    values : mapping
        ``mechanism`` and what the tables have: ``oscillator, m, n, e, k, q, name, lands_on, kind, stations,
        stations_hz, sources_hz, harmonic, dial_hz`` and ``signal_hz`` (or ``response_hz``, ``station_hz``,
        ``frequency_hz``); None and missing are the same.

    Raises
    ------
    ModelRangeError
        The mechanism is not in the catalogue, the oscillator side not in the plan, or the numbers have no solution.
    """
    given = {key: value for key, value in values.items() if value is not None}
    if "heard_on_hz" in given:
        given.setdefault("dial_hz", given["heard_on_hz"])
    if "zone" in given and given.get("sources_hz"):
        given |= _note(plan, given)
    mechanism = given.get("mechanism")
    if mechanism not in catalogue():
        raise ModelRangeError(f"no mechanism {label(repr(mechanism), LONGEST_TEXT)} in the catalogue")
    tuning = _tuning(plan, given.get("oscillator"))
    signal = next((given[name] for name in SIGNALS if name in given), None)
    named = zip(given.get("stations", LETTERS), given.get("stations_hz", ()), strict=False)
    texts = {name: label(given[name], LONGEST_TEXT) for name in TEXTS if name in given}
    as_they_are = {name: given[name] for name in AS_THEY_ARE if name in given}
    row = Row(
        mechanism=str(mechanism), tuning=tuning, dial_hz=given.get("dial_hz", plan.middle_channel_hz), signal_hz=signal,
        sources_hz=tuple(given.get("sources_hz", ())),
        stations=tuple((label(name, LONGEST_NAME), hertz) for name, hertz in named),
        **(texts | as_they_are),
    )  # fmt: skip
    return _solved(row, "dial_hz" in given)


def _note(plan: Plan, given: Mapping[str, Any]) -> dict[str, int]:
    """Return what a reference leaves in the sound, and the carrier of the decoder that it beats with [Hz]."""
    made = given["m"] * given["sources_hz"][0]
    offset = np.array([made], dtype=np.int64)
    carriers = [
        zone.carrier_hz for zone in zones_of(plan) if pitches_hz(zone, offset)[0] == given["pitch_hz"]
    ]
    return {"offset_hz": made, "decoder_hz": carriers[0]}


def _tuning(plan: Plan, side: object) -> Tuning:
    """Return the side named, or the first of the plan."""
    known = {tuning.side: tuning for tuning in tunings(plan)}
    if side is None:
        return next(iter(known.values()))
    if side not in known:
        raise ModelRangeError(f"the plan has no oscillator side {side!r}; there are: {', '.join(known)}")
    return known[str(side)]


def sums_of(row: Row) -> Combinations:
    """Return the product of a row as a combination of dial, IF and signal, (1,).

    Raises
    ------
    ModelRangeError
        The row lacks m, n or e.
    """
    if row.n is None or row.e is None:
        raise ModelRangeError(f"a row of {row.mechanism} needs m, n and e")
    once = (np.array([part], dtype=np.int64) for part in (row.m or 1, row.n, row.e))
    return Combinations.of_patterns(row.tuning, Patterns(*once))


def _solved(row: Row, dial_is_known: bool) -> Row:
    """Return the row with the signal that belongs to its dial setting, or the setting that belongs to its signal."""
    if row.n is None or row.e is None or is_shift(row.numbers()) or row.sources_hz or row.kind:
        return row
    sums = sums_of(row)
    if row.mechanism == "self-mixing":
        solved = row.dial_hz if dial_is_known else sums.own_dial().exact()[0]
        return _with(row, dial_hz=solved, signal_hz=solved)
    if row.signal_hz is None:
        return _with(row, signal_hz=_scaled(sums, row.dial_hz, Combinations.signal))
    if not dial_is_known and row.n != 0:
        return _with(row, dial_hz=_scaled(sums, row.signal_hz, Combinations.dial))
    return row


def _scaled(
    sums: Combinations, known_hz: Hertz, solve: Callable[[Combinations, int], Ratios]
) -> Hertz | None:
    """Solve a sum for one frequency where the other, which is known, may be a fraction of hertz."""
    parts = Fraction(known_hz).denominator
    finer = replace(sums, intermediate_hz=sums.intermediate_hz * parts)
    found = solve(finer, Fraction(known_hz).numerator).exact()[0]
    if found is None:
        return None
    return tidy(Fraction(found) / parts)


def _with(row: Row, **solved: Hertz | None) -> Row:
    if any(value is None or value <= 0 for value in solved.values()):
        raise ModelRangeError(
            f"no such {row.mechanism}: with m {row.m}, n {row.n}, e {row.e} the sum has no frequency above zero"
        )
    return replace(row, **solved)  # type: ignore[arg-type]
