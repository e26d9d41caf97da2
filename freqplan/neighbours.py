"""Listed stations beside the one tuned in, as the stereo decoder hears them.

With the dial on the wanted station, the distance of a neighbour beats with a carrier of the decoder::

    |fX - fT| + p * 19 kHz - n * 38 kHz = pitch      p = 0 or, for the lines of the pilot, +1, -1;  n = 1, 3, 5

a combination of dial, signal and a fixed part, whatever the IF and the side of the oscillator.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64
from freqplan.findings import Findings, Values, stack, text_column
from freqplan.hearing import (
    JUST_AUDIBLE_DB,
    MASKED_DB,
    NOTHING,
    TINY_DB,
    WHISTLE,
    broadcast_signals,
    protection_db,
    urgency_keys,
    zones_of,
)
from freqplan.hertz import Int64, Ratios
from freqplan.landing import landings
from freqplan.levels import Levels, levels_of
from freqplan.mechanisms import FAMILIES, Family, catalogue
from freqplan.mechanisms.decoder import NEIGHBOUR
from freqplan.mixing import Combinations
from freqplan.reception import Wanted, filter_db, tuned_in
from freqplan.tones import (
    MONO_LIMIT_HZ,
    PILOT_HZ,
    Sideline,
    Zone,
    audible,
    loudness_db,
    pitches_hz,
    sidelines,
)

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

COLUMNS = (
    "heard_on_hz", "wanted", "station", "station_hz", "mechanism", "offset_hz", "zone", "line", "decoder_hz",
    "pitch_hz", "heard", "level_dbuv", "ratio_db", "loudness_db", "protection_margin_db", "margin_db", "tuning_slope",
    "beat_rate", "level_law",
)  # fmt: skip
DETAILS = (
    "station_hz", "mechanism", "zone", "level_dbuv", "ratio_db", "protection_margin_db", "tuning_slope", "beat_rate",
    "level_law",
)  # fmt: skip
TITLE = "Neighbours in the stereo decoder"


def has_decoder(plan: Plan) -> bool:
    """Return whether the plan's set has a stereo decoder that a neighbour can beat in."""
    return any(zone.carrier_hz for zone in zones_of(plan))


def neighbours(plan: Plan, stations: StationList, families: Sequence[Family] = FAMILIES) -> Findings:
    """Return every tone that a listed station makes in the stereo decoder on another one, each tuned on its carrier.

    Parameters
    ----------
    plan : Plan
        The receiver.
    stations : StationList
        Who is on the air.
    families : sequence of Family
        The mechanisms to compute; without this one the table is empty.

    Returns
    -------
    Findings
        One row a tone; where a listed station is not the one heard on its own carrier, there is none.  What is heard
        comes first, by margin; then what has no level, along the dial; then the rest by margin.

    Raises
    ------
    ModelRangeError
        More pairs than `landing.MOST_LANDINGS`.
    SweepError
        The measured response of the front end cannot be read.
    """
    band, hertz = plan.band, stations.frequency_hz
    carriers = np.unique(hertz[(band.low_hz <= hertz) & (hertz <= band.high_hz)])
    known = levels_of(plan)
    there = tuned_in(plan, known, stations, carriers)
    own = np.flatnonzero((there.place >= 0) & (there.frequency_hz == carriers))
    return _table(plan, known, stations, families, carriers[own], there.take(own))


def neighbours_at(
    plan: Plan, stations: StationList, dial_hz: int, families: Sequence[Family] = FAMILIES
) -> Findings:
    """Return the same with the dial at one place: none where nobody is tuned in."""
    known, setting = levels_of(plan), np.array([dial_hz], dtype=np.int64)
    there = tuned_in(plan, known, stations, setting)
    own = np.flatnonzero(there.place >= 0)
    return _table(plan, known, stations, families, setting[own], there.take(own))


def _table(
    plan: Plan, known: Levels | None, stations: StationList, families: Sequence[Family], setting_hz: Int64,
    there: Wanted,
) -> Findings:  # fmt: skip
    """Return the tones at settings (k,) where somebody is tuned in."""
    lines = sidelines(plan.band.deviation_hz)
    computed = NEIGHBOUR.id in catalogue(tuple(families))
    in_decoder = [zone for zone in zones_of(plan) if computed and zone.carrier_hz]
    rows, who = _pairs(stations, there, in_decoder)
    level = np.full(len(stations), np.nan) if known is None else known.at_aerial(stations)
    tables = []
    for zone in in_decoder:
        for line in lines:
            away = _away(line, there.frequency_hz[rows], stations.frequency_hz[who])
            some = audible(zone, away)
            tables.append(
                _tones(
                    plan, known, zone, line, stations=stations, setting_hz=setting_hz[rows[some]],
                    there=there.take(rows[some]), who=who[some], dbuv=level[who[some]],
                )
            )  # fmt: skip
    table = stack(TITLE, tables, COLUMNS, details=DETAILS)
    along = (table.hertz("offset_hz").num, table.hertz("station_hz").num, table.hertz("heard_on_hz").num)
    pilots_last = table.array("line") != lines[0].name
    return table.take(np.lexsort((pilots_last, *along, *urgency_keys(table.floats("margin_db")))))


def _pairs(stations: StationList, there: Wanted, in_decoder: list[Zone]) -> tuple[Int64, Int64]:
    """Return who stands beside whom: rows of `there`, and places in the list; stations in the audio band left out."""
    farthest = max((zone.carrier_hz + zone.limit_hz for zone in in_decoder), default=0) + PILOT_HZ
    order, sorted_hz = stations.rising
    nothing = np.zeros(len(there.place), dtype=np.int64)
    apart = Combinations(nothing, nothing, nothing + 1, 0, -there.frequency_hz)
    rows, places = landings(
        apart,
        nothing + 2 * farthest,
        dial_low_hz=0,
        dial_high_hz=0,
        sorted_hz=sorted_hz,
        what="pairs of stations",
    )
    who = order[places]
    beside = np.abs(stations.frequency_hz[who] - there.frequency_hz[rows]) >= MONO_LIMIT_HZ
    return rows[beside], who[beside]


def _away(line: Sideline, wanted_hz: Int64, neighbour_hz: Int64) -> Int64:
    """Return how far a line of each neighbour lies from the wanted carrier (k,) [Hz]."""
    side = np.where(neighbour_hz > wanted_hz, 1, -1)
    return Combinations(-side, 0 * side, side, 0, line.pilots * PILOT_HZ).offset(wanted_hz, neighbour_hz)


def _tones(
    plan: Plan, known: Levels | None, zone: Zone, line: Sideline, *, stations: StationList, setting_hz: Int64,
    there: Wanted, who: Int64, dbuv: Float64,
) -> Findings:  # fmt: skip
    """Return one row for each neighbour (k,) of those whose line is audible in one zone."""
    hertz = stations.frequency_hz[who]
    away = _away(line, there.frequency_hz, hertz)
    columns: dict[str, Values] = {
        "heard_on_hz": Ratios(setting_hz),
        "wanted": stations.names_at(there.place),
        "station": stations.names_at(who),
        "station_hz": Ratios(hertz),
        "offset_hz": Ratios(np.abs(hertz - there.frequency_hz)),
        "decoder_hz": Ratios(np.full(len(who), zone.carrier_hz, dtype=np.int64)),
        "pitch_hz": Ratios(pitches_hz(zone, away)),
    }
    words = {"mechanism": NEIGHBOUR.id, "zone": zone.name, "line": line.name}
    laws = {"tuning_slope": 1, "beat_rate": 0, "level_law": 1}
    columns |= {name: text_column([value] * len(who)) for name, value in (words | laws).items()}
    if known is not None:
        columns |= _heard(
            known, zone, line, away=away, hertz=hertz, setting_hz=setting_hz, there=there, dbuv=dbuv
        )
    return Findings(TITLE, columns)


def _heard(
    known: Levels, zone: Zone, line: Sideline, *, away: Int64, hertz: Int64, setting_hz: Int64, there: Wanted,
    dbuv: Float64,
) -> dict[str, Values]:  # fmt: skip
    """Return how loud the tones are; the margin is that of the tone alone, the protection ratio is told beside it.

    Wanted and neighbour pass the front end alike: they stand side by side.
    """
    plan, apart = known.plan, hertz - there.frequency_hz
    outwards = np.sign(apart) * line.pilots * PILOT_HZ
    filtered = dbuv + line.level_db - filter_db(plan, hertz + outwards - setting_hz)
    ratio = filtered - (there.level_dbuv - filter_db(plan, there.frequency_hz - setting_hz))
    loudness = loudness_db(
        modulation=plan.band.modulation, zone=zone, offset_hz=away, ratio_db=np.minimum(ratio, -TINY_DB),
        deviation_hz=plan.band.deviation_hz, deemphasis_us=plan.stereo.deemphasis_us,
    )  # fmt: skip
    tone = JUST_AUDIBLE_DB[plan.band.modulation] - loudness
    masked = known.sensitivity_dbuv - filtered - MASKED_DB
    margin = np.where(np.isnan(tone) & (masked >= 0), masked, np.maximum(tone, masked))
    heard = np.where(margin < 0, WHISTLE, NOTHING).astype(object)
    heard[np.isnan(margin)] = None
    needed = np.where(broadcast_signals(plan, hertz), protection_db(plan, np.abs(apart)), np.nan)
    return {
        "heard": heard, "level_dbuv": dbuv, "ratio_db": ratio, "loudness_db": loudness,
        "protection_margin_db": there.level_dbuv - dbuv - needed, "margin_db": margin,
    }  # fmt: skip
