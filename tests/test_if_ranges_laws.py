"""Ranges of the IF: laws for any set, and independent judges in fractions and symbolic sets."""

from __future__ import annotations

import json
from fractions import Fraction
from itertools import pairwise

import sympy
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import AM, FM, KINDS, UP_CONVERTING, plans
from thoroughness import examples

from freqplan import if_ranges
from freqplan.if_choices import EVERY, MECHANISMS

SIDES = {"high": (1, 1), "low": (1, -1), "sum": (-1, 1)}
WANTED = {"high": (1, 1, 1), "low": (1, 1, -1), "sum": (1, -1, -1)}


@st.composite
def questions(draw, kinds=KINDS, most_order=4):
    """Draw a set, a side that is possible, and IFs to look at, some of them with an end on an edge."""
    plan = draw(plans(kinds=kinds, most_order=most_order))
    band = plan.band
    side = draw(st.sampled_from(list(SIDES)))
    lowest, highest = {
        "high": (1, 3 * band.high_hz),
        "low": (1, band.low_hz - 2),
        "sum": (band.high_hz + 2, 4 * band.high_hz),
    }[side]
    low = draw(st.integers(lowest, highest))
    beyond = draw(st.integers(1, 2 * band.high_hz))
    if side == "sum" and draw(st.booleans()):
        low = draw(st.integers(1, band.high_hz))
        beyond += band.high_hz
    if side == "high" and draw(st.booleans()):
        low = (band.high_hz - band.low_hz) // 2 or 1
    return plan, side, low, low + beyond


def key(row):
    return tuple(row.get(name) for name in ("mechanism", "m", "n", "e", "k"))


def named(responses):
    return set(map(key, responses))


def mechanism_of(m, n):
    """Return the name of a response, written down anew from the list of mechanisms."""
    if n == 0:
        return "if-breakthrough"
    if n < 0:
        return "harmonic-mixing"
    if m == n:
        return {1: "image", 2: "half-if"}.get(m, "fractional-if")
    return "oscillator-harmonic" if m == 1 else "signal-harmonic" if n == 1 else "harmonic-mixing"


def every_response(plan, side):
    """Yield each response and IF harmonic as its key and its two frequencies at the ends of the dial.

    A frequency is (offset, slope): offset + slope * fI.
    """
    sigma, t = SIDES[side]
    for m in range(1, plan.orders.signal + 1):
        for n in range(-plan.orders.oscillator, plan.orders.oscillator + 1):
            for e in (1, -1):
                if (m, n, e) != WANTED[side]:
                    ends = (
                        (Fraction(n * sigma * dial, m), Fraction(n * t - e, m))
                        for dial in (plan.band.low_hz, plan.band.high_hz)
                    )
                    yield (mechanism_of(m, n), m, n, e, None), tuple(ends)
    for k in range(2, plan.orders.if_harmonic + 1):
        yield ("if-harmonic", None, None, None, k), ((Fraction(0), Fraction(k)),) * 2


def in_band_at(plan, side, intermediate_hz):
    """Return the keys of what is in the band for some dial setting, by plain arithmetic at one IF."""
    found = set()
    for name, ends in every_response(plan, side):
        one, other = sorted(offset + slope * intermediate_hz for offset, slope in ends)
        if one <= plan.band.high_hz and other >= plan.band.low_hz:
            found.add(name)
    return found


@given(questions())
def test_ranges_follow_each_other_from_end_to_end(question):
    plan, side, low, high = question
    rows = list(if_ranges(plan, low, high, oscillator=side).ranges.rows())
    ends = {
        "high": (low, high),
        "low": (low, min(high, plan.band.low_hz)),
        "sum": (max(low, plan.band.high_hz), high),
    }
    assert (rows[0]["low_hz"], rows[-1]["high_hz"]) == ends[side]
    assert all(row["low_hz"] < row["high_hz"] for row in rows)
    assert [row["high_hz"] for row in rows[:-1]] == [row["low_hz"] for row in rows[1:]]
    assert all(row["in_band"] == len(row["responses"]) == len(named(row["responses"])) for row in rows)
    assert all(before["responses"] != after["responses"] for before, after in pairwise(rows))
    for row in rows:
        assert (Fraction(row["low_exact"]), Fraction(row["high_exact"])) == (row["low_hz"], row["high_hz"])


@given(questions(), st.data())
def test_ranges_name_what_plain_arithmetic_finds_at_any_if_inside(question, data):
    plan, side, low, high = question
    rows = list(if_ranges(plan, low, high, oscillator=side).ranges.rows())
    for row in rows:
        start, stop = Fraction(row["low_hz"]), Fraction(row["high_hz"])
        # Near both edges, in the middle, and anywhere: an edge that was missed lies between two of them.
        shares = {Fraction(1, 10**9), Fraction(1, 2), 1 - Fraction(1, 10**9)}
        shares |= {Fraction(data.draw(st.integers(1, 9999)), 10000)} if len(rows) < 40 else set()
        for share in shares:
            assert named(row["responses"]) == in_band_at(plan, side, start + share * (stop - start))


@given(questions())
def test_on_an_edge_the_responses_of_both_ranges_are_in_the_band(question):
    plan, side, low, high = question
    rows = list(if_ranges(plan, low, high, oscillator=side).ranges.rows())
    for before, after in pairwise(rows):
        both = named(before["responses"]) | named(after["responses"])
        assert in_band_at(plan, side, Fraction(before["high_hz"])) == both


@given(questions())
def test_every_edge_put_back_is_an_end_of_the_band_with_the_dial_at_an_end(question):
    plan, side, low, high = question
    every = dict(every_response(plan, side))
    result = if_ranges(plan, low, high, oscillator=side)
    band = {plan.band.low_hz, plan.band.high_hz}
    asked = {end for room in result.rooms for end in (room.low_hz, room.high_hz)}
    for row in result.edges.rows():
        for edge in {row["low_hz"], row["high_hz"]} - asked:
            # An IF harmonic has the station on the dial itself: dial and signal are one.
            assert band & {offset + slope * edge for offset, slope in every[key(row)]}


@given(questions())
def test_wider_orders_never_take_a_response_out_of_a_range(question):
    plan, side, low, high = question
    few = list(if_ranges(plan, low, high, oscillator=side).ranges.rows())
    wider = plan.with_changes(orders=(plan.orders.signal + 1, plan.orders.oscillator + 1))
    for row in if_ranges(wider, low, high, oscillator=side).ranges.rows():
        (within,) = [r for r in few if r["low_hz"] <= row["low_hz"] and row["high_hz"] <= r["high_hz"]]
        assert named(within["responses"]) <= named(row["responses"])


@given(questions(), st.sets(st.sampled_from(MECHANISMS), min_size=1))
def test_what_is_clear_and_what_is_forbidden_share_out_the_ranges(question, keep_out):
    plan, side, low, high = question
    result = if_ranges(plan, low, high, sorted(keep_out), oscillator=side)
    clear = list(result.clear.rows())
    assert all(one["high_hz"] < other["low_hz"] for one, other in pairwise(clear))
    for row in result.ranges.rows():
        is_clear = any(c["low_hz"] <= row["low_hz"] and row["high_hz"] <= c["high_hz"] for c in clear)
        assert is_clear == keep_out.isdisjoint(one["mechanism"] for one in row["responses"])
    total = sum(row["width_hz"] for row in clear)
    assert all(row["width_hz"] == row["high_hz"] - row["low_hz"] for row in clear)
    (room,) = result.rooms
    for row in result.obstacles.rows():
        assert total <= row["clear_without_hz"] + 1
        assert row["clear_without_hz"] <= total + row["forbids_hz"] + 1
        assert row["forbids_hz"] + total <= room.width_hz + 1


@given(questions(kinds=(FM, AM, UP_CONVERTING), most_order=3))
@settings(max_examples=examples(12))
def test_symbolic_sets_find_the_same_edges_and_clear_ranges(question):
    plan, side, low, high = question
    result = if_ranges(plan, low, high, [EVERY], oscillator=side)
    (room,) = result.rooms
    domain = sympy.Interval(room.low_hz, room.high_hz)
    open_end = room.open_at_hz
    told = {key(row): (row["low_hz"], row["high_hz"]) for row in result.edges.rows()}
    union = sympy.EmptySet
    for name, ends in every_response(plan, side):
        # In the band unless both ends of the dial put it below, or both above: rays of the IF, cut out of the whole.
        below = sympy.Intersection(*(ray(end, plan.band.low_hz, upwards=False) for end in ends))
        above = sympy.Intersection(*(ray(end, plan.band.high_hz, upwards=True) for end in ends))
        there = domain - below - above
        if there == sympy.EmptySet or (there.inf == there.sup == open_end):
            assert name not in told
        else:
            assert told.pop(name) == (Fraction(str(there.inf)), Fraction(str(there.sup)))
            union = sympy.Union(union, there)
    assert told == {}
    free = domain - union
    pieces = [] if free == sympy.EmptySet else free.args if isinstance(free, sympy.Union) else [free]
    expected = [
        (Fraction(str(piece.inf)), Fraction(str(piece.sup)))
        for piece in sorted(pieces, key=lambda piece: piece.inf)
        if piece.inf != piece.sup
    ]
    assert [(row["low_hz"], row["high_hz"]) for row in result.clear.rows()] == expected


def ray(end, limit, *, upwards):
    """Return the IFs at which offset + slope * fI lies above (or below) a limit, which itself does not count."""
    offset, slope = (sympy.Rational(part.numerator, part.denominator) for part in end)
    sign = 1 if upwards else -1
    if slope == 0:
        return sympy.Reals if sign * (offset - limit) > 0 else sympy.EmptySet
    edge = (limit - offset) / slope
    if (slope > 0) == upwards:
        return sympy.Interval.open(edge, sympy.oo)
    return sympy.Interval.open(-sympy.oo, edge)


@given(questions())
def test_the_json_is_that_of_the_tables(question):
    plan, side, low, high = question
    result = if_ranges(plan, low, high, oscillator=side)
    said = json.loads(json.dumps(result.to_dict()))
    assert (said["from_hz"], said["to_hz"]) == (low, high)
    for row in said["ranges"]:
        assert abs(row["low_hz"] - Fraction(row["low_exact"])) < Fraction(1, 1000)
        for one in row["responses"]:
            assert one.keys() == ({"mechanism", "k"} if "k" in one else {"mechanism", "m", "n", "e"})
