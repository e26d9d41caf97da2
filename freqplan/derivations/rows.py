"""From a row of a table to the case that it is derived for: which sign stands for which of its columns."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.derivations.steps import Case, case_of
from freqplan.mixing import Combinations, Patterns, Tuning
from freqplan.station_sums import TIMES

if TYPE_CHECKING:
    from freqplan.plan import Plan

STATION_SIGNS = ("A", "B", "C")
DECODER_CARRIERS_HZ = (0, 38_000, 114_000, 190_000)


_ONE = ("m", "n", "e")
_SUM = ("kind", "stations_hz", "n", "e")
NEEDED: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(
        (
            "image", "if-breakthrough", "half-if", "fractional-if", "oscillator-harmonic", "signal-harmonic",
            "harmonic-mixing", "self-mixing",
        ), _ONE,
    ),
    **dict.fromkeys(("second-order", "third-order", "third-order-outside", "pair-half-if"), _SUM),
    "if-spaced-pair": ("stations_hz",),
    "if-harmonic": ("k",),
    "oscillator-in-if": ("n",),
    "internal-clock": (*_ONE, "sources_hz"),
    "second-image": ("q", "sources_hz"),
    "oscillator-product": ("n", "q", "sources_hz", "lands_on"),
    "synthesiser-sideband": ("q", "sources_hz"),
    "reference-ripple": ("m", "sources_hz"),
    "decoder-neighbour": ("offset_hz", "decoder_hz"),
    "other-receiver": ("way", "other_dial_hz", "harmonic"),
    "oscillator-off": ("ratio",),
    "if-off-centre": ("nominal_hz", "intermediate_hz"),
    "transmitter-harmonic": ("m", "signal_hz"),
}  # fmt: skip
"""What a row must tell for its derivation, by mechanism."""


def lacking(row: Mapping[str, Any]) -> list[str]:
    """Return what a row does not tell of what its derivation needs."""
    return [name for name in NEEDED.get(row["mechanism"], ()) if row.get(name) is None]


def case_of_row(plan: Plan, tuning: Tuning, row: Mapping[str, Any], *, title: str = "") -> Case:
    """Return the case behind a row.

    Parameters
    ----------
    plan : Plan
        The receiver.
    tuning : Tuning
        The side of its oscillator, with the IF that the row holds for.
    row : mapping
        What it has of ``mechanism, m, n, e, k, q, kind, dial_hz, signal_hz, station_hz, response_hz, stations_hz,
        sources_hz, lands_on, offset_hz, decoder_hz ...``.
    title : str
        Name of the mechanism in a sentence.

    Returns
    -------
    Case
    """
    row = {name: value for name, value in row.items() if value is not None}
    dial = row.get("dial_hz", plan.middle_channel_hz)
    more: dict[str, Any] = {}
    for place, hertz in enumerate(row.get("stations_hz", ())):
        more[STATION_SIGNS[place]] = Fraction(hertz)
    if "kind" in row and "stations_hz" in row:
        more["fX"] = sum(
            (Fraction(t * hz) for t, hz in zip(TIMES[row["kind"]], row["stations_hz"], strict=True)),
            Fraction(0),
        )
    more |= _signal(tuning, row, dial)
    more |= _adjustment(tuning, row, dial)
    if row["mechanism"] == "other-receiver":
        more |= _other_set(tuning, row, dial)
    if row["mechanism"] == "reference-ripple" and "pitch_hz" in row:
        tone = row["m"] * row["sources_hz"][0]
        carrier = next(hz for hz in DECODER_CARRIERS_HZ if abs(tone - hz) == row["pitch_hz"])
        row["tone_carrier_hz"] = carrier
    used = Tuning(tuning.side, row.get("intermediate_hz", tuning.intermediate_hz))
    if "nominal_hz" in row:
        more["fL"] = Fraction(Tuning(tuning.side, row["nominal_hz"]).oscillator_hz(dial))
    return case_of(plan, used, row, dial_hz=dial, title=title, **more)


def _signal(tuning: Tuning, row: Mapping[str, Any], dial_hz: Fraction | int) -> dict[str, Any]:
    """Return fX as far as the row tells it: exactly what lands on the IF where it has m, n and e."""
    if all(name in row for name in ("m", "n", "e")) and "sources_hz" not in row and "kind" not in row:
        pattern = Patterns(*(np.array([int(row[name])]) for name in ("m", "n", "e")))
        sums = Combinations.of_patterns(tuning, pattern)
        numerator = -(int(sums.a[0]) * Fraction(dial_hz) + int(sums.b[0]) * tuning.intermediate_hz)
        return {"fX": numerator / int(sums.c[0])}
    if "sources_hz" in row and "q" in row and row["mechanism"] in ("second-image", "synthesiser-sideband"):
        return {"fX": Fraction(dial_hz) + row["q"] * row["sources_hz"][0]}
    for name in ("signal_hz", "station_hz", "response_hz"):
        if name in row and "kind" not in row:
            return {"fX": Fraction(row[name])}
    return {}


def _adjustment(tuning: Tuning, row: Mapping[str, Any], dial_hz: Fraction | int) -> dict[str, Any]:
    """Return what a set out of adjustment receives at a reading of its scale."""
    dial, own = Fraction(dial_hz), tuning.intermediate_hz
    made = Fraction(tuning.oscillator_hz(dial))
    if row["mechanism"] == "wrong-side":
        return {"fX": dial + 2 * tuning.t * own}
    if row["mechanism"] == "oscillator-off":
        ratio = Fraction(row["ratio"])
        received = own - ratio * made if tuning.side == "sum" else ratio * made - tuning.t * own
        return {"x": ratio, "z": 1 / ratio**2, "fX": received}
    if row["mechanism"] == "if-off-centre":
        nominal, real = row["nominal_hz"], row["intermediate_hz"]
        oscillator = Fraction(Tuning(tuning.side, nominal).oscillator_hz(dial))
        return {
            "fN": Fraction(nominal),
            "fX": real - oscillator if tuning.side == "sum" else oscillator - tuning.t * real,
        }
    return {}


def _other_set(tuning: Tuning, row: Mapping[str, Any], dial_hz: Fraction | int) -> dict[str, Any]:
    theirs = Tuning(
        row.get("culprit_oscillator", tuning.side), row.get("other_if_hz", tuning.intermediate_hz)
    )
    oscillator = theirs.oscillator_hz(Fraction(row["other_dial_hz"]))
    return {
        "fD": Fraction(row["other_dial_hz"]), "fJ": Fraction(theirs.intermediate_hz), "h": row["harmonic"],
        "fX": row["harmonic"] * oscillator,
    }  # fmt: skip
