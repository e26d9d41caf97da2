"""The edges of a map: who lives where on one side, the listed stations on the other."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from freqplan.charts.drawing import FAINT, INK, PAPER, label
from freqplan.charts.labels import fits, spread
from freqplan.charts.sheets import Box, Sheet, letters

if TYPE_CHECKING:
    from freqplan.charts.map_parts import Station
    from freqplan.services import Service

NAME_GAP_MM = 2.9
"""From one name to the next."""

LEADER_MM = 3.0
"""From what is named to its name; names may stand a little above or below."""

WEAKEST_DBUV, STRONGEST_DBUV = 20.0, 90.0
"""Levels at which the mark of a station is shortest and longest."""

BOLDER = 1.15
"""By how much bold letters are wider."""

SHORTEST_MM, LONGEST_MM = 1.5, 7.0
LANE_MM, MOST_LANES = 2.0, 3

Height = Callable[[float], float]
"""From hertz to the height on the sheet [mm]."""


def name_services(sheet: Sheet, box: Box, services: Sequence[Service], height: Height) -> None:
    """Draw services as bands with their names left of them, safety services hatched.

    Parameters
    ----------
    sheet : Sheet
        Where to draw.
    box : Box
        The place for names and bands; what reaches beyond it is cut off.
    services : sequence of Service
        Who lives there.
    height : callable
        Where a frequency is on the sheet.
    """
    top = box.bottom + box.height
    lanes = _lanes(services)
    bands_left = box.left + box.width - LANE_MM * max(lanes, default=0) - LANE_MM
    middles = []
    for service, lane in zip(services, lanes, strict=True):
        low, high = max(box.bottom, height(service.low_hz)), min(top, height(service.high_hz))
        band = Box(box.left + box.width - LANE_MM * (lane + 1), low, LANE_MM, max(high - low, 0.3))
        hatch = {"hatch": "//////", "facecolor": PAPER} if service.safety else {"facecolor": "#d9d9d9"}
        sheet.block(band, edgecolor=INK, linewidth=0.4, **hatch)
        middles.append((low + high) / 2)
    by_weight = sorted(range(len(services)), key=lambda i: (not services[i].safety, _width_hz(services[i])))
    kept = _with_room(middles, by_weight, box)
    names_right = bands_left - LEADER_MM
    places = _apart([middles[i] for i in kept], box)
    leaders = []
    for i, place in zip(kept, places, strict=True):
        sheet.text(names_right, place, label(services[i].name, letters(names_right - box.left)), ha="right")
        own_left = box.left + box.width - LANE_MM * (lanes[i] + 1)
        leaders.append(((names_right + 0.6, place), (own_left, middles[i])))
    sheet.strokes(leaders, color=FAINT, linewidths=0.35)


def name_stations(
    sheet: Sheet, box: Box, stations: Sequence[Station], height: Height, *, first: Iterable[int]
) -> None:
    """Draw the marks of stations, longer and darker the stronger they are, and right of them the names that have room.

    Parameters
    ----------
    sheet : Sheet
        Where to draw.
    box : Box
        The place for marks and names.
    stations : sequence of Station
        Those in the picture.
    height : callable
        Where a frequency is on the sheet.
    first : iterable of int [Hz]
        Carriers of stations whose names come before all others.
    """
    ahead = set(first)
    middles = [height(station.frequency_hz) for station in stations]
    shares = [strength(station.level_dbuv) for station in stations]
    ends = [box.left + SHORTEST_MM + share * (LONGEST_MM - SHORTEST_MM) for share in shares]
    sheet.strokes(
        [((box.left, middle), (end, middle)) for end, middle in zip(ends, middles, strict=True)],
        color=INK,
        linewidths=[0.4 + 0.8 * share for share in shares],
    )
    by_weight = sorted(
        range(len(stations)),
        key=lambda i: (stations[i].frequency_hz not in ahead, -shares[i]),
    )
    kept = _with_room(middles, by_weight, box)
    names_left = box.left + LONGEST_MM + LEADER_MM
    places = _apart([middles[i] for i in kept], box)
    leaders = []
    for i, place in zip(kept, places, strict=True):
        weight, wider = ("bold", BOLDER) if stations[i].frequency_hz in ahead else ("normal", 1.0)
        name = label(stations[i].name, letters((box.left + box.width - names_left) / wider))
        sheet.text(names_left, place, name, fontweight=weight)
        leaders.append(((names_left - 0.6, place), (box.left + LONGEST_MM + 0.3, middles[i])))
    sheet.strokes(leaders, color=FAINT, linewidths=0.35)


def strength(level_dbuv: float | None) -> float:
    """Return how strong a station is drawn, from 0 (weak, or of unknown level) to 1."""
    if level_dbuv is None:
        return 0.0
    return min(max((level_dbuv - WEAKEST_DBUV) / (STRONGEST_DBUV - WEAKEST_DBUV), 0.0), 1.0)


def _with_room(middles: Sequence[float], by_weight: Sequence[int], box: Box) -> list[int]:
    """Return which of the things named can have a name near them, the most important ones first."""
    # Names may move a little, so they need less room where they belong than where they stand.
    near = fits([middles[i] for i in by_weight], 0.75 * NAME_GAP_MM)
    most = int(box.height / NAME_GAP_MM) - 1
    return [by_weight[i] for i in near[:most]]


def _apart(middles: Sequence[float], box: Box) -> list[float]:
    half = NAME_GAP_MM / 2
    return spread(middles, gap=NAME_GAP_MM, low=box.bottom + half, high=box.bottom + box.height - half)


def _width_hz(service: Service) -> int:
    return service.low_hz - service.high_hz


def _lanes(services: Sequence[Service]) -> list[int]:
    """Return beside one another what lies in the same part of the spectrum: a lane for each, the first by the axis."""
    ends: list[int] = []
    lanes = []
    for service in services:
        lane = next((i for i, end in enumerate(ends) if end <= service.low_hz), len(ends))
        lane = min(lane, MOST_LANES - 1)
        if lane == len(ends):
            ends.append(0)
        ends[lane] = max(ends[lane], service.high_hz)
        lanes.append(lane)
    return lanes
