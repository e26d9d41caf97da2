"""Rows of one dial setting: what lands on the IF there, and which listed station does."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.findings import Findings, text_column
from freqplan.landing import landings
from freqplan.listening import Listening, Met
from freqplan.mechanisms import Sums
from freqplan.mixing import Tuning
from freqplan.own_words import is_shift, shift_sum
from freqplan.reach import reach, twice_windows
from freqplan.services import names_over
from freqplan.words import mixing_sum

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList


def response_table(tuning: Tuning, sums: Sums, heard: Listening, *, always: bool) -> Findings:
    """Return one row for each sum at a dial setting; with `always` false only those that a listed station meets."""
    plan, dial_hz = heard.plan, heard.dial_hz
    response = sums.combinations.signal(dial_hz)
    met = _who_lands(plan, sums, dial_hz, heard.stations)
    names, beat = _named(met, len(sums), heard.stations)
    keep = (response.num > 0) if always else np.array([bool(who) for who in names], dtype=bool)
    levels = heard.columns(tuning, sums, response, met)
    sums, response, names, beat = sums.take(keep), response[keep], names[keep], beat[keep]
    known = np.array([value is not None for value in beat], dtype=bool)
    words = np.full(len(sums), None, object)
    offsets = np.array(beat[known], dtype=np.int64)
    words[known] = reach(plan, np.abs(sums.combinations.c[known]), offsets)
    table = sums.findings(
        "Responses at this dial setting",
        response_hz=response,
        stations=names,
        beat_hz=beat,
        reach=words,
        services=text_column(names_over(response, response, region=plan.region)),
        **{name: values[keep] for name, values in levels.items()},
    )
    written = [_sum(plan, tuning, row, dial_hz) for row in table.rows()]
    return Findings(table.title, {**table.columns, "sum": text_column(written)})


def _sum(plan: Plan, tuning: Tuning, row: Mapping[str, Any], dial_hz: int) -> str:
    if row.get("m") is None:
        return f"oscillator on {plan.rounding.fine(tuning.oscillator_hz(dial_hz))}"
    if is_shift(row):
        return shift_sum(row, Fraction(dial_hz), plan.rounding)
    return mixing_sum(
        tuning=tuning, m=row["m"], n=row["n"], e=row["e"], dial_hz=Fraction(dial_hz),
        signal_hz=row["response_hz"], rounding=plan.rounding,
    )  # fmt: skip


def _who_lands(plan: Plan, sums: Sums, dial_hz: int, stations: StationList | None) -> Met:
    if stations is None:
        return Met(*np.zeros((3, 0), dtype=np.int64))
    order, listed_hz = stations.rising
    _, bursts = twice_windows(plan, np.abs(sums.combinations.c))
    rows, places = landings(
        sums.combinations, bursts, dial_low_hz=dial_hz, dial_high_hz=dial_hz, sorted_hz=listed_hz
    )
    offsets = sums.combinations.take(rows).offset(dial_hz, listed_hz[places])
    return Met(rows, order[places], offsets)


def _named(met: Met, length: int, stations: StationList | None) -> tuple[np.ndarray, np.ndarray]:
    """Return, for each of `length` sums, the names of the stations that reach the IF and the offset of the nearest."""
    found: list[list[tuple[int, str]]] = [[] for _ in range(length)]
    for row, place, offset in zip(*(part.tolist() for part in met), strict=True):
        assert stations is not None
        found[row].append((offset, stations.names[place]))
    names = text_column([tuple(dict.fromkeys(name for _, name in who)) for who in found])
    beats = text_column([min(who, key=lambda one: abs(one[0]))[0] if who else None for who in found])
    return names, beats
