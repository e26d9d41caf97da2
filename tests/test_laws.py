"""Laws that hold for every receiver, on random plans: each is read off the equation e(n fL - m fX) = fI."""

from __future__ import annotations

import json
from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from strategies import (
    AIRBAND,
    AM,
    CLOSE_BELOW,
    FM,
    UP_CONVERTING,
    dials,
    plans,
    plans_with_dial,
    plans_with_stations,
    station_lists,
)

from freqplan import Band, Conversion, Plan, StationList, channel, compare, survey
from freqplan.mechanisms import catalogue

FAN = {"half-if", "fractional-if", "oscillator-on-station"}


def own_hz(plan, row, dial_hz):
    """The oscillator at a dial setting, which may be a fraction."""
    side, intermediate = row["oscillator"], plan.conversion[0].intermediate_hz
    return {"high": dial_hz + intermediate, "low": dial_hz - intermediate, "sum": intermediate - dial_hz}[
        side
    ]


def product_hz(plan, row, dial_hz, signal_hz):
    """Where the product of a row lands behind the mixer."""
    return row["e"] * (row["n"] * own_hz(plan, row, dial_hz) - row["m"] * signal_hz)


def offset_hz(plan, row, dial_hz, signal_hz):
    """How far a row's product lies from the middle of the IF; the oscillator on a station is a beat at zero."""
    if row["m"] is None:
        return own_hz(plan, row, dial_hz) - signal_hz
    return product_hz(plan, row, dial_hz, signal_hz) - plan.conversion[0].intermediate_hz


def pattern(row):
    return row["m"], row["n"], row["e"]


def half_window_hz(plan, row):
    """W + m times the deviation; the oscillator on a station counts as first order."""
    return Fraction(plan.if_filter.bandwidth_hz, 2) + (row["m"] or 1) * plan.band.deviation_hz


def counted(table):
    return Counter(tuple(sorted((name, repr(value)) for name, value in row.items())) for row in table.rows())


def changed(plan, **conversion):
    """The plan with another first conversion, all else as given."""
    first = plan.conversion[0].model_dump() | conversion
    kept = {name: getattr(plan, name) for name in ("band", "if_filter", "orders")}
    return Plan(conversion=(Conversion(**first),), **kept)


# --- responses ----------------------------------------------------------------------------------


@given(plans_with_dial())
def test_each_response_put_back_into_the_equation_gives_the_if(drawn):
    plan, dial_hz = drawn
    for row in channel(plan, dial_hz).responses.rows():
        assert row["response_hz"] > 0
        assert product_hz(plan, row, dial_hz, row["response_hz"]) == plan.conversion[0].intermediate_hz


@given(plans_with_dial())
def test_the_wanted_response_is_never_listed(drawn):
    plan, dial_hz = drawn
    wanted = {"high": (1, 1, 1), "low": (1, 1, -1), "sum": (1, -1, -1)}
    for table in (survey(plan).responses, channel(plan, dial_hz).responses):
        for row in table.rows():
            assert pattern(row) != wanted[row["oscillator"]]
            assert row.get("response_hz") != dial_hz or pattern(row)[:2] != (1, 1)


@given(plans(kinds=(FM, AM, AIRBAND), sides=("high", "low")))
def test_image_of_the_image_with_the_other_side_is_the_signal(plan):
    intermediate, band = plan.conversion[0].intermediate_hz, plan.band
    here = image_of(plan, band.low_hz)
    if here is None:
        assert plan.conversion[0].oscillator == "low"
        assert band.low_hz <= 2 * intermediate
        return
    other = "low" if plan.conversion[0].oscillator == "high" else "high"
    assume(other == "high" or here > intermediate)
    there = Plan(
        band=Band(low_hz=int(here), high_hz=int(here) + 1000, raster_hz=1000),
        conversion=(Conversion(intermediate_hz=intermediate, oscillator=other),),
    )
    assert image_of(there, int(here)) == band.low_hz


def image_of(plan, dial_hz):
    rows = channel(plan, dial_hz).responses.rows()
    return next((row["response_hz"] for row in rows if row["mechanism"] == "image"), None)


@given(st.data())
def test_image_of_the_image_of_a_sum_converter_is_the_signal(data):
    # There both lie on the same side of the oscillator's mirror: fX = 2 fI - fT, which undoes itself.
    plan = data.draw(plans(kinds=(UP_CONVERTING,), sides=("sum",)))
    dial_hz = data.draw(dials(plan))
    assert image_of(plan, dial_hz) == 2 * plan.conversion[0].intermediate_hz - dial_hz


@given(st.data())
def test_mirroring_the_oscillator_mirrors_the_responses_about_n_times_the_dial_over_m(data):
    high = data.draw(plans(kinds=(FM, AM, AIRBAND), sides=("high",)))
    assume(high.conversion[0].intermediate_hz < high.band.low_hz)
    low, dial_hz = changed(high, oscillator="low"), data.draw(dials(high))
    above, below = (
        {pattern(r): r["response_hz"] for r in channel(p, dial_hz).responses.rows()} for p in (high, low)
    )
    for one, other in ((above, below), (below, above)):
        for (m, n, e), signal_hz in one.items():
            mirrored = Fraction(2 * n * dial_hz, m) - signal_hz
            assert other.get((m, n, -e)) == (mirrored if mirrored > 0 else None)


@given(st.data())
def test_a_wider_order_never_loses_or_changes_a_row(data):
    plan, stations = data.draw(plans_with_stations())
    more = {
        name: getattr(plan.orders, name) + data.draw(st.integers(0, 4))
        for name in type(plan.orders).model_fields
    }
    wide = Plan(**plan.given() | {"orders": more})
    narrow_result, wide_result = survey(plan, stations), survey(wide, stations)
    limits = {"m": plan.orders.signal, "n": plan.orders.oscillator, "k": plan.orders.if_harmonic}
    for name in ("responses", "birdies", "ghosts"):
        table = wide_result.table(name)
        inside = [all(abs(row.get(x) or 0) <= most for x, most in limits.items()) for row in table.rows()]
        rows = [row for row, keep in zip(table.rows(), inside, strict=True) if keep]
        assert list(narrow_result.table(name).rows()) == rows


@given(st.data())
def test_shifting_the_dial_by_d_moves_the_response_by_n_d_over_m(data):
    plan, start = data.draw(plans_with_dial())
    stop = data.draw(dials(plan))
    at_start, at_stop = (
        {(r["oscillator"], *pattern(r)): r["response_hz"] for r in channel(plan, dial).responses.rows()}
        for dial in (start, stop)
    )
    for (side, m, n, e), signal_hz in at_start.items():
        direction = -1 if side == "sum" else 1
        moved = signal_hz + Fraction(direction * n * (stop - start), m)
        assert at_stop.get((side, m, n, e)) == (moved if moved > 0 else None)


@given(st.data())
def test_slope_and_beat_rate_are_finite_differences_of_the_offset(data):
    plan, dial_hz = data.draw(plans_with_dial())
    step = data.draw(st.integers(1, 100_000))
    wanted = {"high": (1, 1, 1), "low": (1, 1, -1), "sum": (1, -1, -1)}
    for row in channel(plan, dial_hz).responses.rows():
        own = dict(zip("mne", wanted[row["oscillator"]], strict=True), oscillator=row["oscillator"])
        moves, follows = (
            offset_hz(plan, one, dial_hz + step, signal_hz) - offset_hz(plan, one, dial_hz, signal_hz)
            for one, signal_hz in ((row, row["response_hz"]), (own, dial_hz))
        )
        assert row["tuning_slope"] == Fraction(moves, follows)
        assert row["beat_rate"] == Fraction(abs(moves - follows), step)
        assert row["level_law"] == row["m"]


@given(plans_with_dial())
def test_ids_follow_the_harmonics_that_take_part(drawn):
    plan, dial_hz = drawn
    for row in (*survey(plan).responses.rows(), *channel(plan, dial_hz).responses.rows()):
        m, n = row["m"], row["n"]
        special = {(1, 1): "image", (2, 2): "half-if"}
        if n < 0:
            expected = "harmonic-mixing"
        elif n == 0:
            expected = "if-breakthrough"
        elif m == n:
            expected = special.get((m, n), "fractional-if")
        elif 1 in (m, n):
            expected = "oscillator-harmonic" if m == 1 else "signal-harmonic"
        else:
            expected = "harmonic-mixing"
        assert row["mechanism"] == expected


@given(plans(kinds=(FM, AM, CLOSE_BELOW, UP_CONVERTING)))
def test_negative_n_exists_just_where_that_oscillator_harmonic_lies_below_the_if(plan):
    intermediate, band = plan.conversion[0].intermediate_hz, plan.band
    listed = {(row["oscillator"], *pattern(row)) for row in survey(plan).responses.rows() if row["n"] < 0}
    expected = set()
    for side in plan.sides:
        lowest = min(own_hz(plan, {"oscillator": side}, dial_hz) for dial_hz in (band.low_hz, band.high_hz))
        for n in range(1, plan.orders.oscillator + 1):
            if n * lowest < intermediate:
                expected |= {(side, m, -n, -1) for m in range(1, plan.orders.signal + 1)}
    assert listed == expected - {("sum", 1, -1, -1)}
    assert not any(side == "high" for side, *_ in listed)


@given(plans())
def test_ranges_of_the_survey_are_the_responses_at_both_ends_of_the_dial(plan):
    ends = [
        {(r["oscillator"], *pattern(r)): r["response_hz"] for r in channel(plan, dial_hz).responses.rows()}
        for dial_hz in (plan.band.low_hz, plan.band.high_hz)
    ]
    listed = {}
    for row in survey(plan).responses.rows():
        key = (row["oscillator"], *pattern(row))
        both = [end.get(key, 0) for end in ends]  # a response that does not exist there is clipped at 0
        assert (row["low_hz"], row["high_hz"]) == (min(both), max(both))
        listed[key] = row
    assert set(listed) == set(ends[0]) | set(ends[1])


@given(plans())
def test_within_its_part_of_the_dial_a_response_lies_in_the_band_and_beside_it_not(plan):
    band, intermediate = plan.band, plan.conversion[0].intermediate_hz
    for row in survey(plan).responses.rows():
        m, n, e = pattern(row)

        def signal(dial_hz, row=row, m=m, n=n, e=e):
            return (n * own_hz(plan, row, dial_hz) - e * intermediate) / Fraction(m)

        ends = row["dial_low_hz"], row["dial_high_hz"]
        if ends[0] is None:
            both = sorted((signal(band.low_hz), signal(band.high_hz)))
            assert both[1] < band.low_hz or both[0] > band.high_hz
            continue
        for end, edge, step in ((ends[0], band.low_hz, -1), (ends[1], band.high_hz, 1)):
            assert band.low_hz <= signal(end) <= band.high_hz
            beyond = signal(end + Fraction(step, 1000))
            assert end == edge or not band.low_hz <= beyond <= band.high_hz


@given(plans(sides=("unknown",)))
def test_an_unknown_side_is_answered_by_all_sides_together(plan):
    assume(plan.conversion[0].oscillator == "unknown")
    sides = [changed(plan, oscillator=side) for side in plan.sides]
    result, parts = survey(plan), [survey(side) for side in sides]
    for name in ("responses", "birdies", "oscillators"):
        assert counted(result.table(name)) == sum((counted(part.table(name)) for part in parts), Counter())
    dial_hz = plan.band.low_hz
    for name in ("responses", "birdies"):
        every = sum((counted(channel(side, dial_hz).table(name)) for side in sides), Counter())
        assert counted(channel(plan, dial_hz).table(name)) == every


@given(st.data())
def test_an_unknown_side_gives_the_ghosts_of_all_sides_together(data):
    plan, stations = data.draw(plans_with_stations(sides=("unknown",)))
    assume(plan.conversion[0].oscillator == "unknown")
    parts = [survey(changed(plan, oscillator=side), stations) for side in plan.sides]
    result = survey(plan, stations)
    assert counted(result.ghosts) == sum((counted(part.ghosts) for part in parts), Counter())
    assert counted(result.channel_hits) == sum((counted(part.channel_hits) for part in parts), Counter())


# --- birdies ------------------------------------------------------------------------------------


@given(plans(most_order=6))
def test_a_birdie_put_back_as_dial_and_signal_gives_the_if(plan):
    intermediate = plan.conversion[0].intermediate_hz
    for row in survey(plan).birdies.rows():
        dial_hz = row["dial_hz"]
        if row["mechanism"] == "if-harmonic":
            assert dial_hz == row["k"] * intermediate
            assert 2 <= row["k"] <= plan.orders.if_harmonic
        elif row["mechanism"] == "oscillator-in-if":
            assert row["n"] * own_hz(plan, row, dial_hz) == intermediate
        else:
            assert row["mechanism"] == "self-mixing"
            assert product_hz(plan, row, dial_hz, dial_hz) == intermediate


@given(plans(kinds=(FM, AM, AIRBAND), sides=("high", "low"), most_order=6))
def test_beat_rate_of_self_mixing_is_its_spot_in_ifs_times_the_difference_of_orders(plan):
    for row in survey(plan).birdies.rows():
        if row["mechanism"] == "self-mixing":
            spot_in_ifs = row["dial_hz"] / plan.conversion[0].intermediate_hz
            assert row["beat_rate"] == abs(row["n"] - row["m"]) * spot_in_ifs


@given(plans(most_order=6))
def test_the_range_of_a_birdie_scales_with_the_if(plan):
    conversion, band = plan.conversion[0], plan.band
    share = Fraction(conversion.tolerance_hz, conversion.intermediate_hz)
    for row in survey(plan).birdies.rows():
        low, high = row["dial_hz"] * (1 - share), row["dial_hz"] * (1 + share)
        assert row["dial_low_hz"] == max(low, band.low_hz)
        assert row["dial_high_hz"] == min(high, band.high_hz)
        assert row["dial_low_hz"] <= row["dial_high_hz"]


@given(plans(most_order=6))
def test_with_the_real_if_at_the_end_of_its_tolerance_the_spot_is_at_the_end_of_the_range(plan):
    conversion, band = plan.conversion[0], plan.band
    real = conversion.intermediate_hz + conversion.tolerance_hz
    assume(all(side != "low" or real < band.low_hz for side in plan.sides))
    assume(changed(plan, intermediate_hz=real, tolerance_hz=0).sides == plan.sides)
    wide = {(r["oscillator"], r["k"], *pattern(r)): r["dial_high_hz"] for r in survey(plan).birdies.rows()}
    for row in survey(changed(plan, intermediate_hz=real, tolerance_hz=0)).birdies.rows():
        assert wide[row["oscillator"], row["k"], *pattern(row)] == row["dial_hz"]


# --- ghosts -------------------------------------------------------------------------------------


@given(plans_with_stations())
def test_the_dial_of_a_ghost_gives_offset_zero(drawn):
    plan, stations = drawn
    for row in survey(plan, stations).ghosts.rows():
        assert row["station_hz"] == stations.frequency_hz[stations.names.index(row["station"])]
        if row["dial_hz"] is None:
            assert row["n"] == 0
        else:
            assert offset_hz(plan, row, row["dial_hz"], row["station_hz"]) == 0


@given(plans_with_stations())
def test_the_ends_of_a_ghost_lie_where_its_deviation_just_reaches_the_filter(drawn):
    plan, stations = drawn
    band = plan.band
    for row in survey(plan, stations).ghosts.rows():
        ends = row["dial_low_hz"], row["dial_high_hz"]
        if row["dial_hz"] is None:
            assert ends == (band.low_hz, band.high_hz)
            assert abs(offset_hz(plan, row, 0, row["station_hz"])) <= half_window_hz(plan, row)
        else:
            offsets = [offset_hz(plan, row, end, row["station_hz"]) for end in ends]
            assert sorted(offsets) == [-half_window_hz(plan, row), half_window_hz(plan, row)]
            assert ends[0] < row["dial_hz"] < ends[1]
            assert ends[0] <= band.high_hz
            assert ends[1] >= band.low_hz


@given(plans_with_stations())
def test_reach_and_beat_of_a_ghost_are_those_at_the_nearest_channel(drawn):
    plan, stations = drawn
    band = plan.band
    indices = range(plan.first_channel_index, plan.last_channel_index + 1)
    channels = [band.first_channel_hz + k * band.raster_hz for k in indices]
    assert band.low_hz <= channels[0] < band.low_hz + band.raster_hz
    assert band.high_hz - band.raster_hz < channels[-1] <= band.high_hz
    for row in survey(plan, stations).ghosts.rows():
        if row["dial_hz"] is None:
            assert row["channel_hz"] is None
        else:
            distances = [abs(hz - row["dial_hz"]) for hz in channels]
            assert abs(row["channel_hz"] - row["dial_hz"]) == min(distances)
            assert row["channel_hz"] in channels
        beat = offset_hz(plan, row, row["channel_hz"] or band.low_hz, row["station_hz"])
        assert row["beat_hz"] == beat
        sits, bursts = 2 * abs(beat) <= plan.if_filter.bandwidth_hz, abs(beat) <= half_window_hz(plan, row)
        assert row["reach"] == ("sits-in" if sits else "bursts-only" if bursts else None)


@pytest.mark.parametrize(
    ("beside_hz", "expected"),
    [(0, "sits-in"), (90_000, "sits-in"), (90_001, "bursts-only"), (165_000, "bursts-only"), (165_001, None)],
)
@pytest.mark.parametrize("sign", [1, -1])
def test_the_edges_of_the_windows_belong_to_them(beside_hz, expected, sign):
    # Half of a 180 kHz filter, and 75 kHz of deviation on top; the image of 98.0 with an IF of 10.7 is 119.4.
    plan = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    )
    station = StationList.from_frequencies([119_400_000 + sign * beside_hz], ["Ferry"])
    (row,) = [r for r in channel(plan, 98_000_000, station).responses.rows() if r["mechanism"] == "image"]
    assert row["reach"] == expected
    assert row["stations"] == (("Ferry",) if expected else ())
    (row,) = [r for r in survey(plan, station).ghosts.rows() if r["mechanism"] == "image"]
    assert row["dial_hz"] == 98_000_000 + sign * beside_hz
    at_98 = row["dial_low_hz"] <= 98_000_000 <= row["dial_high_hz"]
    assert at_98 == (expected is not None)


@given(plans_with_stations(kinds=(AM, AIRBAND)))
def test_amplitude_modulation_never_bursts(drawn):
    plan, stations = drawn
    assert "bursts-only" not in survey(plan, stations).ghosts.values("reach")


@given(st.data())
def test_stations_of_a_channel_are_the_ghosts_of_the_survey_whose_window_holds_the_dial(data):
    plan, dial_hz = data.draw(plans_with_dial())
    stations = data.draw(station_lists(plan, dial_hz=dial_hz))
    of_channel = {
        (row["oscillator"], *pattern(row), station)
        for row in channel(plan, dial_hz, stations).responses.rows()
        for station in row["stations"]
    }
    of_survey = {
        (row["oscillator"], *pattern(row), row["station"])
        for row in survey(plan, stations).ghosts.rows()
        if row["dial_low_hz"] <= dial_hz <= row["dial_high_hz"]
        # A station can lie within the window of a response that itself would be below 0 Hz.
        and (
            row["m"] is None
            or row["n"] * own_hz(plan, row, dial_hz) > row["e"] * plan.conversion[0].intermediate_hz
        )
    }
    assert of_channel == of_survey


@given(plans_with_stations(most_order=3, most=4))
def test_channels_hit_are_the_channels_where_a_station_sits_in(drawn):
    plan, stations = drawn
    band = plan.band
    hits = list(survey(plan, stations).channel_hits.rows())
    for row in hits:
        assert offset_hz(plan, row, row["channel_hz"], row["station_hz"]) == row["beat_hz"]
        assert 2 * abs(row["beat_hz"]) <= plan.if_filter.bandwidth_hz
    for k in {plan.first_channel_index, (plan.first_channel_index + plan.last_channel_index) // 2}:
        channel_hz = band.first_channel_hz + k * band.raster_hz
        rows = channel(plan, channel_hz, stations).responses.rows()
        sitting = {(row["oscillator"], *pattern(row)) for row in rows if row["reach"] == "sits-in"}
        here = {(row["oscillator"], *pattern(row)) for row in hits if row["channel_hz"] == channel_hz}
        assert sitting == here


# --- the check list -----------------------------------------------------------------------------


def dial_lines(result):
    return [row for row in result.check_list.rows() if row["kind"] == "dial"]


@given(plans_with_stations())
def test_priorities_run_from_1_without_ties(drawn):
    plan, stations = drawn
    for result in (survey(plan), survey(plan, stations)):
        priorities = result.check_list.values("priority")
        assert priorities == list(range(1, len(priorities) + 1))
        for row in result.to_dict()["check_list"]:
            assert row["kind"] in ("dial", "outside")
            assert (row["frequency_hz"] is None) != (row["low_hz"] is None)
            assert row["why"]
            assert row["what_to_do"]


@given(plans(most_order=6))
def test_every_birdie_is_on_the_check_list_and_coinciding_ones_share_a_line(plan):
    result = survey(plan)
    spots = {(row["oscillator"], row["dial_hz"]) for row in result.birdies.rows()}
    lines = dial_lines(result)
    assert {line["dial_hz"] for line in lines} == {dial_hz for _, dial_hz in spots}
    for side in plan.sides:
        here = [line["dial_hz"] for line in lines if line["oscillator"] in (side, "either")]
        assert Counter(here) == Counter(dial_hz for other, dial_hz in spots if other == side)


@given(plans_with_stations())
def test_every_ghost_is_on_the_check_list_and_a_fan_is_one_line(drawn):
    plan, stations = drawn
    result = survey(plan, stations)
    lines = dial_lines(result)
    ghosts = list(result.ghosts.rows())
    for row in ghosts:
        in_fan = row["mechanism"] in FAN
        assert any(
            row["station"] in line["stations"]
            and (line["mechanism"] in FAN if in_fan else pattern_on(line, row))
            and line["oscillator"] in (row["oscillator"], "either")
            for line in lines
        )
    for side in plan.sides:
        with_fan = {row["station"] for row in ghosts if row["mechanism"] in FAN and row["oscillator"] == side}
        for station in with_fan:
            fans = [line for line in lines if line["mechanism"] in FAN and line["stations"] == (station,)]
            assert sum(line["oscillator"] in (side, "either") for line in fans) == 1


def pattern_on(line, row):
    """Whether a line tells of a ghost, maybe behind another cause at the same spot.

    At its exact setting, or where that is off the scale at the nearest channel.
    """
    told = line["mechanism"] == row["mechanism"] or catalogue()[row["mechanism"]].title in line["why"]
    return told and line["dial_hz"] in (row["dial_hz"], row["channel_hz"])


@given(plans_with_stations())
def test_every_response_is_on_the_check_list_as_a_range_outside(drawn):
    plan, stations = drawn
    result = survey(plan, stations)
    ends = {
        (line["mechanism"], line["low_hz"] or 0, line["high_hz"])
        if line["frequency_hz"] is None
        else (line["mechanism"], line["frequency_hz"], line["frequency_hz"])
        for line in result.check_list.rows()
        if line["kind"] == "outside"
    }
    assert ends == {(row["mechanism"], row["low_hz"], row["high_hz"]) for row in result.responses.rows()}


@given(plans_with_dial())
def test_without_stations_there_are_no_ghosts_and_with_an_empty_list_none_either(drawn):
    plan, dial_hz = drawn
    nobody = StationList.from_frequencies([])
    assert survey(plan).ghosts is None
    assert len(survey(plan, nobody).ghosts) == 0
    assert list(channel(plan, dial_hz).responses.rows()) == list(
        channel(plan, dial_hz, nobody).responses.rows()
    )


# --- the JSON -----------------------------------------------------------------------------------

PROMISED = {
    "responses": "mechanism m n e oscillator low_hz high_hz dial_low_hz dial_high_hz tuning_slope beat_rate level_law "
    "rejection_db",
    "birdies": "mechanism k m n e name dial_hz dial_low_hz dial_high_hz beat_rate level_law",
    "ghosts": "station station_hz mechanism m n e dial_hz dial_low_hz dial_high_hz channel_hz beat_hz reach",
    "check_list": "frequency_hz low_hz high_hz kind dial_hz mechanism stations priority why what_to_do",
}
OF_A_CHANNEL = (
    "mechanism m n e response_hz stations beat_hz reach tuning_slope beat_rate level_law rejection_db"
)


def assert_plain(value, key=""):
    """Hold every frequency in a JSON value to whole hertz, or to a thousandth of one, or null."""
    if isinstance(value, dict):
        for name, part in value.items():
            assert_plain(part, name)
    elif isinstance(value, list):
        for part in value:
            assert_plain(part, key)
    elif key.endswith("_hz"):
        assert (
            value is None or isinstance(value, int) or (isinstance(value, float) and not value.is_integer())
        ), key
        assert value is None or abs(value * 1000 - round(value * 1000)) < 1e-3, key


@given(st.data())
def test_the_json_has_its_keys_and_survives_the_round_trip(data):
    plan, stations = data.draw(plans_with_stations())
    dial_hz = data.draw(dials(plan))
    result, here = survey(plan, stations).to_dict(), channel(plan, dial_hz, stations).to_dict()
    assert json.loads(json.dumps(result, allow_nan=False)) == json.loads(json.dumps(result))
    assert (result["schema"], result["command"], here["command"]) == (1, "survey", "channel")
    tables = [(result[name], keys) for name, keys in PROMISED.items()]
    for rows, keys in (*tables, (here["responses"], OF_A_CHANNEL), (here["birdies"], PROMISED["birdies"])):
        assert all(set(keys.split()) <= set(row) for row in rows)
    assert here["dial_hz"] == dial_hz
    one_side = plan.conversion[0].oscillator != "unknown" or len(plan.sides) == 1
    assert here["oscillator_hz"] == (
        own_hz(plan, {"oscillator": plan.sides[0]}, dial_hz) if one_side else None
    )
    for part in (result, here):
        assert isinstance(part["assumptions"], list)
        assert isinstance(part["cautions"], list)
        assert_plain(json.loads(json.dumps(part)))


@given(plans(kinds=(AM, UP_CONVERTING), sides=("high",)))
def test_a_comparison_lists_a_side_that_is_not_possible_with_the_reason_and_nulls(plan):
    intermediate, band = plan.conversion[0].intermediate_hz, plan.band
    rows = {row["oscillator"]: row for row in compare(plan).to_dict()["plans"]}
    assert {"high", "low"} <= set(rows)
    low = rows["low"]
    assert low["intermediate_hz"] == intermediate
    if intermediate < band.low_hz:
        assert low["oscillator_low_hz"] == band.low_hz - intermediate
        assert low["image_high_hz"] == (
            band.high_hz - 2 * intermediate if band.high_hz > 2 * intermediate else None
        )
    else:
        assert low["oscillator_low_hz"] is low["oscillator_ratio"] is low["image_low_hz"] is None
        assert low["concerns"]
