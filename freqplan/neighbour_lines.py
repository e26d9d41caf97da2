"""Lines of the card, and of what is heard, for stations disturbed in the stereo decoder: one for each of them."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby
from typing import TYPE_CHECKING, Any

from freqplan.cardlines import EITHER, LEVELS, Card, Line, Row, urgency
from freqplan.findings import Findings
from freqplan.heard import COLUMNS, DETAILS
from freqplan.hertz import HZ_IN, Rounding, decimal_text
from freqplan.tones import CARRIER, MONO_LIMIT_HZ, PILOT_HZ, SUBCARRIER_HZ
from freqplan.words import heard_words

if TYPE_CHECKING:
    from freqplan.plan import Plan

MOST_NAMED = 4
"""Further tones that a line names."""


def neighbour_lines(card: Card, table: Findings | None) -> Iterator[Line]:
    """Write one line for each wanted station on which a neighbour is heard, or may be; the worst tone leads."""
    for tones in _by_wanted(table):
        disturbing = [row for row in tones if row["margin_db"] is None or row["margin_db"] < 0]
        if disturbing:
            yield _line(card, disturbing)


def heard_neighbours(plan: Plan, table: Findings) -> Findings:
    """Return the wanted stations on which a neighbour is heard by its level, worst first, one row each.

    Parameters
    ----------
    plan : Plan
        The receiver.
    table : Findings
        The neighbours of the survey.

    Returns
    -------
    Findings
        The columns of `heard.heard`; the row is that of the worst tone, ``stations`` are all neighbours heard there.
    """
    rows = []
    for tones in _by_wanted(table):
        heard = [row for row in tones if row["margin_db"] is not None and row["margin_db"] < 0]
        if heard:
            here = heard[0]["heard_on_hz"]
            more = {
                "heard_low_hz": here, "heard_high_hz": here, "oscillator": _side(plan),
                "stations": _names(heard), "sum": decoder_sum(heard[0], plan.rounding),
            }  # fmt: skip
            rows.append({**dict.fromkeys(COLUMNS), **heard[0], **more})
    rows.sort(key=urgency)
    return Findings.of_rows("Heard in the stereo decoder, worst first", rows, COLUMNS, details=DETAILS)


def decoder_sum(row: Row, rounding: Rounding) -> str:
    """Write the sum behind a tone on the wanted carrier.

    Such as ``99.80 − 99.70 = 100 kHz; 100 + 19 − 3 × 38 = 5 kHz``; the band's rounding may leave out single hertz of
    the carriers, while the distance is exact.
    """
    offset, decoder, pitch = row["offset_hz"], row["decoder_hz"], row["pitch_hz"]
    low, high = sorted((row["station_hz"], row["heard_on_hz"]))
    pilots = 0 if row["line"] == CARRIER.name else 1 if abs(offset + PILOT_HZ - decoder) == pitch else -1
    times = decoder // SUBCARRIER_HZ
    carrier = _khz(SUBCARRIER_HZ) if times == 1 else f"{times} × {_khz(SUBCARRIER_HZ)}"
    above = offset + pilots * PILOT_HZ > decoder
    pilot = "" if not pilots else f" {'+' if (pilots > 0) == above else '−'} {_khz(PILOT_HZ)}"
    beat = f"{_khz(offset)}{pilot} − {carrier}" if above else f"{carrier} − {_khz(offset)}{pilot}"
    return f"{rounding.fine(high)} − {rounding.fine(low)} = {_khz(offset)} kHz; {beat} = {_khz(pitch)} kHz"


def _by_wanted(table: Findings | None) -> Iterator[list[dict[str, Any]]]:
    """Yield the tones on each wanted station, worst first; without levels those of carriers before those of pilots."""

    def setting(row: Row) -> Any:
        return row["heard_on_hz"]

    rows = [] if table is None else sorted(table.rows(), key=setting)
    for _, tones in groupby(rows, key=setting):
        yield sorted(tones, key=lambda row: (urgency(row), row["line"] != CARRIER.name, row["offset_hz"]))


def _line(card: Card, tones: list[dict[str, Any]]) -> Line:
    first, *others = tones
    setting, mechanism = Fraction(first["heard_on_hz"]), card.words[first["mechanism"]]
    known = [] if first["heard"] is None else [heard_words(first, card.rounding, am=False)]
    named = list(dict.fromkeys(f"{row['station']} {_khz(row['pitch_hz'])} kHz" for row in others))
    more = f" and {len(named) - MOST_NAMED} more" if len(named) > MOST_NAMED else ""
    also = [f"on the same station also {', '.join(named[:MOST_NAMED])}{more}"] if named else []
    on = [] if known else [f"on {first['wanted']}"]
    why = f"{mechanism.title}: {decoder_sum(first, card.rounding)}"
    return Line(
        kind="dial",
        mechanism=mechanism.id,
        oscillator=_side(card.plan),
        frequency_hz=setting,
        dial_hz=setting,
        stations=_names(tones),
        why="; ".join((why, *on, *known, *also)),
        what_to_do=card.check(first) + _left_in_mono(first),
        rank=(2, -1, -max(card.level(row["station"], row["station_hz"]) for row in tones), setting),
        levels={name: first.get(name) for name in LEVELS},
    )


def _left_in_mono(row: Row) -> str:
    """Return what is to be said where the pilots bring a tone of their own to the audio band."""
    pitch = abs(row["offset_hz"] - PILOT_HZ)
    if not 0 < pitch < MONO_LIMIT_HZ:
        return ""
    return f" In mono a weak tone of {_khz(pitch)} kHz is left, by the pilots."


def _side(plan: Plan) -> str:
    return plan.sides[0] if len(plan.sides) == 1 else EITHER


def _names(rows: list[dict[str, Any]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row["station"] for row in rows))


def _khz(hertz: Fraction | int) -> str:
    return decimal_text(hertz, unit_hz=HZ_IN["kHz"], decimals=0, extra=3)
