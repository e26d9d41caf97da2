"""Where another receiver stands whose oscillator is heard: the settings of its dial that a pitch leaves open."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from freqplan.hertz import HZ_IN, decimal_text

if TYPE_CHECKING:
    from freqplan.diagnosis.told_sums import Told

WAYS = {"wanted": "on the dial setting", "image": "on the image", "if": "in the IF"}


def settings_hz(told: Told, offsets_hz: tuple[int, ...]) -> tuple[Fraction, ...]:
    """Return the dial settings of the other set that put its oscillator so far beside here [Hz]."""
    assert told.block.sums is not None
    assert told.at_hz is not None
    one = told.combination
    steady = one.without_signal(told.at_hz)[0]
    return tuple(Fraction(int(offset - steady), int(one.c[0])) for offset in offsets_hz)


def culprit_words(told: Told) -> str:
    """Write whose oscillator, which harmonic, where it falls, and where its dial then stands."""
    assert told.block.sums is not None
    place, rounding = int(told.some.row[0]), told.scene.plan.rounding
    way, h = told.block.sums.array("way")[place], int(told.block.sums.array("harmonic")[place])
    culprit = told.block.tuning
    harmonic = "its oscillator" if h == 1 else f"harmonic {h} of its oscillator"
    kind = f"a set with the oscillator {culprit.side}, IF {rounding.fine(culprit.intermediate_hz)}"
    if told.at_hz is None:
        return f"{harmonic} falls {WAYS[way]}: {kind}"
    offsets = told.spot.offsets_hz or (0,)
    stands = sorted(settings_hz(told, offsets))
    text = f"{harmonic} falls {WAYS[way]}: {kind}, tuned to {' or '.join(map(rounding.fine, stands))}"
    if not told.spot.offsets_hz:
        return text
    away = sorted({abs(offset) for offset in told.spot.offsets_hz})
    khz = " or ".join(decimal_text(one, unit_hz=HZ_IN["kHz"], decimals=0, extra=3) for one in away)
    return f"{khz} kHz beside {rounding.fine(told.at_hz)}: {text}"
