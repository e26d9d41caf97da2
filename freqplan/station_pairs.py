"""One set on this station disturbs another on that one: found by bisection over the list."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations
from typing import TYPE_CHECKING

import numpy as np

from freqplan.errors import ModelRangeError
from freqplan.findings import Findings, stack, text_column
from freqplan.hertz import Int64, Ratios
from freqplan.landing import MOST_LANDINGS, landings
from freqplan.mechanisms import other_sets
from freqplan.mechanisms.kinds import Sums

if TYPE_CHECKING:
    from freqplan.conflicts import Receiver
    from freqplan.stations import StationList

PAIR_COLUMNS = (
    "culprit", "culprit_station", "culprit_station_hz", "victim", "victim_station", "victim_station_hz", "way",
    "harmonic", "culprit_oscillator", "victim_oscillator", "beat_hz",
)  # fmt: skip
SIDES = ("culprit_oscillator", "victim_oscillator")


def station_pairs(sets: Sequence[Receiver], stations: StationList) -> Findings:
    """Return every two listed stations on which one set disturbs another, on the dial or on the image.

    Parameters
    ----------
    sets : sequence of Receiver
        The house.
    stations : StationList
        Who is on the air; both dials stand on carriers of different entries of the list.

    Returns
    -------
    Findings
        Where a harmonic of the culprit's oscillator falls within half the IF filter of the victim; ``beat_hz`` is the
        distance from the middle.  Lowest harmonic first, then the nearest.

    Raises
    ------
    ModelRangeError
        More than `landing.MOST_LANDINGS` pairs.
    """
    tables: list[Findings] = []
    for table in _tables(sets, stations):
        tables.append(table)
        if sum(map(len, tables)) > MOST_LANDINGS:
            raise ModelRangeError(
                f"more than {MOST_LANDINGS} pairs of stations: shorten the list or lower the orders"
            )
    one_side = all(len(each.tunings) == 1 for each in sets)
    whole = stack(
        "Stations on which sets disturb each other", tables, PAIR_COLUMNS, details=SIDES if one_side else ()
    )
    beat = np.abs(whole.array("beat_hz").astype(np.int64))
    return whole.take(np.lexsort((beat, whole.array("harmonic").astype(np.int64))))


def _tables(sets: Sequence[Receiver], stations: StationList) -> Iterator[Findings]:
    for culprit, victim in permutations(sets, 2):
        for tuned in culprit.tunings:
            for other in victim.tunings:
                sums = other_sets.between(tuned, other, victim.plan.orders.oscillator)
                on_dial_or_image = np.flatnonzero(sums.combinations.a)
                yield _table(culprit, victim, sums.take(on_dial_or_image), stations)


def _on_the_dial(each: Receiver, stations: StationList) -> tuple[Int64, Int64]:
    """Return the places of the listed stations that a set can be tuned to, by rising frequency, and those [Hz]."""
    places, listed = stations.rising
    low_hz, high_hz = each.ends_hz
    first, last = np.searchsorted(listed, low_hz), np.searchsorted(listed, high_hz, side="right")
    return places[first:last], listed[first:last]


def _table(culprit: Receiver, victim: Receiver, sums: Sums, stations: StationList) -> Findings:
    of_culprit, tuned_hz = _on_the_dial(culprit, stations)
    of_victim, listed_hz = _on_the_dial(victim, stations)
    # Every sum with the culprit on every station: its dial is given, and the victim's is what is sought.
    row = np.repeat(np.arange(len(sums)), len(tuned_hz))
    dial = np.tile(tuned_hz, len(sums))
    window = np.full(len(row), victim.plan.if_filter.bandwidth_hz, dtype=np.int64)
    found, place = landings(
        sums.combinations.take(row).exchanged(), window, dial_low_hz=dial, dial_high_hz=dial, sorted_hz=listed_hz,
        what="pairs of stations",
    )  # fmt: skip
    own = np.tile(of_culprit, len(sums))[found]
    differ = own != of_victim[place]
    found, place, own = found[differ], place[differ], own[differ]
    chosen = sums.take(row[found])
    return Findings(
        "",
        {
            "culprit": text_column([culprit.name] * len(found)),
            "culprit_station": stations.names_at(own),
            "culprit_station_hz": Ratios(dial[found]),
            "victim": text_column([victim.name] * len(found)),
            "victim_station": stations.names_at(of_victim[place]),
            "victim_station_hz": Ratios(listed_hz[place]),
            **{name: chosen.array(name) for name in ("way", "harmonic", *SIDES)},
            "beat_hz": chosen.combinations.offset(listed_hz[place], dial[found]),
        },
    )
