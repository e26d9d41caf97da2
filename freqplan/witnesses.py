"""Which carriers the evidence speaks of: names and frequencies as written, against the list of stations."""

from __future__ import annotations

import difflib
import itertools
import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from freqplan.errors import EvidenceError, Fault
from freqplan.evidence import Evidence, Symptom
from freqplan.hertz import Int64, QuantityError, parse_hertz, quoted
from freqplan.plan import Plan
from freqplan.stations import StationList, frequency_name

MOST_SHOWN = 3
"""Stations that a message names at most."""

MOST_COMPARED = 2_000
"""Names of a list that a misspelt one is compared with; comparing takes much longer than looking up."""

_LISTS = ("programme_of", "notch_stops", "notch_keeps")
_BARE_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?", re.ASCII)
_ALMOST_A_FREQUENCY = re.compile(
    r"[+-]?[0-9]+(?:[.,][0-9]+)?\s*(?:[kMG]?Hz|[kM]c/s)?", re.ASCII | re.IGNORECASE
)


class Carrier(NamedTuple):
    """A station the evidence speaks of: its name, or its frequency in words, and its carrier [Hz]."""

    name: str
    frequency_hz: int


@dataclass(frozen=True)
class Witness:
    """The stations that one symptom speaks of.

    Attributes
    ----------
    on_station : Carrier or None
        The wanted station that is disturbed.
    programme_of : tuple of Carrier
        Those recognised in the disturbance.
    notch_stops, notch_keeps : tuple of Carrier
        Those whose notch made it stop, or made no difference.
    remarks : tuple of str
        What was assumed, each with its place.
    """

    on_station: Carrier | None = None
    programme_of: tuple[Carrier, ...] = ()
    notch_stops: tuple[Carrier, ...] = ()
    notch_keeps: tuple[Carrier, ...] = ()
    remarks: tuple[str, ...] = ()


def witnesses(plan: Plan, evidence: Evidence, stations: StationList | None) -> tuple[Witness, ...]:
    """Find the carriers that the evidence speaks of.

    A text with a unit is a frequency; the nearest listed station within half a raster of it is taken.  Else it
    is a name: as listed, or in another case, or the part of one name only.  A bare number that is nobody's name
    counts in MHz or kHz, as the band is written.

    Parameters
    ----------
    plan : Plan
        Its raster and unit are used.
    evidence : Evidence
        The symptoms.
    stations : StationList or None
        Without one, frequencies only.

    Returns
    -------
    tuple of Witness
        One for each symptom.

    Raises
    ------
    EvidenceError
        Holds every text that names no station, or several.
    """
    directory = _Directory(plan, stations)
    faults, found = [], []
    for index, symptom in enumerate(evidence.symptoms):
        carriers: dict[str, list[Carrier]] = {field: [] for field in ("on_station", *_LISTS)}
        remarks = []
        for field, key, text in _texts(index, symptom):
            try:
                carrier, remark = directory.find(text)
            except QuantityError as error:
                faults.append(Fault(error.what, error.hint, key=key, found=f'"{text}"'))
                continue
            carriers[field].append(carrier)
            remarks += [f"{key}: {remark}"] if remark else []
        on_station = next(iter(carriers.pop("on_station")), None)
        lists = {field: tuple(several) for field, several in carriers.items()}
        found.append(Witness(on_station, **lists, remarks=tuple(remarks)))
    if faults:
        raise EvidenceError(evidence.placed(faults))
    return tuple(found)


def _texts(index: int, symptom: Symptom) -> Iterator[tuple[str, str, str]]:
    """Yield attribute, dotted key and text of everything that names a station."""
    if symptom.on_station is not None:
        yield "on_station", f"symptom[{index}].on_station", symptom.on_station
    for field in _LISTS:
        for place, text in enumerate(getattr(symptom, field)):
            yield field, f"symptom[{index}].{field}[{place}]", text


class _Directory:
    """The stations by name and by frequency."""

    def __init__(self, plan: Plan, stations: StationList | None) -> None:
        self._unit = plan.rounding.unit
        self._raster_hz = plan.band.raster_hz
        self._stations = stations
        frequency_hz = np.zeros(0, dtype=np.int64) if stations is None else stations.frequency_hz
        names = () if stations is None else stations.names
        self._frequency_hz: Int64 = frequency_hz
        self._listed: tuple[Carrier, ...] = tuple(map(Carrier, names, frequency_hz.tolist()))
        self._as_listed: defaultdict[str, set[Carrier]] = defaultdict(set)
        self._plain: defaultdict[str, set[Carrier]] = defaultdict(set)
        for carrier in self._listed:
            self._as_listed[carrier.name].add(carrier)
            self._plain[_plain(carrier.name)].add(carrier)

    def find(self, text: str) -> tuple[Carrier, str]:
        """Return the carrier that `text` speaks of, and what was assumed; QuantityError if there is not one."""
        text = text.strip()
        try:
            frequency_hz = parse_hertz(text)
        except QuantityError as error:
            unreadable = error
        else:
            return self._at(frequency_hz), ""
        called = self._as_listed.get(text) or self._plain.get(_plain(text))
        if called:
            return _only(called), ""
        if _BARE_NUMBER.fullmatch(text):
            with_unit = f"{text} {self._unit}"
            return self._at(parse_hertz(with_unit)), f"{quoted(text)} taken as {with_unit}"
        if _ALMOST_A_FREQUENCY.fullmatch(text):
            raise unreadable
        return self._containing(text), ""

    def _at(self, frequency_hz: int) -> Carrier:
        """Return the nearest listed station within half a raster; the bare frequency if two are equally near."""
        if frequency_hz == 0:
            raise QuantityError("zero is not a frequency", 'write it with its unit, such as "103.4 MHz"')
        away_hz = np.abs(self._frequency_hz - frequency_hz)
        nearest_hz = int(away_hz.min(initial=self._raster_hz))
        places = np.flatnonzero(away_hz == nearest_hz)
        one_carrier = len({self._listed[place].frequency_hz for place in places}) == 1
        if 2 * nearest_hz <= self._raster_hz and one_carrier:
            return self._listed[int(places[0])]
        return Carrier(frequency_name(frequency_hz), frequency_hz)

    def _containing(self, text: str) -> Carrier:
        if self._stations is None:
            raise QuantityError("a name needs a station list", "write its frequency or give --stations")
        wanted = _plain(text)
        called = {one for name, several in self._plain.items() if wanted in name for one in several}
        if called:
            return _only(called)
        known = list(itertools.islice(self._plain, MOST_COMPARED))
        close = difflib.get_close_matches(wanted, known, n=MOST_SHOWN)
        nearest = [one for name in close for one in sorted(self._plain[name])]
        hint = "write its frequency"
        raise QuantityError(
            "no such station in the list", f"nearest: {_shown(nearest)}; {hint}" if nearest else hint
        )


def _plain(name: str) -> str:
    """Return `name` as it is compared: letter case, composed signs and blanks make no difference."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def _only(called: set[Carrier]) -> Carrier:
    if len(called) > 1:
        raise QuantityError("names several stations", f"{_shown(sorted(called))}; write its frequency")
    return next(iter(called))


def _shown(carriers: list[Carrier]) -> str:
    texts = [f"{quoted(one.name)} on {frequency_name(one.frequency_hz)}" for one in carriers[:MOST_SHOWN]]
    more = len(carriers) - MOST_SHOWN
    return ", ".join(texts) + (f" and {more} more" if more > 0 else "")
