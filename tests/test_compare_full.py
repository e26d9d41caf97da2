"""Oscillator sides and IFs side by side: what of the band comes in, harmonics, rejection, what is heard."""

from __future__ import annotations

import json
from fractions import Fraction
from itertools import pairwise
from math import lcm

import pytest
from commandline import DEMO, FM, STATIONS, call
from houses import tiny_plans
from hypothesis import example, given, settings
from hypothesis import strategies as st
from strategies import plans
from thoroughness import examples

from freqplan import (
    Band,
    Conversion,
    FrontEnd,
    Orders,
    Plan,
    StationList,
    Stereo,
    compare,
    load_plan,
    survey,
)
from freqplan.heard import heard
from freqplan.services import AERONAUTICAL_HZ, allocations
from freqplan.spans import merged, shared, width

MHZ = 1_000_000
TENTH_DB = 0.1


def mhz(*texts):
    return [int(Fraction(text) * MHZ) for text in texts]


def plan_of(low, high, intermediate, **more):
    band = Band(low_hz=low, high_hz=high)
    return Plan(band=band, conversion=(Conversion(intermediate_hz=intermediate, oscillator="high"),), **more)


def fm(intermediate="10.7", **more):
    return plan_of(*mhz("87.5", "108", intermediate), **more)


def rows_of(result):
    return {(row["intermediate_hz"], row["oscillator"]): row for row in result.plans.rows()}


# --- the plan table, and published values ----------------------------------------------------------

TABLE = [
    # IF, side, oscillator, image, in-band image on the dial, IF harmonics in the band; exact from the equation
    ("8.3", "high", "95.8 116.3", "104.1 124.6", "87.5 91.4", "91.3 99.6 107.9"),
    ("8.3", "low", "79.2 99.7", "70.9 91.4", "104.1 108", "91.3 99.6 107.9"),
    ("10.7", "high", "98.2 118.7", "108.9 129.4", None, "96.3 107.0"),
    ("10.7", "low", "76.8 97.3", "66.1 86.6", None, "96.3 107.0"),
    ("21.4", "high", "108.9 129.4", "130.3 150.8", None, "107.0"),
    ("21.4", "low", "66.1 86.6", "44.7 65.2", None, "107.0"),
]


def test_the_plan_table_of_three_ifs_on_both_sides():
    result = compare(fm(), mhz("8.3", "21.4")).to_dict()["plans"]
    found = {(row["intermediate_hz"], row["oscillator"]): row for row in result}
    assert len(result) == len(TABLE)
    for intermediate, side, own, image, part, harmonics in TABLE:
        row = found[mhz(intermediate)[0], side]
        assert [row["oscillator_low_hz"], row["oscillator_high_hz"]] == mhz(*own.split())
        assert [row["image_low_hz"], row["image_high_hz"]] == mhz(*image.split())
        assert row["in_band_image_dial"] == (None if part is None else mhz(*part.split()))
        assert row["if_harmonics_hz"] == mhz(*harmonics.split())


@pytest.mark.parametrize(
    ("low", "high", "intermediate", "side", "own", "image"),
    [
        # Stanley & Jeffords, Electronic Communications, ex. 5.12; read.
        (88 * MHZ, 108 * MHZ, 10_700_000, "high", ("98.7", "118.7"), ("109.4", "129.4")),
        (88 * MHZ, 108 * MHZ, 10_700_000, "low", ("77.3", "97.3"), ("66.6", "86.6")),
        # Roddy & Coolen, Electronic Communications, ex. 7.3.1; read.
        (550_000, 1_600_000, 455_000, "high", ("1.005", "2.055"), ("1.46", "2.51")),
    ],
)
def test_ranges_of_oscillator_and_image_in_textbooks(low, high, intermediate, side, own, image):
    row = rows_of(compare(plan_of(low, high, intermediate)))[intermediate, side]
    assert [row["oscillator_low_hz"], row["oscillator_high_hz"]] == mhz(*own)
    assert [row["image_low_hz"], row["image_high_hz"]] == mhz(*image)


def test_tuning_ratio_of_a_medium_wave_oscillator():
    # Roddy & Coolen, ex. 7.3.1 and 7.4.1: 2.045, and 4.181 (the book squares the rounded ratio: 4.182); read.
    row = rows_of(compare(plan_of(550_000, 1_600_000, 455_000)))[455_000, "high"]
    assert round(row["oscillator_ratio"], 3) == 2.045
    assert round(row["capacitance_ratio"], 3) == 4.181


def test_half_if_of_an_fm_set_in_numbers():
    # Exact from fX = fT + s fI/2 and fT + 3 s fI/2 inside 87.5-108, IF 10.7.
    rows = rows_of(compare(fm()))
    high, low = rows[10_700_000, "high"], rows[10_700_000, "low"]
    assert list(high["half_if_near_dial"]) == mhz("87.5", "102.65")
    assert list(high["half_if_far_dial"]) == mhz("87.5", "91.95")
    assert list(low["half_if_near_dial"]) == mhz("92.85", "108")
    assert list(low["half_if_far_dial"]) == mhz("103.55", "108")


@pytest.mark.parametrize("orders", [Orders(signal=1, oscillator=1), Orders(signal=2, oscillator=1)])
def test_half_if_is_told_whatever_the_orders_of_the_plan(orders):
    row = rows_of(compare(fm(orders=orders)))[10_700_000, "high"]
    assert list(row["half_if_near_dial"]) == mhz("87.5", "102.65")
    assert row["fractional_if_dial"] is None
    assert row["harmonics_fall_on"] == ()


# --- parts of the dial, by visiting every setting of a grid -------------------------------------------

MOST = 4
STEP = Fraction(1, lcm(*range(2, MOST + 1)))
"""Every end of a part is the edge of the band less a multiple of fI/n, so it stands on this grid."""


def oscillator(side, dial, intermediate):
    return {"high": dial + intermediate, "low": dial - intermediate, "sum": intermediate - dial}[side]


def settings_where_in_band(plan, side, intermediate, n, e):
    """Return the settings on which e(n fL - n fX) = fI has its fX in the band, by definition."""
    band = plan.band
    count = int((band.high_hz - band.low_hz) / STEP)
    dials = [band.low_hz + STEP * i for i in range(count + 1)]
    signals = {dial: (n * oscillator(side, dial, intermediate) - e * intermediate) / n for dial in dials}
    return dials, {dial for dial, signal in signals.items() if band.low_hz <= signal <= band.high_hz}


def on(parts, dial):
    return any(low <= dial <= high for low, high in parts)


@given(tiny_plans())
def test_parts_of_the_dial_are_those_of_a_visit_to_every_setting(plan):
    plan = plan.with_changes(orders=(MOST, MOST))
    for (intermediate, side), row in rows_of(compare(plan)).items():
        if row["oscillator_low_hz"] is None:
            continue
        near = {"high": 1, "low": -1, "sum": 1}[side]
        for name, e in (("half_if_near_dial", near), ("half_if_far_dial", -near)):
            _, inside = settings_where_in_band(plan, side, intermediate, 2, e)
            assert row[name] == ((min(inside), max(inside)) if inside else None)
        fractional = set()
        for n in range(3, MOST + 1):
            for e in (1, -1):
                dials, inside = settings_where_in_band(plan, side, intermediate, n, e)
                fractional |= inside
        parts = row["fractional_if_dial"] or ()
        assert {dial for dial in dials if on(parts, dial)} == fractional
        assert {end for part in parts for end in part} <= fractional


@given(tiny_plans())
def test_each_way_in_is_listed_with_its_own_part(plan):
    result = compare(plan.with_changes(orders=(MOST, MOST)))
    for row in result.in_band.rows():
        _, inside = settings_where_in_band(
            plan, row["oscillator"], row["intermediate_hz"], row["n"], row["e"]
        )
        assert row["m"] == row["n"]
        assert (row["dial_low_hz"], row["dial_high_hz"]) == (min(inside), max(inside))


@given(plans(sides=("high",)))
def test_the_low_side_mirrors_the_high_one(plan):
    intermediate, ends = plan.conversion[0].intermediate_hz, plan.band.low_hz + plan.band.high_hz
    rows = rows_of(compare(plan))
    high, low = rows[intermediate, "high"], rows[intermediate, "low"]
    if low["oscillator_low_hz"] is None:
        assert low["half_if_near_dial"] is low["fractional_if_dial"] is low["harmonics_fall_on"] is None
        assert low["concerns"]
        return

    def mirrored(parts):
        return tuple((ends - high_end, ends - low_end) for low_end, high_end in reversed(parts))

    for name in ("in_band_image_dial", "half_if_near_dial", "half_if_far_dial"):
        assert low[name] == (None if high[name] is None else mirrored([high[name]])[0])
    assert (low["fractional_if_dial"] or ()) == mirrored(high["fractional_if_dial"] or ())


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30)).map(sorted).map(tuple)))
@example([(0, 1), (1, 2)])
@example([])
def test_merged_parts_hold_the_same_points(spans):
    parts = merged(spans)
    halves = [Fraction(i, 2) for i in range(62)]
    assert [on(parts, point) for point in halves] == [on(spans, point) for point in halves]
    assert all(one[1] < other[0] for one, other in pairwise(parts))
    covered = sum(any(low <= i and i + 1 <= high for low, high in spans) for i in range(30))
    assert width(parts) == covered
    assert isinstance(width(parts), Fraction)
    assert shared(spans, 0, 30) == covered


# --- harmonics of the oscillator ----------------------------------------------------------------


@given(plans(), st.sampled_from([1, 2, 3]))
def test_harmonics_name_who_lives_there_safety_first(plan, region):
    result = compare(plan.with_changes(region=region))
    rows = rows_of(result)
    here = [each for each in allocations(region) if each.safety] + [
        each for each in allocations(region) if not each.safety
    ]
    safety = [(each.low_hz, each.high_hz) for each in here if each.safety] + [AERONAUTICAL_HZ]
    for row in result.harmonics.rows():
        own = rows[row["intermediate_hz"], row["oscillator"]]
        low, high = row["harmonic"] * own["oscillator_low_hz"], row["harmonic"] * own["oscillator_high_hz"]
        assert (row["low_hz"], row["high_hz"]) == (low, high)
        names = [each.name for each in here if each.low_hz < high and low < each.high_hz]
        assert row["services"] == tuple(dict.fromkeys(names))
        edges = sorted({low, high, *(edge for ends in safety for edge in ends if low < edge < high)})
        pieces = pairwise(edges)
        held = sum(b - a for a, b in pieces if any(one <= a and b <= other for one, other in safety))
        assert row["on_safety_hz"] == held
    for naming, own in rows.items():
        if own["oscillator_low_hz"] is None:
            continue
        mine = [
            row for row in result.harmonics.rows() if (row["intermediate_hz"], row["oscillator"]) == naming
        ]
        assert [row["harmonic"] for row in mine] == list(range(2, plan.orders.oscillator + 1))
        assert set(own["harmonics_fall_on"]) == {name for row in mine for name in row["services"]}
        on_safety = {
            each.name
            for each in here
            for row in mine
            if each.safety and each.low_hz < row["high_hz"] and row["low_hz"] < each.high_hz
        }
        assert set(own["harmonics_on_safety"]) == on_safety
        assert own["harmonics_fall_on"][: len(on_safety)] == own["harmonics_on_safety"]


# --- rejection ----------------------------------------------------------------------------------------


def levelled(decoder="filtered", **more):
    return fm(front_end=FrontEnd(**more), stereo=Stereo(decoder=decoder))


def test_rejection_needed_in_mono_is_that_of_a_note_of_15_khz():
    # Exact: 60 dB + 20 lg(15/75) - 10 lg(1 + (2 pi 15000 50e-6)^2) = 60 - 13.98 - 13.66, less 0.08 dB of IF filter.
    row = rows_of(compare(levelled("none")))[10_700_000, "high"]
    assert row["needed_rejection_db"] == pytest.approx(32.36, abs=TENTH_DB)


@pytest.mark.parametrize("decoder", ["none", "filtered", "switching"])
@pytest.mark.parametrize("side", ["high", "low"])
def test_rejection_needed_is_where_the_survey_begins_to_hear_an_image(decoder, side):
    plan = levelled(decoder, wanted_dbuv=60.0).with_changes(oscillator=side)
    needed = rows_of(compare(plan))[10_700_000, side]["needed_rejection_db"]
    # Below, this image is in the former FM band, so that the protection ratio counts as it does at the worst setting.
    dial, image = 90 * MHZ, (111_400_000 if side == "high" else 68_600_000)

    def is_heard(above_db):
        found = []
        for offset in (0, 7_000, 14_800, 38_200, 38_800, 52_800):
            stations = StationList.from_frequencies(
                [dial, image + offset], level_dbuv=[60.0, 60.0 - needed + above_db]
            )
            ghosts = survey(plan, stations).ghosts.rows()
            found += [row["margin_db"] for row in ghosts if row["mechanism"] == "image"]
        return min(found) < 0

    assert is_heard(0.5)
    assert not is_heard(-0.01)


def test_a_listed_station_on_the_image_needs_as_much_more_as_it_is_stronger():
    plan = levelled(wanted_dbuv=54.0)
    alone = rows_of(compare(plan))
    for level, more in ((40.0, 0.0), (None, 0.0), (74.0, 20.0)):
        stations = StationList.from_frequencies([119 * MHZ, 98 * MHZ], level_dbuv=[level, 100.0])
        rows = rows_of(compare(plan, (), stations))
        for side, needed in (("high", more), ("low", 0.0)):
            before = alone[10_700_000, side]["needed_rejection_db"]
            assert rows[10_700_000, side]["needed_rejection_db"] == pytest.approx(before + needed, abs=1e-9)


def test_rejection_given_is_that_of_the_survey_at_the_worst_setting():
    plan = load_plan(DEMO / "pantry.toml")
    for (intermediate, side), row in rows_of(compare(plan, [8_300_000])).items():
        changed = plan.with_changes(oscillator=side, intermediate_hz=intermediate)
        (given_db,) = [
            one["rejection_db"] for one in survey(changed).responses.rows() if one["mechanism"] == "image"
        ]
        assert row["image_rejection_db"] == given_db


def test_without_a_front_end_levels_are_unknown():
    stations = StationList.from_frequencies([101 * MHZ], level_dbuv=[80.0])
    for row in compare(fm(), (), stations).to_dict()["plans"]:
        for name in ("needed_rejection_db", "image_rejection_db", "heard_ghosts", "worst", "worst_margin_db"):
            assert row[name] is None
        assert row["heard_unknown"] > 0


# --- what is heard of listed stations ---------------------------------------------------------------


def by_the_survey(plan, stations):
    """Count what the tables of a whole survey hold: clusters of ghosts, and settings with sums of two stations."""
    whole = survey(plan, stations, every_product=True)
    pairs = [row for row in whole.products.rows() if row["kind"] in ("A+B", "A-B")]
    rows = list(heard(plan, whole.ghosts).rows())
    loudest = {}
    for row in sorted(pairs, key=lambda row: row["order"]):
        if row["margin_db"] is not None and row["margin_db"] < 0:
            known = loudest.get(row["heard_on_hz"])
            if known is None or row["margin_db"] < known["margin_db"]:
                loudest[row["heard_on_hz"]] = row
    rows += loudest.values()
    unknown = [row for row in (*whole.ghosts.rows(), *pairs) if row["margin_db"] is None]
    kinds = [row["heard"] for row in rows]
    counts = [kinds.count(kind) for kind in ("ghost", "whistle", "noise")]
    return [*counts, len(unknown), min((row["margin_db"] for row in rows), default=None)]


@settings(max_examples=examples(8))
@given(st.data())
def test_what_is_heard_is_what_the_survey_of_that_choice_hears(data):
    plan = load_plan(DEMO / "pantry.toml")
    channels = data.draw(st.lists(st.integers(0, 220), min_size=1, max_size=6, unique=True))
    levels = [data.draw(st.none() | st.integers(30, 100).map(float)) for _ in channels]
    stations = StationList.from_frequencies(
        [87_500_000 + 100_000 * each for each in channels], level_dbuv=levels
    )
    for (intermediate, side), row in rows_of(compare(plan, [8_300_000], stations)).items():
        changed = plan.with_changes(oscillator=side, intermediate_hz=intermediate)
        names = ("heard_ghosts", "heard_whistles", "heard_noise", "heard_unknown", "worst_margin_db")
        assert [row[name] for name in names] == by_the_survey(changed, stations)
        assert (row["worst"] is None) == (row["worst_on_hz"] is None) == (row["worst_margin_db"] is None)


def test_the_worst_says_what_where_and_by_what_margin():
    stations = StationList.from_frequencies(mhz("101.2"), ["High Moor"], level_dbuv=[95.0])
    row = rows_of(compare(load_plan(DEMO / "pantry.toml"), (), stations))[10_700_000, "high"]
    assert row["worst"] == "ghost: half-if of High Moor"
    assert row["worst_on_hz"] == mhz("95.85")[0]
    assert row["worst_margin_db"] < 0


# --- command line, forms --------------------------------------------------------------------------------


@pytest.fixture
def bench(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "fm.toml").write_text(FM + "\n[front_end]\ncircuits_before_mixer = 2\nloaded_q = 30\n")
    (tmp_path / "town.csv").write_text(STATIONS)
    return tmp_path


def test_every_screen_fits_and_names_no_winner_without_weights(bench):
    words = ("compare", "fm.toml", "--stations", "town.csv", "--intermediate", "8.3 MHz")
    for more in ((), ("--weight", "heard=1", "--weight", "rejection=0.5")):
        answer = call(*words, *more)
        assert answer.code == 0
        assert max(map(len, answer.out.splitlines())) <= 100
        assert ("BY THE WEIGHTS GIVEN" in answer.out) == bool(more)
    for table in ("plans", "in_band", "harmonics"):
        assert max(map(len, call(*words, "--table", table).out.splitlines())) <= 100


def test_json_holds_the_tables_and_a_ranking_only_with_weights(bench):
    words = ("compare", "fm.toml", "--format", "json")
    plain = json.loads(call(*words).out)
    assert {"plans", "in_band", "harmonics"} <= set(plain)
    assert "ranking" not in plain
    assert plain["weights"] == {}
    ranked = json.loads(call(*words, "--weight", "if-harmonics=2", "--weight", "half-if-in-band=0.1").out)
    assert ranked["weights"] == {"half-if-in-band": 0.1, "if-harmonics": 2.0}
    assert len(ranked["ranking"]) == len(ranked["plans"])


def test_an_up_converting_set_lists_the_side_that_cannot_be(bench):
    plan = plan_of(*mhz("1.6", "30", "45"))
    rows = rows_of(compare(plan, (), None, {"half-if-in-band": 1}))
    assert {side for _, side in rows} == {"high", "low", "sum"}
    impossible = rows[45 * MHZ, "low"]
    assert impossible["concerns"]
    filled = {name for name, value in impossible.items() if value is not None}
    assert filled == {"intermediate_hz", "oscillator", "concerns"}
    # Exact: fX = fI/2 - fT inside 1.6-30 for fT up to 20.9, and 3 fI/2 - fT for fT from 37.5: never.
    assert list(rows[45 * MHZ, "sum"]["half_if_near_dial"]) == mhz("1.6", "20.9")
    assert rows[45 * MHZ, "sum"]["half_if_far_dial"] is None


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--weight", "hear=1"), ["no such term", "nearest: heard"]),
        (("--weight", "xyzzy=1"), ["there are: image-in-band, "]),
        (("--weight", "rejection"), ["not a weight", "half-if-in-band=2"]),
        (("--weight", "rejection=-1"), ["not a weight"]),
        (("--weight", "rejection=1e3"), ["not a weight"]),
        (("--weight", "rejection=2000000"), ["from 0 to 1,000,000"]),
        (("--weight", "rejection=0"), ["every weight is 0"]),
        (("--weight", "rejection=1", "--weight", "rejection=2"), ["give it once"]),
        (("--weight", "heard=1"), ["needs a station list", "--stations"]),
        (("--weight", "hart=1", "--weight", "worst=1"), ["no such term", "needs a station list"]),
        (("--stations", "none.csv"), ["none.csv"]),
        (("--stations", "no-levels.csv", "--weight", "worst=1"), ["no listed station has a level"]),
    ],
)
def test_bad_weights_are_refused_in_words_and_leave_no_file(bench, words, said):
    (bench / "no-levels.csv").write_text("name,frequency_mhz\nLower Fen,90.5\n")
    answer = call("compare", "fm.toml", "-o", "out.txt", *words)
    assert answer.code == 2
    assert answer.out == ""
    assert "Traceback" not in answer.err
    assert all(text in answer.err for text in said)
    assert not (bench / "out.txt").exists()


def test_plan_and_stations_cannot_both_come_from_standard_input(bench):
    answer = call("compare", "-", "--stations", "-")
    assert answer.code == 2
    assert "standard input" in answer.err


def test_a_weight_that_needs_levels_is_refused_without_a_front_end(bench):
    (bench / "bare.toml").write_text(FM)
    answer = call("compare", "bare.toml", "--stations", "town.csv", "--weight", "rejection=1")
    assert answer.code == 2
    assert "[front_end]" in answer.err


def test_sums_of_stations_that_are_counted_and_not_are_told(bench):
    out = " ".join(call("compare", "fm.toml", "--stations", "town.csv").out.split())
    assert "Sums of third order are not counted" in out
