"""Neighbours in the stereo decoder: published beats, a second model over all pairs, laws, the card, what is heard."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hearing_model import (
    CLOSE_DB,
    DECODER_CARRIERS,
    UNKNOWN,
    decoder,
    filter_db,
    is_broadcast,
    is_known,
    lg,
    listed,
    on_a_station,
    protection_db,
    sensitivity_dbuv,
    tuned_in,
)
from hearing_strategies import front_ends, levelled
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import jv
from thoroughness import examples

from freqplan import Plan, StationList, channel, survey
from freqplan.mechanisms import FAMILIES, catalogue
from freqplan.mixing import Combinations
from freqplan.neighbour_lines import decoder_sum
from freqplan.neighbours import COLUMNS, neighbours, neighbours_at
from freqplan.plan import Band, Conversion, FrontEnd, Stereo
from freqplan.tones import Zone, pitches_hz, sidelines

KHZ, MHZ = 1000, 1_000_000
WANTED_HZ = 98_000_000
ID = "decoder-neighbour"


def fm_set(kind="switching", deemphasis_us=50.0, side="high", **more):
    return Plan(
        band=more.pop("band", Band(low_hz=87_500_000, high_hz=108_000_000)),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator=side),),
        stereo=Stereo(decoder=kind, deemphasis_us=deemphasis_us),
        **more,
    )


def town(*offsets_khz, dbuv=None):
    """A station on 98 MHz and others beside it, by name of their distance."""
    hertz = [WANTED_HZ, *(WANTED_HZ + round(away * KHZ) for away in offsets_khz)]
    return StationList.from_frequencies(hertz, ["Mill", *map(str, offsets_khz)], level_dbuv=dbuv)


def tones(plan, stations, dial_hz=WANTED_HZ):
    """(line, pitch [kHz]) of every tone on the station in the middle."""
    rows = neighbours_at(plan, stations, dial_hz).rows()
    return sorted((row["line"], row["pitch_hz"] / KHZ) for row in rows)


# --- published beats ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("signal_khz", "times", "carrier_khz", "pitch_khz"),
    [(110, 3, 38, 4), (186, 5, 38, 4), (67, 2, 38, 9), (2 * 10, 1, 19, 1), (3 * 13, 1, 38, 1)],
)
def test_beats_of_a_decoder_data_sheet(signal_khz, times, carrier_khz, pitch_khz):
    """Test definitions in the data sheet of a stereo decoder, 1996, read: 110 against 3 x 38 gives 4 kHz, and so on."""
    carrier_hz = times * carrier_khz * KHZ
    (pitch,) = pitches_hz(Zone(carrier_hz, 1.0, "switching"), np.array([signal_khz * KHZ]))
    one = np.ones(1, dtype=np.int64)
    (beat,) = Combinations(0 * one, 0 * one, one, 0, -carrier_hz).offset(0, signal_khz * KHZ)
    assert pitch == abs(beat) == pitch_khz * KHZ


@pytest.mark.parametrize(
    ("offset_khz", "filtered", "switching"),
    [
        # Of the distances, 110 and 186 are those of the data sheet above; the rest is exact from the sum.
        (50, {12}, {12}), (100, set(), {14}), (150, set(), set()), (200, set(), {10}), (110, set(), {4}),
        (186, set(), {4}), (38, set(), set()), (23, set(), set()), (53, set(), set()), (24, {14}, {14}),
        (52, {14}, {14}), (99, set(), set()), (129, set(), set()), (205, set(), set()), (204, set(), {14}),
    ],
)  # fmt: skip
@pytest.mark.parametrize("sign", [1, -1])
def test_a_carrier_at_some_distance_gives(offset_khz, filtered, switching, sign):
    for kind, expected in (("none", set()), ("filtered", filtered), ("switching", switching)):
        found = tones(fm_set(kind), town(sign * offset_khz))
        assert {pitch for line, pitch in found if line == "carrier"} == expected, kind


def test_pilots_make_5_kilohertz_at_100_and_9_at_200():
    assert tones(fm_set(), town(100)) == [("carrier", 14), ("pilot", 5)]
    assert tones(fm_set(), town(-200)) == [("carrier", 10), ("pilot", 9)]
    assert tones(fm_set(), town(150)) == []
    assert tones(fm_set("filtered"), town(100, 200)) == []


@pytest.mark.parametrize(("deviation_hz", "stated_db"), [(75_000, -13.92), (50_000, -17.54)])
def test_lines_of_a_pilot_are_those_of_its_bessel_functions(deviation_hz, stated_db):
    """20 lg(J1(b)/J0(b)), b = 7.5/19 and 5/19: 0.2013 and 0.1327; scipy as the judge."""
    index = deviation_hz / 10 / 19_000
    carrier, *pilots = sidelines(deviation_hz)
    assert (carrier.pilots, carrier.level_db) == (0, 0.0)
    assert [line.pilots for line in pilots] == [-1, 1]
    for line in pilots:
        assert line.level_db == pytest.approx(lg(jv(1, index) / jv(0, index)), abs=1e-9)
        assert line.level_db == pytest.approx(stated_db, abs=0.005)


def levels_of_tones(offset_khz, deemphasis_us):
    # So wide a filter takes nothing off either line.
    wide = {"bandwidth_hz": 2_000_000, "bandwidth_20db_hz": 2_500_000}
    plan = fm_set(deemphasis_us=deemphasis_us, front_end=FrontEnd(), if_filter=wide)
    rows = neighbours_at(plan, town(offset_khz, dbuv=[80.0, 40.0]), WANTED_HZ).rows()
    return {row["line"]: row["loudness_db"] for row in rows}


@pytest.mark.parametrize(
    ("offset_khz", "bare_db", "heard_db"),
    [
        # Bare: -13.92 dB and the note's growth with distance, 119/100 and 181/200.  Heard: the de-emphasis of 50 us
        # takes 13.08 and 5.40 dB off 14 and 5 kHz, 10.36 and 9.54 dB off 10 and 9 kHz.
        (100, -12.41, -4.73), (200, -14.79, -13.97),
    ],
)  # fmt: skip
def test_how_far_a_pilots_tone_stays_below_that_of_the_carrier(offset_khz, bare_db, heard_db):
    for deemphasis_us, expected in ((0.0, bare_db), (50.0, heard_db)):
        level = levels_of_tones(offset_khz, deemphasis_us)
        assert level["pilot"] - level["carrier"] == pytest.approx(expected, abs=0.01)


def test_the_filter_takes_off_each_line_what_it_does_at_its_own_place():
    plan = fm_set(front_end=FrontEnd())
    near, far = neighbours_at(plan, town(100, dbuv=[60.0, 40.0]), WANTED_HZ).rows()
    assert (near["line"], far["line"]) == ("carrier", "pilot")
    assert near["ratio_db"] == pytest.approx(-20 - filter_db(plan, 100_000), abs=CLOSE_DB)
    assert far["ratio_db"] == pytest.approx(-20 - 13.9225 - filter_db(plan, 119_000), abs=0.001)


# --- a second model: every pair, in plain numbers -----------------------------------------------


@st.composite
def stereo_sets(draw, kinds=("filtered", "switching", "none")):
    low = draw(st.sampled_from([66_000_000, 87_500_000]))
    bandwidth = draw(st.integers(80 * KHZ, 300 * KHZ))
    return fm_set(
        draw(st.sampled_from(kinds)), draw(st.sampled_from([0.0, 50.0, 75.0])),
        draw(st.sampled_from(["high", "unknown"])),
        band=Band(low_hz=low, high_hz=low + 2 * MHZ, deviation_hz=draw(st.sampled_from([75_000, 50_000, 31_000]))),
        if_filter={"bandwidth_hz": bandwidth, "bandwidth_20db_hz": draw(st.none() | st.just(2 * bandwidth))},
        front_end=draw(st.none() | front_ends()),
    )  # fmt: skip


@st.composite
def crowds(draw, plan, size=12):
    """Draw stations that stand about the edges of every zone of one another, some off the band, some on one carrier."""
    band = plan.band
    hertz = draw(
        st.lists(st.integers(band.low_hz, band.high_hz) | st.just(band.low_hz), min_size=1, max_size=3)
    )
    edges = [carrier + limit for carrier in (0, 38, 114, 190) for limit in (-15, 0, 15)]
    for _ in range(draw(st.integers(0, size))):
        away = abs(draw(st.sampled_from(edges))) * KHZ + draw(
            st.integers(-1, 1) | st.integers(-20_000, 20_000)
        )
        away += draw(st.sampled_from([0, 0, 19_000, -19_000]))
        hertz.append(draw(st.sampled_from(hertz)) + draw(st.sampled_from([1, -1])) * away)
    hertz += draw(st.lists(st.sampled_from(hertz), max_size=2))
    return draw(levelled(hertz))


@st.composite
def sets_with_crowds(draw, **limits):
    plan = draw(stereo_sets(**limits))
    return plan, draw(crowds(plan))


def line_level_db(plan, pilots):
    index = plan.band.deviation_hz / 10 / 19_000
    return lg(jv(1, index) / jv(0, index)) if pilots else 0.0


def every_tone(plan, stations, setting, wanted, dbuv):
    """Yield every tone on one station, by a loop over all others, both signs of the pilot and every carrier."""
    for one in stations:
        apart = abs(one.hertz - wanted.hertz)
        if apart < 15_000:
            continue
        for pilots in (0, 1, -1):
            line = apart + pilots * 19_000
            for carrier, part in DECODER_CARRIERS[decoder(plan)][1:]:
                pitch = abs(line - carrier)
                if 0 < pitch < 15_000:
                    key = (
                        setting,
                        wanted.name,
                        one.name,
                        apart,
                        "pilot" if pilots else "carrier",
                        carrier,
                        pitch,
                    )
                    yield key, loudness_of(plan, setting, wanted, dbuv, one, pilots, line, pitch, part)


def loudness_of(plan, setting, wanted, dbuv, one, pilots, line, pitch, part):
    """Ratio, loudness, protection margin, margin."""
    side = 1 if one.hertz > wanted.hertz else -1
    if plan.front_end is None:
        return (UNKNOWN,) * 4
    there = (
        one.dbuv + line_level_db(plan, pilots) - filter_db(plan, one.hertz + side * pilots * 19_000 - setting)
    )
    ratio = there - (dbuv - filter_db(plan, wanted.hertz - setting))
    share = lg(abs(line) / part / plan.band.deviation_hz)
    turn = math.tau * pitch * plan.stereo.deemphasis_us * 1e-6
    loudness = ratio + share - 10 * math.log10(1 + turn**2)
    margin = on_a_station(-60 - loudness, sensitivity_dbuv(plan) - there - 30)
    needed = protection_db(plan, abs(one.hertz - wanted.hertz), one.hertz) if is_broadcast(plan) else UNKNOWN
    return ratio, loudness, dbuv - one.dbuv - needed, margin


def heard_there(plan, stations, setting):
    """Who is tuned in, and his level; without levels of the plan the nearest, the first in the list of equal ones."""
    if plan.front_end is not None:
        wanted, is_open, _ = tuned_in(plan, stations, setting)
        return wanted, UNKNOWN if is_open or wanted is None else wanted.dbuv
    near = [one for one in stations if 2 * abs(one.hertz - setting) <= plan.if_filter.bandwidth_hz]
    return min(near, key=lambda one: (abs(one.hertz - setting), one.hertz), default=None), UNKNOWN


def told_of(plan, stations):
    """The stations in plain numbers; a plan without a front end looks at no level."""
    return listed(Plan(**plan.given() | {"front_end": plan.front_end or FrontEnd()}), stations)


def assert_tones(table, expected):
    """Hold a table to (key, levels) of the model; several stations may share name, distance and pitch."""
    names = ("heard_on_hz", "wanted", "station", "offset_hz", "line", "decoder_hz", "pitch_hz")
    rows = list(table.rows())
    assert sorted(tuple(row[name] for name in names) for row in rows) == sorted(key for key, _ in expected)
    known = dict(expected)
    assert len(known) == len(rows)
    for row in rows:
        levels = known[tuple(row[name] for name in names)]
        for name, level in zip(
            ("ratio_db", "loudness_db", "protection_margin_db", "margin_db"), levels, strict=True
        ):
            if is_known(level):
                assert row[name] == pytest.approx(level, abs=CLOSE_DB), (name, row)
            else:
                assert row[name] is None, (name, row)
        margin = row["margin_db"]
        assert row["heard"] == (None if margin is None else "whistle" if margin < 0 else "nothing")


@given(sets_with_crowds())
@settings(max_examples=examples(200))
def test_neighbours_are_those_of_a_loop_over_all_pairs(drawn):
    plan, stations = drawn
    told = told_of(plan, stations)
    expected = []
    for setting in sorted({one.hertz for one in told if plan.band.low_hz <= one.hertz <= plan.band.high_hz}):
        wanted, dbuv = heard_there(plan, told, setting)
        if wanted is not None and wanted.hertz == setting:
            expected += every_tone(plan, told, setting, wanted, dbuv)
    assert_tones(neighbours(plan, stations), expected)


@given(sets_with_crowds(), st.data())
@settings(max_examples=examples(100))
def test_neighbours_at_one_setting_are_those_of_a_loop(drawn, data):
    plan, stations = drawn
    told = told_of(plan, stations)
    near = st.sampled_from(told).flatmap(lambda one: st.integers(one.hertz - 60_000, one.hertz + 60_000))
    dial = min(max(data.draw(near), plan.band.low_hz), plan.band.high_hz)
    wanted, dbuv = heard_there(plan, told, dial)
    expected = [] if wanted is None else list(every_tone(plan, told, dial, wanted, dbuv))
    assert_tones(neighbours_at(plan, stations, dial), expected)


# --- laws ---------------------------------------------------------------------------------------


def keys(table):
    names = ("heard_on_hz", "wanted", "station", "offset_hz", "zone", "line", "decoder_hz", "pitch_hz")
    return {tuple(row[name] for name in names) for row in table.rows()}


def with_decoder(plan, kind):
    return Plan(**plan.given() | {"stereo": Stereo(decoder=kind, deemphasis_us=plan.stereo.deemphasis_us)})


@given(sets_with_crowds())
def test_a_switching_decoder_hears_all_that_a_filtered_one_does_and_mono_nothing(drawn):
    plan, stations = drawn
    none, filtered, switching = (
        neighbours(with_decoder(plan, kind), stations) for kind in ("none", "filtered", "switching")
    )
    assert len(none) == 0
    assert keys(filtered) <= keys(switching)
    assert {key[4] for key in keys(switching) - keys(filtered)} <= {"switching"}
    assert {key[4] for key in keys(filtered)} <= {"stereo"}


@given(sets_with_crowds(kinds=("filtered", "switching")))
def test_every_row_is_a_combination_that_ends_on_its_pitch(drawn):
    plan, stations = drawn
    for row in neighbours(plan, stations).rows():
        assert row["offset_hz"] == abs(row["station_hz"] - row["heard_on_hz"]) >= 15_000
        lines = [
            row["offset_hz"] + pilots * 19_000 for pilots in ((0,) if row["line"] == "carrier" else (1, -1))
        ]
        assert row["pitch_hz"] in [abs(line - row["decoder_hz"]) for line in lines]
        assert row["decoder_hz"] // 38_000 in (1, 3, 5)
        assert (row["tuning_slope"], row["beat_rate"], row["level_law"]) == (1, 0, 1)


@given(sets_with_crowds(kinds=("switching",)), st.floats(0.1, 20))
def test_a_neighbour_weaker_by_some_decibels_whistles_softer_by_as_many(drawn, less_db):
    """Level law 1, tried on the one neighbour of a station that stays tuned in."""
    plan, _ = drawn
    plan = Plan(**plan.given() | {"front_end": FrontEnd()})
    wanted = plan.band.low_hz + MHZ
    pair = [wanted, wanted + 100_000]
    before, after = (
        neighbours_at(plan, StationList.from_frequencies(pair, level_dbuv=[80.0, level]), wanted).floats(
            "loudness_db"
        )
        for level in (60.0, 60.0 - less_db)
    )
    assert len(before) == len(after) == 2
    assert before - after == pytest.approx(np.full(2, less_db))


@given(sets_with_crowds(kinds=("switching",)))
def test_what_is_heard_comes_first_by_margin_then_what_is_unknown(drawn):
    margins = neighbours(*drawn).values("margin_db")
    rank = [(1, 0.0) if margin is None else (0 if margin < 0 else 2, margin) for margin in margins]
    assert rank == sorted(rank)


# --- who is tuned in ----------------------------------------------------------------------------


def test_where_another_station_takes_over_there_is_no_row():
    # On 98.05 the strong one on 98.0 is heard through the filter: only it has a neighbour.
    plan = fm_set(front_end=FrontEnd())
    table = neighbours(plan, town(50, dbuv=[80.0, 40.0]))
    assert {row["wanted"] for row in table.rows()} == {"Mill"}
    without_levels = neighbours(fm_set(), town(50))
    assert {row["wanted"] for row in without_levels.rows()} == {"Mill", "50"}


def test_stations_on_one_carrier_are_no_neighbours_but_each_disturbs_the_third():
    stations = StationList.from_frequencies([WANTED_HZ, WANTED_HZ, WANTED_HZ + 50_000], ["A", "B", "C"])
    rows = list(neighbours(fm_set("filtered"), stations).rows())
    on = {(row["wanted"], row["station"]) for row in rows if row["line"] == "carrier"}
    assert on == {("A", "C"), ("C", "A"), ("C", "B")}


def test_a_station_in_the_audio_band_is_another_mechanism():
    assert tones(fm_set(), town(14.999)) == []
    # At 15 kHz the carrier itself is silent; its pilot stands on 34 kHz.
    assert tones(fm_set("filtered"), town(15)) == [("pilot", 4)]


def test_nobody_tuned_in_no_rows():
    assert len(neighbours_at(fm_set(), town(50), 99_000_000)) == 0


# --- in the results -----------------------------------------------------------------------------


def test_tables_and_json_of_survey_and_channel():
    plan, stations = fm_set(front_end=FrontEnd()), town(200, dbuv=[50.0, 55.0])
    told, here = survey(plan, stations).to_dict(), channel(plan, WANTED_HZ, stations).to_dict()
    for answer in (told, here):
        assert tuple(answer["neighbours"][0]) == COLUMNS
        assert answer["neighbours"][0]["heard_on_hz"] == WANTED_HZ
        assert ID in [row["mechanism"] for row in answer["mechanisms"]]
    assert [row["pitch_hz"] for row in here["neighbours"]] == [10_000, 9_000]
    assert list(told).index("if_pairs") == list(told).index("products") + 1


@pytest.mark.parametrize("stations", [None, StationList.from_frequencies([])])
def test_without_stations(stations):
    result = survey(fm_set(), stations)
    answer = result.to_dict()
    assert ("neighbours" in answer) == (stations is not None)
    assert not answer.get("neighbours")
    assert ID not in result.check_list.values("mechanism")
    assert not channel(fm_set(), WANTED_HZ, stations).to_dict().get("neighbours")


def test_sets_without_a_stereo_decoder_have_no_such_table():
    airband = Plan(
        band=Band(low_hz=118_000_000, high_hz=136_000_000, modulation="am"),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="low"),),
    )
    amateur = fm_set(band=Band(low_hz=144_000_000, high_hz=146_000_000, deviation_hz=5_000))
    unstated = Plan(**{name: value for name, value in amateur.given().items() if name != "stereo"})
    for plan in (airband, fm_set("none"), unstated):
        answer = survey(plan, town(100)).to_dict()
        assert "neighbours" not in answer
        assert "neighbours" not in channel(plan, plan.band.low_hz, town(100)).to_dict()
        assert ID not in {row["mechanism"] for row in answer["check_list"]}


def test_a_catalogue_without_this_family_has_no_rows():
    families = tuple(family for family in FAMILIES if ID not in {one.id for one in family.mechanisms})
    assert len(families) == len(FAMILIES) - 1
    result = survey(fm_set(), town(100), families=families)
    assert len(result.neighbours) == 0
    assert ID not in result.check_list.values("mechanism")
    assert len(channel(fm_set(), WANTED_HZ, town(100), families=families).neighbours) == 0


def lines(plan, stations):
    return [row for row in survey(plan, stations).check_list.rows() if row["mechanism"] == ID]


def test_the_card_has_one_line_for_each_station_disturbed_the_worst_tone_first():
    plan = fm_set(front_end=FrontEnd())
    stations = town(200, -100, dbuv=[60.0, 62.0, 50.0])
    (first, *_) = [row for row in lines(plan, stations) if row["dial_hz"] == WANTED_HZ]
    assert first["stations"] == ("-100", "200")
    assert "3 × 38 − 100 = 14 kHz" in first["why"]
    assert "98.00 − 97.90 = 100 kHz" in first["why"]
    assert "-100 5 kHz" in first["why"]
    assert "200 10 kHz" in first["why"]
    assert first["what_to_do"].startswith("Stereo only: switch to mono, and it goes.")
    margins = [
        row["margin_db"] for row in survey(plan, stations).neighbours.rows() if row["wanted"] == "Mill"
    ]
    assert first["margin_db"] == min(margins) < 0
    dials = [row["dial_hz"] for row in lines(plan, stations)]
    assert len(dials) == len(set(dials))


def test_what_cannot_be_heard_is_not_on_the_card():
    plan = fm_set(front_end=FrontEnd())
    assert lines(plan, town(200, dbuv=[60.0, -30.0])) == []
    assert [row["margin_db"] for row in survey(plan, town(200, dbuv=[60.0, -30.0])).neighbours.rows()]


def test_with_levels_the_margin_ranks_and_without_them_neighbours_come_behind_ghosts():
    stations = town(200, 5350, dbuv=[50.0, 55.0, 20.0])
    rows = survey(fm_set(front_end=FrontEnd()), stations).check_list.rows()
    kinds = [row["mechanism"] for row in rows]
    assert kinds.index(ID) < kinds.index("half-if")
    rows = list(survey(fm_set(), stations).check_list.rows())
    ghosts = [
        row["priority"]
        for row in rows
        if row["kind"] == "dial" and row["mechanism"] not in (ID, "if-harmonic")
    ]
    own = [row["priority"] for row in rows if row["mechanism"] == ID]
    assert max(ghosts) < min(own)
    empty = [
        row["priority"] for row in rows if row["kind"] == "outside" and row["mechanism"] == "harmonic-mixing"
    ]
    assert max(own) < min(empty)


@pytest.mark.parametrize(("side", "told"), [("low", "low"), ("unknown", "either")])
def test_lines_hold_for_every_oscillator_side(side, told):
    plan = fm_set(side=side, front_end=FrontEnd())
    stations = town(200, dbuv=[50.0, 55.0])
    assert {row["oscillator"] for row in lines(plan, stations)} == {told}
    heard = [row for row in survey(plan, stations).heard.rows() if row["mechanism"] == ID]
    assert {row["oscillator"] for row in heard} == {told}


def test_what_is_heard_holds_both_sorted_by_margin():
    plan = fm_set(front_end=FrontEnd())
    result = survey(plan, town(200, 21_400, dbuv=[50.0, 55.0, 70.0]))
    rows = list(result.heard.rows())
    margins = [row["margin_db"] for row in rows]
    assert margins == sorted(margins)
    assert {"image", ID} <= {row["mechanism"] for row in rows}
    (own,) = [row for row in rows if row["mechanism"] == ID and row["wanted"] == "Mill"]
    assert own["heard_low_hz"] == own["heard_on_hz"] == own["heard_high_hz"] == WANTED_HZ
    assert (own["stations"], own["pitch_hz"], own["m"]) == (("200",), 10_000, None)
    assert own["sum"] == "98.20 − 98.00 = 200 kHz; 200 − 5 × 38 = 10 kHz"


@pytest.mark.parametrize(
    ("offset_khz", "pitch_khz", "text"),
    [
        (50, 12, "50 − 38 = 12 kHz"), (30, 8, "38 − 30 = 8 kHz"), (100, 5, "100 + 19 − 3 × 38 = 5 kHz"),
        (200, 9, "5 × 38 − 200 + 19 = 9 kHz"), (90, 5, "3 × 38 − 90 − 19 = 5 kHz"),
        (215, 6, "215 − 19 − 5 × 38 = 6 kHz"),
    ],
)  # fmt: skip
def test_sums_are_written_as_one_works_them_out(offset_khz, pitch_khz, text):
    plan = fm_set()
    (row,) = [
        row
        for row in neighbours_at(plan, town(offset_khz), WANTED_HZ).rows()
        if row["pitch_hz"] == pitch_khz * KHZ
    ]
    assert decoder_sum(row, plan.rounding).endswith(f"= {offset_khz} kHz; {text}")
    # The sum itself, worked out from its text.
    left, right = text.removesuffix(" kHz").replace("−", "-").replace("×", "*").split("=")
    assert eval(left) == int(right)


def test_the_card_tells_what_the_pilots_leave_in_mono():
    (line, *_) = lines(fm_set(), town(30))
    assert "weak tone of 11 kHz" in line["what_to_do"]
    (line, *_) = lines(fm_set(), town(100))
    assert "weak tone" not in line["what_to_do"]


def test_the_words_name_the_tests_that_tell_it():
    words = catalogue()[ID]
    assert "mono" in words.check
    assert "anti-phase" in words.test
    assert "roll-off filter" in words.cure


def test_the_channel_says_that_it_is_heard_in_stereo_only():
    plan = fm_set(front_end=FrontEnd())
    headlines = channel(plan, WANTED_HZ, town(200, dbuv=[50.0, 55.0])).headlines
    assert any(
        "whistle of 10.0 kHz on Mill" in line and line.endswith("in stereo only") for line in headlines
    )
