"""Pitch against offset: which offsets of a carrier give a note, and how loud it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from freqplan.arguments import checked
from freqplan.errors import ModelRangeError
from freqplan.findings import Findings, text_column
from freqplan.hearing import (
    JUST_AUDIBLE_DB,
    NOISE,
    NOTHING,
    WHISTLE,
    decoder_of,
    is_broadcast_set,
    protection_db,
    zones_of,
)
from freqplan.hertz import HZ_IN, Ratios, decimal_text, whole_hertz
from freqplan.plan_reading import hertz_text
from freqplan.reception import filter_db
from freqplan.results import Result
from freqplan.tones import Zone, loudness_db, offsets_hz, pitches_hz

if TYPE_CHECKING:
    from freqplan.plan import Plan

USUAL_RATIO_DB = -30.0
FARTHEST_HZ = 400_000
USUAL_OFFSETS_KHZ = {
    "fm": (1, 3, 5, 8, 10, 12, 14, 20, 25, 30, 35, 41, 46, 50, 75, 100, 106, 150, 182, 200),
    "am": (1, 2, 3, 4, 5, 6, 8, 9, 10),
}
"""What is listed when neither pitch nor offset is asked for: notes, and neighbours in the usual rasters."""


@dataclass(frozen=True)
class Whistle(Result):
    """What a weak unmodulated carrier beside the wanted one sounds like.

    Attributes
    ----------
    ratio_db : float [dB]
        Unwanted to wanted carrier, before the IF filter.
    pitch_hz, offset_hz : int or None [Hz]
        The one asked for: every offset that gives this pitch, or what this offset gives.
    """

    command: ClassVar[str] = "whistle"
    table_names: ClassVar[tuple[str, ...]] = ("tones",)

    ratio_db: float = field(default=USUAL_RATIO_DB, kw_only=True)
    pitch_hz: int | None = field(default=None, kw_only=True)
    offset_hz: int | None = field(default=None, kw_only=True)

    @cached_property
    def tones(self) -> Findings:
        """One row for each tone, and one for each offset without any; on either side of the carrier alike."""
        pairs = list(self._pairs())
        offset = np.array([offset for offset, _ in pairs], dtype=np.int64)
        rows = [self._tone(offset, zone) for offset, zone in pairs]
        loss = filter_db(self.plan, offset)
        protection = -self.ratio_db - protection_db(self.plan, offset)
        loudness = np.array([row[1] for row in rows], dtype=np.float64)
        tone = JUST_AUDIBLE_DB[self.plan.band.modulation] - loudness
        margin = np.fmin(tone, protection)
        heard = np.where(tone < 0, WHISTLE, np.where(margin < 0, NOISE, NOTHING)).astype(object)
        return Findings(
            "What a carrier beside the wanted one sounds like",
            {
                "offset_hz": Ratios(offset),
                "heard": heard,
                "zone": text_column([zone.name if zone else None for _, zone in pairs]),
                "pitch_hz": Ratios.of([row[0] for row in rows]),
                "filter_db": loss,
                "loudness_db": loudness,
                "protection_margin_db": protection,
                "margin_db": margin,
            },
        )

    @property
    def _zones(self) -> tuple[Zone, ...]:
        return zones_of(self.plan)

    def _pairs(self) -> Iterator[tuple[int, Zone | None]]:
        """Yield the offsets to list, each with the zone that makes a tone of it."""
        if self.pitch_hz is not None:
            yield from offsets_hz(self.pitch_hz, self._zones)
            return
        asked = (
            [self.offset_hz]
            if self.offset_hz is not None
            else [HZ_IN["kHz"] * khz for khz in USUAL_OFFSETS_KHZ[self.plan.band.modulation]]
        )
        for offset in asked:
            sounding = [zone for zone in self._zones if self._tone(offset, zone)[0] is not None]
            yield from ((offset, zone) for zone in sounding)
            if not sounding:
                yield offset, None

    def _tone(self, offset_hz: int, zone: Zone | None) -> tuple[int | None, float]:
        """Return pitch and loudness of one offset in one zone; None and NaN where it makes no tone."""
        plan, at = self.plan, np.array([offset_hz], dtype=np.int64)
        if zone is None:
            return None, float("nan")
        loudness = loudness_db(
            modulation=plan.band.modulation, zone=zone, offset_hz=at, ratio_db=self.ratio_db - filter_db(plan, at),
            deviation_hz=plan.band.deviation_hz, deemphasis_us=plan.stereo.deemphasis_us,
        )  # fmt: skip
        pitch = int(pitches_hz(zone, at)[0])
        return (None, float("nan")) if np.isnan(loudness[0]) else (pitch, float(loudness[0]))

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the plan, and what was asked."""
        asked = f"unwanted carrier {self.ratio_db:g} dB against the wanted one, before the IF filter"
        if self.pitch_hz is not None:
            pitch = decimal_text(self.pitch_hz, unit_hz=HZ_IN["kHz"], decimals=1, extra=2)
            return (*super().headlines, f"Every offset that gives {pitch} kHz; {asked}")
        return (*super().headlines, asked[0].upper() + asked[1:])

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return the ratio and what was asked for."""
        return {"ratio_db": self.ratio_db, "pitch_asked_hz": self.pitch_hz, "offset_asked_hz": self.offset_hz}

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return what the figures rest on."""
        own, modulation = self.plan.if_filter, self.plan.band.modulation
        lines = [
            "Both carriers unmodulated; the set stands on the wanted one. Each offset holds above and below it.",
            f"IF filter {hertz_text(own.bandwidth_hz)} wide at -3 dB and "
            f"{decimal_text(own.skirts_hz, unit_hz=HZ_IN['kHz'], decimals=0)} kHz at -20 dB.",
        ]
        if modulation == "fm":
            stereo = self.plan.stereo
            lines += [
                f"Loudness against full programme ({hertz_text(self.plan.band.deviation_hz)} deviation) after a "
                f"de-emphasis of {stereo.deemphasis_us:g} us; decoder: {decoder_of(self.plan)}. "
                "In stereo the note is in anti-phase, left against right: in mono it goes.",
            ]
            if is_broadcast_set(self.plan):
                kept = "by how much the ratio of Rec. ITU-R BS.412 is kept (steady interference; from memory)"
                lines.append(f"Protection: {kept}.")
        else:
            lines.append("Loudness against full modulation.")
        return (
            *lines,
            f"Margin: below {JUST_AUDIBLE_DB[modulation]:.0f} dB a tone is not heard; negative is heard.",
        )

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return none: this is a table to read."""
        return ()


@checked
def whistle(
    plan: Plan, *, pitch_hz: int | None = None, offset_hz: int | None = None, ratio_db: float = USUAL_RATIO_DB
) -> Whistle:
    """Tell pitch and loudness of the whistle that a weak carrier makes beside the wanted one.

    Parameters
    ----------
    plan : Plan
        Gives modulation, stereo decoder, de-emphasis and IF filter.
    pitch_hz : int, optional [Hz]
        A note heard: every offset that gives it is listed.
    offset_hz : int, optional [Hz]
        An offset: every tone that it gives is listed.  Without either, the usual ones.
    ratio_db : float [dB]
        Unwanted to wanted carrier before the IF filter; below 0.

    Returns
    -------
    Whistle

    Raises
    ------
    ModelRangeError
        The ratio is not below 0 (the stronger carrier takes over), both pitch and offset are asked for, or one is
        no whole number of hertz, or out of range.
    """
    if pitch_hz is not None and offset_hz is not None:
        raise ModelRangeError("give either a pitch or an offset")
    if not -200 <= ratio_db < 0:
        raise ModelRangeError(
            f"ratio {ratio_db:g} dB: give less than 0, down to -200: the weaker carrier against the stronger one"
        )
    pitch = None if pitch_hz is None else whole_hertz(pitch_hz, "pitch")
    offset = None if offset_hz is None else abs(whole_hertz(offset_hz, "offset"))
    if offset is not None and not 0 < offset <= FARTHEST_HZ:
        raise ModelRangeError(
            f"offset {hertz_text(offset)}: give more than 0 and at most {hertz_text(FARTHEST_HZ)}"
        )
    if pitch is not None:
        highest = max(zone.limit_hz for zone in zones_of(plan))
        if not 0 < pitch < highest:
            raise ModelRangeError(
                f"pitch {hertz_text(pitch)}: give more than 0 and less than {hertz_text(highest)}"
            )
    return Whistle(plan, ratio_db=ratio_db, pitch_hz=pitch, offset_hz=offset)
