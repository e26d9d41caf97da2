"""What is said of a sound: its notes by the engine, and its level."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from freqplan.baseband import TONE_DEPTH, Glide, Pair
from freqplan.hertz import HZ_IN, decimal_text
from freqplan.plan_reading import hertz_text
from freqplan.reception import filter_db
from freqplan.tones import MONO_LIMIT_HZ, Zone, loudness_db, pitches_hz, zones

if TYPE_CHECKING:
    from freqplan.plan import Plan


def heard_words(plan: Plan, pair: Pair, decoder: str) -> Iterator[str]:
    """Yield in sentences what is heard of two carriers in a set that listens with a decoder, or with ``"none"``."""
    fm = plan.band.modulation == "fm"
    if pair.tone_hz:
        more = (
            f"; the intruder, made of it, carries it {abs(pair.copies)} times over"
            if pair.copies and fm
            else ""
        )
        yield f"The wanted carrier has a tone of {hertz_text(pair.tone_hz)}, {TONE_DEPTH:.0%} of full programme{more}."
    if pair.ratio_db > 0:
        both = "the limiter holds it, and the wanted one is the whistle" if fm else "both are heard"
        yield f"The intruder is the stronger carrier: {both}."
    start, end = distance_hz(pair, 0), distance_hz(pair, 1)
    if start != end:
        yield f"At the start {notes_words(plan, pair, decoder, 0)}."
        yield f"At the end {notes_words(plan, pair, decoder, 1)}."
    else:
        moves = pair.intruder.start_hz != pair.intruder.end_hz or pair.wanted.start_hz != pair.wanted.end_hz
        yield f"{'At both ends' if moves else 'All along'} {notes_words(plan, pair, decoder, 0)}."
    if decoder != "none":
        yield "Notes made by the decoder are in anti-phase left and right: of both together nothing is left."


def level_words(raised_db: float) -> str:
    """Return how the level was changed against full programme at half of full scale."""
    shown = f"{abs(raised_db):.1f} dB"
    if shown == "0.0 dB":
        return "Level as heard: full programme would be half of full scale."
    how = f"raised by {shown} to be heard" if raised_db > 0 else f"lowered by {shown} to be borne"
    return (
        f"Level {how}: beside full programme it would be so much {'softer' if raised_db > 0 else 'louder'}."
    )


def distance_hz(pair: Pair, share: float) -> int:
    """Return how far the two carriers are apart after a share of the sound [Hz]."""
    return round(abs(pair.intruder.at_hz(share) - pair.wanted.at_hz(share)))


def notes(plan: Plan, pair: Pair, decoder: str, share: float) -> Iterator[tuple[Zone, int, float]]:
    """Yield zone, pitch [Hz] and loudness [dB] of every note after a share of the sound, by the engine."""
    offset = np.array([distance_hz(pair, share)], dtype=np.int64)
    lost = [_lost_db(plan, one, share) for one in (pair.wanted, pair.intruder)]
    ratio_db = pair.ratio_db + lost[0] - lost[1]
    for zone in zones(plan.band.modulation, decoder, MONO_LIMIT_HZ):
        (loudness,) = loudness_db(
            modulation=plan.band.modulation, zone=zone, offset_hz=offset, ratio_db=-abs(ratio_db),
            deviation_hz=plan.band.deviation_hz, deemphasis_us=plan.stereo.deemphasis_us,
        ).tolist()  # fmt: skip
        if not np.isnan(loudness):
            yield zone, int(pitches_hz(zone, offset)[0]), loudness


def _lost_db(plan: Plan, glide: Glide, share: float) -> float:
    where = np.array([round(glide.at_hz(share))], dtype=np.int64)
    return float(filter_db(plan, where)[0])


def notes_words(plan: Plan, pair: Pair, decoder: str, share: float) -> str:
    """Return how far apart the carriers are after a share of the sound, and the notes that they make."""
    apart = distance_hz(pair, share)
    if not apart:
        return "zero beat"
    named = [
        f"{decimal_text(pitch, unit_hz=HZ_IN['kHz'], decimals=1, extra=2)} kHz ({zone.name}), "
        f"{-loudness:.1f} dB below full {'programme' if plan.band.modulation == 'fm' else 'modulation'}"
        for zone, pitch, loudness in notes(plan, pair, decoder, share)
    ]
    return f"{hertz_text(apart)} apart: {'a note of ' + ' and of '.join(named) if named else 'no note'}"
