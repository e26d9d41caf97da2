"""The engine against nested loops in plain fractions, written from the definitions and sharing no code with it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import dials, plans, plans_with_dial, plans_with_stations, station_lists
from thoroughness import examples

from freqplan import Band, Conversion, IfFilter, Plan, StationList, channel, survey

# --- the definitions, one loop at a time ---------------------------------------------------------


def sides_of(plan):
    """The oscillator sides to answer for: the one given, or all that keep it above zero."""
    conversion, band = plan.conversion[0], plan.band
    if conversion.oscillator != "unknown":
        return [conversion.oscillator]
    below = ["low"] if conversion.intermediate_hz < band.low_hz else []
    return ["high", *below] + (["sum"] if conversion.intermediate_hz > band.high_hz else [])


def own(side, dial, intermediate):
    """The oscillator's frequency."""
    if side == "sum":
        return intermediate - dial
    return dial + intermediate if side == "high" else dial - intermediate


def off_if(side, m, n, e, dial, signal, intermediate):
    """How far the product lies from the middle of the IF."""
    return e * (n * own(side, dial, intermediate) - m * signal) - intermediate


def zero_of(line):
    """Where a straight line is zero, found from two of its points; None where it is level."""
    at_0, at_1 = Fraction(line(0)), Fraction(line(1))
    return None if at_0 == at_1 else at_0 / (at_0 - at_1)


def answering(side, m, n, e, dial, intermediate):
    """The signal that lands on the middle of the IF at a dial setting."""
    return zero_of(lambda signal: off_if(side, m, n, e, dial, signal, intermediate))


def meeting(side, m, n, e, signal, intermediate, offset=0):
    """The dial setting at which a signal lands on the IF, or `offset` beside its middle; None where it never moves."""
    return zero_of(lambda dial: off_if(side, m, n, e, dial, signal, intermediate) - offset)


def families(plan, side):
    wanted = {"high": (1, 1, 1), "low": (1, 1, -1), "sum": (1, -1, -1)}[side]
    for m in range(1, plan.orders.signal + 1):
        for n in range(-plan.orders.oscillator, plan.orders.oscillator + 1):
            for e in (1, -1):
                if (m, n, e) != wanted:
                    yield m, n, e


def called(m, n):
    if n < 0:
        return "harmonic-mixing"
    if n == 0:
        return "if-breakthrough"
    if m == n:
        return {1: "image", 2: "half-if"}.get(m, "fractional-if")
    if m == 1:
        return "oscillator-harmonic"
    return "signal-harmonic" if n == 1 else "harmonic-mixing"


def slopes(side, n, e):
    """Tuning slope and beat rate, from e, n and the wanted response's own direction."""
    wanted = -1 if side == "low" else 1
    return Fraction(e * n, wanted), abs(e * n - wanted)


def window(plan, m):
    """Half-width in the IF within which a product at least bursts."""
    return Fraction(plan.if_filter.bandwidth_hz, 2) + m * plan.band.deviation_hz


def reach_of(plan, m, offset):
    if 2 * abs(offset) <= plan.if_filter.bandwidth_hz:
        return "sits-in"
    return "bursts-only" if abs(offset) <= window(plan, m) else None


def channels(plan):
    band = plan.band
    first = band.first_channel_hz % band.raster_hz + band.low_hz // band.raster_hz * band.raster_hz
    if first < band.low_hz:
        first += band.raster_hz
    return list(range(first, band.high_hz + 1, band.raster_hz))


def nearest(plan, dial):
    """The channel nearest to a dial setting, the upper one of two equally near."""
    return min(channels(plan), key=lambda hz: (abs(hz - dial), -hz))


def expected_responses(plan):
    low, high, intermediate = plan.band.low_hz, plan.band.high_hz, plan.conversion[0].intermediate_hz
    for side in sides_of(plan):
        for m, n, e in families(plan, side):
            at = {dial: answering(side, m, n, e, dial, intermediate) for dial in (low, high)}
            if max(at.values()) <= 0:
                continue
            edges = [meeting(side, m, n, e, signal, intermediate) for signal in (low, high)]
            inside = [dial for dial, signal in at.items() if low <= signal <= high]
            inside += [dial for dial in edges if dial is not None and low <= dial <= high]
            slope, rate = slopes(side, n, e)
            yield {
                "mechanism": called(m, n), "m": m, "n": n, "e": e, "oscillator": side,
                "low_hz": max(0, min(at.values())), "high_hz": max(at.values()),
                "dial_low_hz": min(inside, default=None), "dial_high_hz": max(inside, default=None),
                "tuning_slope": slope, "beat_rate": rate, "level_law": m,
            }  # fmt: skip


def expected_birdies(plan, low=None, high=None):
    """Spots whose range, from the IF's tolerance, meets the band or the part of it from `low` to `high`."""
    band, conversion = plan.band, plan.conversion[0]
    low, high = low or band.low_hz, high or band.high_hz
    real_ifs = [conversion.intermediate_hz + step * conversion.tolerance_hz for step in (-1, 0, 1)]
    for side in sides_of(plan):
        for row, line in birdie_lines(plan, side):
            spots = [zero_of(lambda dial, real=real, line=line: line(dial, real)) for real in real_ifs]
            if spots[0] is None or max(spots) < low or min(spots) > high:
                continue
            yield row | {
                "oscillator": side, "dial_hz": spots[1],
                "dial_low_hz": max(min(spots), band.low_hz), "dial_high_hz": min(max(spots), band.high_hz),
            }  # fmt: skip


def birdie_lines(plan, side):
    """Each row of names with the line whose zero over the dial is the spot."""
    blank = dict.fromkeys(("k", "m", "n", "e", "name", "beat_rate", "level_law"))
    for k in range(2, plan.orders.if_harmonic + 1):
        row = blank | {"mechanism": "if-harmonic", "k": k, "beat_rate": k, "level_law": 0}
        yield row, lambda dial, real, k=k: dial - k * real
    for m, n, e in families(plan, side):
        row = blank | {"mechanism": "self-mixing", "m": m, "n": n, "e": e}
        row |= {"beat_rate": slopes(side, n, e)[1], "level_law": m}
        yield row, lambda dial, real, m=m, n=n, e=e: off_if(side, m, n, e, dial, dial, real)
    for n in range(1, plan.orders.oscillator + 1):
        row = blank | {"mechanism": "oscillator-in-if", "n": n, "level_law": 0}
        yield row, lambda dial, real, n=n: n * own(side, dial, real) - real


def expected_ghosts(plan, stations):
    for side in sides_of(plan):
        for name, signal in zip(stations.names, stations.frequency_hz.tolist(), strict=True):
            for m, n, e in families(plan, side):
                yield from ghost(plan, side, name, signal, m, n, e)
            yield from dead_spot(plan, side, name, signal)


def ghost(plan, side, name, signal, m, n, e):
    band, intermediate, half = plan.band, plan.conversion[0].intermediate_hz, window(plan, m)
    ends = sorted(off_if(side, m, n, e, dial, signal, intermediate) for dial in (band.low_hz, band.high_hz))
    if ends[0] > half or ends[1] < -half:
        return
    dial = meeting(side, m, n, e, signal, intermediate)
    channel_hz, low, high = None, band.low_hz, band.high_hz
    if dial is not None:
        channel_hz = nearest(plan, dial)
        low, high = sorted(meeting(side, m, n, e, signal, intermediate, offset) for offset in (-half, half))
    beat = off_if(side, m, n, e, channel_hz or band.low_hz, signal, intermediate)
    yield {
        "station": name, "station_hz": signal, "mechanism": called(m, n), "m": m, "n": n, "e": e, "oscillator": side,
        "dial_hz": dial, "dial_low_hz": low, "dial_high_hz": high,
        "channel_hz": channel_hz, "beat_hz": beat, "reach": reach_of(plan, m, beat),
    }  # fmt: skip


def dead_spot(plan, side, name, signal):
    """The oscillator standing on a station: its window is that of the station itself."""
    band, intermediate, half = plan.band, plan.conversion[0].intermediate_hz, window(plan, 1)
    dial = zero_of(lambda d: own(side, d, intermediate) - signal)
    if dial + half < band.low_hz or dial - half > band.high_hz:
        return
    channel_hz = nearest(plan, dial)
    beat = own(side, channel_hz, intermediate) - signal
    yield {
        "station": name, "station_hz": signal, "mechanism": "oscillator-on-station", "m": None, "n": None, "e": None,
        "oscillator": side, "dial_hz": dial, "dial_low_hz": dial - half, "dial_high_hz": dial + half,
        "channel_hz": channel_hz, "beat_hz": beat, "reach": reach_of(plan, 1, beat),
    }  # fmt: skip


def expected_channel(plan, dial, stations):
    intermediate = plan.conversion[0].intermediate_hz
    listed = (
        [] if stations is None else list(zip(stations.names, stations.frequency_hz.tolist(), strict=True))
    )
    for side in sides_of(plan):
        for m, n, e in families(plan, side):
            response = answering(side, m, n, e, dial, intermediate)
            if response > 0:
                offsets = [
                    (off_if(side, m, n, e, dial, signal, intermediate), name) for name, signal in listed
                ]
                slope, rate = slopes(side, n, e)
                yield {
                    "mechanism": called(m, n), "m": m, "n": n, "e": e, "oscillator": side, "response_hz": response,
                    "tuning_slope": slope, "beat_rate": rate, "level_law": m, **caught(plan, m, offsets),
                }  # fmt: skip
        offsets = [(own(side, dial, intermediate) - signal, name) for name, signal in listed]
        here = caught(plan, 1, offsets)
        if here["stations"]:
            yield {
                "mechanism": "oscillator-on-station", "m": None, "n": None, "e": None, "oscillator": side,
                "response_hz": own(side, dial, intermediate), "tuning_slope": None, "beat_rate": None,
                "level_law": None, **here,
            }  # fmt: skip


def caught(plan, m, offsets):
    """Who reaches the IF, and how far the nearest of them lies from its middle."""
    here = [(offset, name) for offset, name in offsets if abs(offset) <= window(plan, m)]
    nearest_beat = min((abs(offset) for offset, _ in here), default=None)
    return {
        "stations": frozenset(name for _, name in here),
        "beat": nearest_beat,
        "reach": None if nearest_beat is None else reach_of(plan, m, nearest_beat),
    }


def expected_hits(plan, stations):
    intermediate = plan.conversion[0].intermediate_hz
    listed = list(zip(stations.names, stations.frequency_hz.tolist(), strict=True))
    for side in sides_of(plan):
        for dial in channels(plan):
            for name, signal in listed:
                for m, n, e in families(plan, side):
                    beat = off_if(side, m, n, e, dial, signal, intermediate)
                    if 2 * abs(beat) <= plan.if_filter.bandwidth_hz:
                        yield dial, name, signal, called(m, n), side, m, n, e, beat
                beat = own(side, dial, intermediate) - signal
                if 2 * abs(beat) <= plan.if_filter.bandwidth_hz:
                    yield dial, name, signal, "oscillator-on-station", side, None, None, None, beat


# --- comparing ----------------------------------------------------------------------------------


def thousandths(value):
    """A JSON number or a fraction of hertz in whole thousandths, where JSON no longer tells them apart."""
    return None if value is None else round(Fraction(str(value)) * 1000)


def frozen(row, keys, *, json):
    def cell(key):
        return thousandths(row[key]) if json and key.endswith("_hz") else row[key]

    return tuple(cell(key) for key in keys)


def assert_same(expected, table, json_rows):
    """Hold a table and its JSON, row for row and in any order, to the expected rows."""
    expected = list(expected)
    keys = tuple(expected[0]) if expected else ("mechanism",)
    for rows, json in ((list(table.rows()), False), (json_rows, True)):
        found = sorted((frozen(row, keys, json=json) for row in rows), key=repr)
        wanted = sorted((frozen(row, keys, json=json) for row in expected), key=repr)
        assert (set(wanted) - set(found), set(found) - set(wanted)) == (set(), set())
        assert found == wanted


def with_catch(row):
    """A row of a channel with its stations as a set and its beat without the sign."""
    beat = row["beat_hz"]
    return row | {"stations": frozenset(row["stations"]), "beat": None if beat is None else abs(beat)}


class Rows(list):
    """Rows changed for comparison, offered as a table offers them."""

    def rows(self):
        return iter(self)


# --- the comparisons ----------------------------------------------------------------------------


@given(plans(most_order=6))
@settings(max_examples=examples(200))
def test_responses_are_those_of_nested_loops(plan):
    result = survey(plan)
    assert_same(expected_responses(plan), result.responses, result.to_dict()["responses"])


@given(plans(most_order=6))
@settings(max_examples=examples(200))
def test_birdies_are_those_of_nested_loops(plan):
    result = survey(plan)
    assert_same(expected_birdies(plan), result.birdies, result.to_dict()["birdies"])


@given(plans_with_stations(most_order=4, distinct=False))
@settings(max_examples=examples(200))
def test_ghosts_are_those_of_nested_loops(drawn):
    plan, stations = drawn
    result = survey(plan, stations)
    assert_same(expected_ghosts(plan, stations), result.ghosts, result.to_dict()["ghosts"])


@given(st.data())
@settings(max_examples=examples(200))
def test_a_channel_is_that_of_nested_loops(data):
    plan, dial = data.draw(plans_with_dial(most_order=4))
    stations = data.draw(st.none() | station_lists(plan, distinct=False, dial_hz=dial))
    result = channel(plan, dial, stations)
    rows = Rows(with_catch(row) for row in result.responses.rows())
    assert_same(
        expected_channel(plan, dial, stations), rows, [with_catch(r) for r in result.to_dict()["responses"]]
    )


@given(st.data())
def test_the_beat_of_a_channel_is_that_of_a_station_named(data):
    plan = data.draw(plans(most_order=4))
    dial = data.draw(dials(plan))
    stations = data.draw(station_lists(plan, dial_hz=dial))
    hertz = dict(zip(stations.names, stations.frequency_hz.tolist(), strict=True))
    for row in channel(plan, dial, stations).responses.rows():
        if row["stations"] and row["m"] is not None:
            m, n, e, side = row["m"], row["n"], row["e"], row["oscillator"]
            intermediate = plan.conversion[0].intermediate_hz
            assert row["beat_hz"] in {
                off_if(side, m, n, e, dial, hertz[s], intermediate) for s in row["stations"]
            }


@given(st.data())
def test_birdies_of_a_channel_are_those_of_nested_loops(data):
    plan, dial = data.draw(plans_with_dial(most_order=6))
    bandwidth = plan.if_filter.bandwidth_hz // 2 * 2
    plan = plan.model_copy(
        update={"if_filter": plan.if_filter.model_copy(update={"bandwidth_hz": bandwidth})}
    )
    half = bandwidth // 2
    low, high = max(plan.band.low_hz, dial - half), min(plan.band.high_hz, dial + half)
    result = channel(plan, dial)
    assert_same(expected_birdies(plan, low, high), result.birdies, result.to_dict()["birdies"])


def test_a_birdie_on_the_very_edge_of_an_odd_filter_belongs_to_the_channel():
    # Spot 1.5 x 455.001 kHz = 682.5015 kHz, half the filter 4.5005 kHz, dial exactly that far below.
    plan = Plan(
        band=Band(low_hz=526_500, high_hz=1_606_500),
        conversion=(Conversion(intermediate_hz=455_001, oscillator="high"),),
        if_filter=IfFilter(bandwidth_hz=9_001),
    )
    spots = {(row["m"], row["n"], row["e"], row["dial_hz"]) for row in channel(plan, 678_001).birdies.rows()}
    assert (4, 2, -1, Fraction(1_365_003, 2)) in spots


@given(plans_with_stations(most_order=3, most=5))
def test_channels_hit_are_those_of_nested_loops(drawn):
    plan, stations = drawn
    hits = survey(plan, stations).channel_hits
    keys = ("channel_hz", "station", "station_hz", "mechanism", "oscillator", "m", "n", "e", "beat_hz")
    found = sorted((frozen(row, keys, json=False) for row in hits.rows()), key=repr)
    wanted = sorted(
        ((Fraction(d), s, Fraction(x), *rest) for d, s, x, *rest in expected_hits(plan, stations)), key=repr
    )
    assert found == wanted


@pytest.mark.parametrize("side", ["high", "low"])
def test_a_town_on_the_real_raster_is_that_of_nested_loops(side):
    plan = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator=side),),
    )
    stations = StationList.from_frequencies(range(88_050_000, 108_000_000, 250_000))
    keys = ("channel_hz", "station", "m", "n", "e", "beat_hz")
    found = {frozen(row, keys, json=False) for row in survey(plan, stations).channel_hits.rows()}
    wanted = {(d, s, m, n, e, beat) for d, s, _, _, _, m, n, e, beat in expected_hits(plan, stations)}
    assert found == wanted
    assert len(found) > 100  # so that equality is not that of two empty sets
