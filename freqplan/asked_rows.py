"""What a row of a table is about: which mechanism or question, for which set, and with which numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from itertools import permutations, product
from typing import TYPE_CHECKING, Any, NamedTuple

from freqplan.mixing import Tuning
from freqplan.results import Result
from freqplan.station_sums import TIMES

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

Row = Mapping[str, Any]
OF_STATIONS = ("second-order", "third-order", "third-order-outside", "pair-half-if")
SOURCES = ("birdies", "products", "ghosts", "neighbours", "responses")
"""Tables whose rows hold a whole sum, for rows that only name one: the likelier first."""


EDGES = "edges"


class Asked(NamedTuple):
    """What a row is about: a topic, the set it holds for, and its numbers; None where it has none of its own."""

    topic: str
    plan: Plan
    row: Row | None = None


def asked_of(result: Result, name: str, row: Row) -> Asked | None:
    """Return what a row of the table `name` is about; None where it holds no sum of frequencies."""
    return _READERS.get(name, _by_mechanism)(result, row)


def can_be_asked(result: Result, name: str) -> bool:
    """Return whether rows of a table can hold sums."""
    return name in _READERS or "mechanism" in result.table(name).columns


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
    return any(
        name in row
        for name in ("dial_low_hz", "response_hz", "signal_hz", "stations_hz", "decoder_hz", "way")
    )


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
    if told.get("kind") not in TIMES:  # of a line of the card
        told.pop("kind", None)
    own = told.get("dial_hz")
    dial = own if own is not None else getattr(result, "dial_hz", None) or _dial_of(plan, told)
    told["dial_hz"] = dial
    against = result.heading.get("rejection_against_dbuv")
    if against is not None:
        told["against_dbuv"] = against
    if "stations" in told and told["mechanism"] in OF_STATIONS and "kind" not in told:
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
    return Fraction(Fraction(row["n"] * tuning.oscillator_hz(at_hz) - landed) / row["m"])


def _dial_of(plan: Plan, row: Row) -> Fraction | int:
    """Return the channel in the middle of the part of the dial that a row tells of; where it is received at all."""
    if "dial_low_hz" in row:
        return plan.nearest_channel_hz(Fraction(row["dial_low_hz"] + row["dial_high_hz"]) / 2)
    if not all(name in row for name in ("m", "n", "e", "oscillator")) or "low_hz" not in row:
        return plan.middle_channel_hz
    tuning = Tuning(row["oscillator"], plan.conversion[0].intermediate_hz)
    places = (plan.middle_channel_hz, plan.band.low_hz, plan.band.high_hz)
    return next(
        (hz for hz in places if row["n"] * tuning.oscillator_hz(hz) > row["e"] * tuning.intermediate_hz),
        places[0],
    )


def _sum_of(stations: StationList | None, row: Row) -> Row:
    """Return which sum of the stations that a row names is its signal."""
    total = row.get("signal_hz", row["dial_hz"])
    if stations is None:
        return {}
    carriers = [
        [
            int(hertz)
            for name, hertz in zip(stations.names, stations.frequency_hz.tolist(), strict=True)
            if name == one
        ]
        for one in row["stations"]
    ]
    for kind, times in TIMES.items():
        if len(times) == len(carriers):
            for some in (each for order in permutations(carriers) for each in product(*order)):
                if sum(t * hz for t, hz in zip(times, some, strict=True)) == total:
                    return {"kind": kind, "stations_hz": some, "frequency_hz": total}
    return {}


def _pair(result: Result, row: Row) -> Asked:
    """Read a pair of stations, the lower one first, as the difference of the higher and the lower one."""
    told = {
        "mechanism": "if-spaced-pair", "oscillator": row["oscillator"], "kind": "A-B", "n": 0, "e": -1,
        "lands_on": "if", "stations": row["stations"][::-1], "stations_hz": (row["high_hz"], row["low_hz"]),
        "frequency_hz": row["difference_hz"],
    }  # fmt: skip
    return Asked("if-spaced-pair", result.plan, told)


def _side(result: Result, row: Row) -> Asked:
    plan = _plan_of(result, row)
    return Asked("which-side", plan.with_changes(oscillator=row["oscillator"]))


def _catalogue(result: Result, row: Row) -> Asked | None:
    """Read a row of words, whose numbers are those of an example."""
    return Asked(row["mechanism"], result.plan)


def _tone(result: Result, row: Row) -> Asked:
    if row["pitch_hz"] is None or row["zone"] in ("mono", "beat"):
        return Asked("whistle", result.plan)
    carrier = next(hz for hz in (38_000, 114_000, 190_000) if abs(row["offset_hz"] - hz) == row["pitch_hz"])
    return Asked(
        "decoder-neighbour", result.plan, {**row, "mechanism": "decoder-neighbour", "decoder_hz": carrier}
    )


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


def _listened(result: Any, row: Row) -> Asked:
    """Read where a second radio hears an oscillator: like a conflict on the dial."""
    radio = next(plan for plan in result.plans if plan.title == row["radio"])
    own = next(plan for plan in result.plans if plan.title == row["set"])
    tuning = Tuning(radio.sides[0], radio.conversion[0].intermediate_hz)
    told = {
        "mechanism": "other-receiver", "way": "wanted", "harmonic": row["harmonic"],
        "culprit_oscillator": row["oscillator"], "other_dial_hz": row["set_dial_hz"],
        "other_if_hz": own.conversion[0].intermediate_hz, "oscillator": tuning.side, "dial_hz": row["listen_hz"],
        "n": tuning.wanted[1], "e": tuning.wanted[2],
    }  # fmt: skip
    return Asked("other-receiver", radio, told)


def _radiated(result: Any, row: Row) -> Asked:
    own = next(plan for plan in result.plans if plan.title == row["set"])
    return Asked("which-side", own.with_changes(oscillator=row["oscillator"]))


def _edge(result: Result, row: Row) -> Asked:
    return Asked(EDGES, result.plan.with_changes(oscillator=row["oscillator"]), row)


_DIAL_KINDS = {
    "wrong-side": "wrong-side",
    "oscillator-scaled": "oscillator-off",
    "if-off-centre": "if-off-centre",
}


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
    "harmonics": _side,
    "radiation": _radiated,
    "listen_at": _listened,
    "edges": _edge,
    "mechanisms": _catalogue,
    "tones": _tone,
    "conflicts": _conflict,
    "explanations": _reading,
}
"""Tables whose rows are read in their own way."""
