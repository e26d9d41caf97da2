"""One set in one town: how many listed stations are disturbed, and by how much."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.birdies import birdies
from freqplan.ghosts import ghosts_at_settings
from freqplan.levels import levels_of
from freqplan.mechanisms import one_signal, own_if
from freqplan.mixing import tunings
from freqplan.products import products
from freqplan.reception import tuned_in

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

Mask = npt.NDArray[np.bool_]

COUNTS = ("affected", "disturbed", "on_harmonic", "unknown", "ghosts", "images", "half_ifs", "sums")
"""What is counted of one set in one town."""


@dataclass(frozen=True)
class Score:
    """One set in one town.

    Attributes
    ----------
    affected : int
        Listed stations that are disturbed or stand on a harmonic of the IF.
    disturbed : int
        Listed stations with which tuned in a ghost, a whistle or noise is heard by its level.
    on_harmonic : int
        Listed stations inside the band within half the IF filter of a harmonic of the IF.
    unknown : int
        Listed stations, not affected, on which something of unknown level lands.
    ghosts, images, half_ifs : int
        Ghosts heard somewhere on the dial, also between stations; how many of them by image and by half-IF.
    sums : int
        Sums of stations heard, where they are asked for.
    margin_db : float [dB]
        The least margin on a station; negative: heard.  NaN where none is known.
    """

    affected: int
    disturbed: int
    on_harmonic: int
    unknown: int
    ghosts: int
    images: int
    half_ifs: int
    sums: int
    margin_db: float


def score(plan: Plan, stations: StationList, *, sums: bool = False) -> Score:
    """Count what listed stations suffer on a set.

    Parameters
    ----------
    plan : Plan
        The set.
    stations : StationList
        Who is on the air.
    sums : bool
        Whether sums of several stations count too, each where it is heard best.

    Raises
    ------
    ModelRangeError
        Far more stations than any town has.
    SweepError
        The measured response of the front end cannot be read.
    """
    tally = _Tally(len(stations))
    heard: dict[str, int] = {}
    for part in ghosts_at_settings(plan, tunings(plan), stations):
        tally.add(part.wanted, part.margin_db)
        audible = part.margin_db < 0
        first = np.unique(part.rows[audible], return_index=True)[1]
        for mechanism in part.mechanism[audible][first].tolist():
            heard[mechanism] = heard.get(mechanism, 0) + 1
    summed = _add_sums(plan, stations, tally) if sums else 0
    harmonic = on_harmonics(plan, stations)
    affected = tally.disturbed | harmonic
    return Score(
        affected=int(affected.sum()), disturbed=int(tally.disturbed.sum()), on_harmonic=int(harmonic.sum()),
        unknown=int((tally.unknown & ~affected).sum()), ghosts=sum(heard.values()),
        images=heard.get(one_signal.IMAGE.id, 0), half_ifs=heard.get(one_signal.HALF_IF.id, 0), sums=summed,
        margin_db=tally.margin_db,
    )  # fmt: skip


class _Tally:
    """Which of the listed stations are disturbed, and which may be."""

    def __init__(self, stations: int) -> None:
        self.disturbed: Mask = np.zeros(stations, dtype=bool)
        self.unknown: Mask = np.zeros(stations, dtype=bool)
        self.margin_db = float("nan")

    def add(self, wanted: npt.NDArray[np.int64], margin_db: npt.NDArray[np.float64]) -> None:
        """Take in margins (h,) [dB] on who is tuned in, by place (h,), -1 where nobody is."""
        on = wanted >= 0
        self.disturbed[wanted[on & (margin_db < 0)]] = True
        self.unknown[wanted[on & np.isnan(margin_db)]] = True
        self.margin_db = float(np.fmin.reduce(margin_db[on], initial=self.margin_db))


def _add_sums(plan: Plan, stations: StationList, tally: _Tally) -> int:
    """Add the sums of stations that a survey lists, and return how many are heard."""
    table = products(plan, tunings(plan), stations).table
    margin, setting = table.floats("margin_db"), table.hertz("heard_on_hz")
    known = setting.known
    place = np.full(len(margin), -1, dtype=np.int64)
    place[known] = tuned_in(plan, levels_of(plan), stations, setting.num[known] // setting.den[known]).place
    tally.add(place, margin)
    return int((margin < 0).sum())


def on_harmonics(plan: Plan, stations: StationList) -> Mask:
    """Return which stations inside the band lie within half the IF filter of a harmonic of the IF; (k,)."""
    table = birdies(plan, tunings(plan), (own_if.FAMILY,))
    spots = table.take(table.array("mechanism") == own_if.IF_HARMONIC.id).hertz("dial_hz")
    carrier, band = stations.frequency_hz[:, None], plan.band
    near = 2 * np.abs(carrier * spots.den - spots.num) <= plan.if_filter.bandwidth_hz * spots.den
    inside = (band.low_hz <= stations.frequency_hz) & (stations.frequency_hz <= band.high_hz)
    found: Mask = inside & near.any(axis=1)
    return found
