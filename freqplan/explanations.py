"""Why a row of a table is there: the row, turned into a case, and the derivation that belongs to it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from itertools import product
from typing import TYPE_CHECKING, Any, NamedTuple

from freqplan.errors import FreqplanError
from freqplan.findings import Findings
from freqplan.lessons import Lesson, lesson, topics
from freqplan.mixing import Tuning
from freqplan.results import Result
from freqplan.station_sums import TIMES

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

Row = Mapping[str, Any]
SOURCES = ("birdies", "products", "ghosts", "neighbours", "responses")
"""Tables whose rows hold a whole sum, for rows that only name one: the likelier first."""


class Asked(NamedTuple):
    """What a row is about: a topic, the set it holds for, and what the case is made of."""

    topic: str
    plan: Plan
    row: Row


def explain(result: Result, row: str | int, table: str | None = None) -> Lesson:
    """Derive a row of a table: the sum behind it, where it comes from, and what follows from it.

    Parameters
    ----------
    result : Result
        Of any command that answers with sums.
    row : int or str
        Which row, from 1; or the id of a mechanism, for the first row by it.
    table : str, optional
        The table; by default the first of the result.

    Returns
    -------
    Lesson

    Raises
    ------
    FreqplanError
        There is no such table or row, or its rows hold no sum.
    """
    name = table or result.names[0]
    findings = result.table(name)
    place = _place(findings, name, str(row).strip())
    chosen = findings.take(slice(place, place + 1))
    told = next(chosen.rows())
    about = f"row {place + 1} of {name}: {_in_words(chosen, result)}"
    asked = _READERS.get(name, _by_mechanism)(result, told)
    if asked is None:
        raise FreqplanError(f'rows of table "{name}" hold no sum of frequencies; ask for a row of another table')
    return _derived(asked, about)


def _place(findings: Findings, name: str, row: str) -> int:
    if row.isascii() and row.isdigit() and len(row) <= 9:
        if 1 <= int(row) <= len(findings):
            return int(row) - 1
        raise FreqplanError(f'no row {row} in table "{name}"; it has {len(findings)}')
    ids = findings.values("mechanism") if "mechanism" in findings.columns else []
    if row in ids:
        return ids.index(row)
    known = f", or one of: {', '.join(dict.fromkeys(ids))}" if ids else ""
    raise FreqplanError(f'no row "{row[:40]}" in table "{name}"; give its number, 1 to {len(findings)}{known}')


def _in_words(chosen: Findings, result: Result) -> str:
    heads, rows = chosen.readable(result.rounding, overview=True, one_side=result.one_side)
    return "; ".join(f"{head} {cell}" for head, cell in zip(heads, rows[0], strict=True) if cell)


def _derived(asked: Asked, about: str) -> Lesson:
    from freqplan.derivations.rows import case_of_row
    from freqplan.derivations.topics import QUESTIONS, derivation_of

    known, row, plan = topics(), asked.row, asked.plan
    if asked.topic in {one.id for one in QUESTIONS}:
        return lesson(plan, asked.topic).asked_by(about)
    tuning = Tuning(row.get("oscillator") or plan.sides[0], plan.conversion[0].intermediate_hz)
    case = case_of_row(plan, tuning, row, title=known[asked.topic])
    return Lesson(
        plan, topic=asked.topic, subject=known[asked.topic], case=case, derive=derivation_of(asked.topic), about=about
    )  # fmt: skip


def _by_mechanism(result: Result, row: Row) -> Asked | None:
    """Read a row that has a mechanism with its own m, n, e, k ..., or that names one of which others tell more."""
    mechanism = row.get("mechanism")
    if mechanism is None:
        return None
    plan = _plan_of(result, row)
    if not _is_whole(row):
        found = _of_source(result, row)
        row = {**row, **found} if found else row
    return Asked(mechanism, plan, _completed(result, plan, row))


def _is_whole(row: Row) -> bool:
    return any(name in row for name in ("dial_low_hz", "response_hz", "signal_hz", "stations_hz", "decoder_hz", "way"))


def _plan_of(result: Result, row: Row) -> Plan:
    """Return the plan with the IF that the row holds for."""
    own = row.get("intermediate_hz")
    if own is None or own == result.plan.conversion[0].intermediate_hz:
        return result.plan
    return result.plan.with_changes(intermediate_hz=int(own))


def _of_source(result: Result, row: Row) -> Row | None:
    """Return the row of another table of the result that this one stands for."""
    names = [name for name in SOURCES if name in result.names]
    for name in names:
        for other in result.table(name).rows():
            if other["mechanism"] == row["mechanism"] and _agree(row, other):
                return {key: value for key, value in other.items() if value is not None}
    return None


def _agree(row: Row, other: Row) -> bool:
    """Return whether two rows speak of the same: side, stations and place, as far as both tell."""
    for name in ("oscillator", "m", "n", "e", "dial_hz"):
        if row.get(name) is not None and other.get(name) is not None and row[name] != other[name]:
            return False
    mine, theirs = _stations_of(row), _stations_of(other)
    if mine and theirs and other["mechanism"] != "if-harmonic":
        return set(theirs) <= set(mine)
    return True


def _stations_of(row: Row) -> tuple[str, ...]:
    return tuple(row.get("stations") or ()) or ((row["station"],) if row.get("station") else ())


def _completed(result: Result, plan: Plan, row: Row) -> Row:
    """Return the row with a dial setting, and with the frequencies of its stations."""
    told = {name: value for name, value in row.items() if value is not None}
    own = told.get("dial_hz")
    dial = own if own is not None else getattr(result, "dial_hz", None) or _dial_of(plan, told)
    told["dial_hz"] = dial
    if "signal_hz" in told and "stations" in told and "kind" not in told:
        told |= _sum_of(result.stations, told)
    name = next(iter(_stations_of(told)), None)
    if all(key in told for key in ("m", "n", "e", "beat_hz")) and name and "kind" not in told:
        at = told.get("channel_hz", dial)
        told |= {"listed_name": name, "listed_at_hz": at, "listed_hz": _listed(plan, told, at)}
    return told


def _listed(plan: Plan, row: Row, at_hz: int) -> Fraction:
    """Return the carrier that lands `beat_hz` beside the middle of the IF."""
    if "station_hz" in row:
        return Fraction(row["station_hz"])
    tuning = Tuning(row["oscillator"], plan.conversion[0].intermediate_hz)
    landed = row["e"] * (tuning.intermediate_hz + row["beat_hz"])
    return Fraction(row["n"] * tuning.oscillator_hz(at_hz) - landed) / row["m"]


def _dial_of(plan: Plan, row: Row) -> Fraction | int:
    """Return the channel in the middle of the part of the dial that a row tells of; where it is received at all."""
    ends = [row.get("dial_low_hz"), row.get("dial_high_hz")]
    if None not in ends:
        return plan.nearest_channel_hz(Fraction(ends[0] + ends[1]) / 2)
    if not all(name in row for name in ("m", "n", "e", "oscillator")) or "low_hz" not in row:
        return plan.middle_channel_hz
    tuning = Tuning(row["oscillator"], plan.conversion[0].intermediate_hz)
    places = (plan.middle_channel_hz, plan.band.low_hz, plan.band.high_hz)
    return next((hz for hz in places if row["n"] * tuning.oscillator_hz(hz) > row["e"] * tuning.intermediate_hz), places[0])


def _sum_of(stations: StationList | None, row: Row) -> Row:
    """Return which sum of the stations that a row names is its signal."""
    if stations is None:
        return {}
    carriers = [
        [int(hertz) for name, hertz in zip(stations.names, stations.frequency_hz.tolist(), strict=True) if name == one]
        for one in row["stations"]
    ]
    for kind, times in TIMES.items():
        if len(times) == len(carriers):
            for some in product(*carriers):
                if sum(t * hz for t, hz in zip(times, some, strict=True)) == row["signal_hz"]:
                    return {"kind": kind, "stations_hz": some, "frequency_hz": row["signal_hz"]}
    return {}


def _pair(result: Result, row: Row) -> Asked:
    told = {"mechanism": "if-spaced-pair", "oscillator": row["oscillator"], "kind": "A-B", "stations_hz": (row["high_hz"], row["low_hz"])}
    return Asked("if-spaced-pair", result.plan, told)


def _side(result: Result, row: Row) -> Asked:
    plan = _plan_of(result, row)
    return Asked("which-side", plan.with_changes(oscillator=row["oscillator"]), row)


def _catalogue(result: Result, row: Row) -> Asked | None:
    from freqplan.derivations.examples import example

    case = example(result.plan, result.sides[0], row["mechanism"]).case
    return Asked(row["mechanism"], case.plan, {"oscillator": case.tuning.side, **case.row})


def _tone(result: Result, row: Row) -> Asked:
    if row["pitch_hz"] is None or row["zone"] in ("mono", "beat"):
        return Asked("whistle", result.plan, row)
    carrier = next(hz for hz in (38_000, 114_000, 190_000) if abs(row["offset_hz"] - hz) == row["pitch_hz"])
    return Asked("decoder-neighbour", result.plan, {**row, "mechanism": "decoder-neighbour", "decoder_hz": carrier})


def _conflict(result: Any, row: Row) -> Asked:
    """Read a conflict of two sets, with both at the low ends of what it holds for."""
    plans = {plan.title: plan for plan in result.plans}
    victim, culprit = plans[row["victim"]], plans[row["culprit"]]
    own = Tuning(row["victim_oscillator"], victim.conversion[0].intermediate_hz)
    slope = {"wanted": own.wanted[1:], "image": (1, -own.t), "if": (0, -1)}[row["way"]]
    told = {
        **row, "oscillator": own.side, "n": slope[0], "e": slope[1], "other_dial_hz": row["culprit_dial_low_hz"],
        "other_if_hz": culprit.conversion[0].intermediate_hz,
        "dial_hz": row["victim_at_low_hz"] if row["victim_at_low_hz"] is not None else victim.middle_channel_hz,
    }  # fmt: skip
    return Asked("other-receiver", victim, told)


_DIAL_KINDS = {"wrong-side": "wrong-side", "oscillator-scaled": "oscillator-off", "if-off-centre": "if-off-centre"}


def _reading(result: Result, row: Row) -> Asked | None:
    topic = _DIAL_KINDS.get(row["kind"])
    if topic is None:
        return None
    nominal = result.plan.conversion[0].intermediate_hz
    told = {"mechanism": topic, "oscillator": row["oscillator"], "dial_hz": result.plan.middle_channel_hz}
    if topic == "oscillator-off":
        told["ratio"] = Fraction(str(row["ratio"]))
    if topic == "if-off-centre":
        told |= {"nominal_hz": nominal, "intermediate_hz": nominal + int(row["value"])}
    return Asked(topic, result.plan, told)


_READERS: Mapping[str, Callable[[Any, Row], Asked | None]] = {
    "if_pairs": _pair,
    "oscillators": _side,
    "plans": _side,
    "mechanisms": _catalogue,
    "tones": _tone,
    "conflicts": _conflict,
    "explanations": _reading,
}
"""Tables whose rows are read in their own way."""
