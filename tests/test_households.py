"""The sets of one house: laws, examples worked out by hand, places to listen, services, words."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from commandline import DEMO
from houses import image, own, tiny_plans
from hypothesis import given
from hypothesis import strategies as st
from strategies import plans, plans_with_stations

from freqplan import (
    Band,
    Conversion,
    Household,
    ModelRangeError,
    Orders,
    Plan,
    StationList,
    load_plan,
    load_stations,
    receivers,
)
from freqplan.services import AERONAUTICAL_HZ, allocations

MHZ = 1_000_000
PANTRY, WORKSHOP, BALCONY, ATTIC = (
    load_plan(DEMO / f"{name}.toml") for name in ("pantry", "workshop", "balcony", "attic")
)
ORVESSA = load_stations(DEMO / "orvessa.csv")


def fm(side="high", intermediate_hz=10_700_000, title="Kitchen set", oscillator=5):
    return Plan(
        title=title,
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=intermediate_hz, oscillator=side),),
        orders=Orders(oscillator=oscillator),
    )


def only(table, **wanted):
    rows = [row for row in table.rows() if all(row[name] == value for name, value in wanted.items())]
    (row,) = rows
    return row


def mhz(row, *names):
    return tuple(Fraction(row[name]) / MHZ for name in names)


DIALS = ("culprit_dial_low_hz", "culprit_dial_high_hz", "victim_dial_low_hz", "victim_dial_high_hz")

# Examples worked out by hand


def test_a_set_on_100_hears_a_high_side_set_that_stands_on_89_3():
    # f'T = fT - s' f'I on the dial: 89.3 + 10.7 = 100.0; exact.
    result = receivers([fm(title="One"), fm("low", title="Other")])
    row = only(result.conflicts, culprit="One", way="wanted")
    assert mhz(row, *DIALS) == (Fraction(875, 10), Fraction(973, 10), Fraction(982, 10), 108)
    assert row["victim_at_low_hz"] - row["culprit_dial_low_hz"] == 10_700_000
    assert row["culprit_dial_low_hz"] <= 89_300_000 <= row["culprit_dial_high_hz"]
    assert row["sum"] == "victim = culprit + 10.70"


def test_two_high_side_sets_meet_on_the_image_where_the_culprit_is_10_7_above():
    # f'T = fT + 2 s fI - s' f'I: the culprit stands 21.4 - 10.7 above the victim; exact.
    row = only(
        receivers([fm(title="One"), fm(title="Other")]).conflicts, culprit="One", way="image", harmonic=1
    )
    assert row["culprit_dial_low_hz"] - row["victim_at_low_hz"] == 10_700_000
    assert row["culprit_dial_high_hz"] - row["victim_at_high_hz"] == 10_700_000
    assert mhz(row, *DIALS) == (Fraction(982, 10), 108, Fraction(875, 10), Fraction(973, 10))


@pytest.mark.parametrize(("way", "slope", "victim_tuned"), [("wanted", 1, 0), ("image", -1, 2), ("if", 0, 1)])
def test_slopes_and_beat_rates(way, slope, victim_tuned):
    # On the dial +1 and 0, on the image -1 and 2, as for any outside carrier; tuning the other set gives h; exact.
    medium = ATTIC.with_changes(orders=(1, 25))
    house = [medium, fm(oscillator=25), fm(title="High"), fm("low", title="Low")]
    rows = [row for row in receivers(house).conflicts.rows() if row["way"] == way]
    assert rows
    for row in rows:
        assert (row["tuning_slope"], row["beat_rate"], row["other_beat_rate"]) == (
            slope, victim_tuned, row["harmonic"],
        )  # fmt: skip
        assert (row["level_law"], row["mechanism"]) == (1, "other-receiver")


def test_a_harmonic_of_a_medium_wave_set_falls_into_the_if_of_an_fm_set():
    # 6 x (1328.333... + 455) kHz = 10.70 MHz; half the filter of 180 kHz is 90, so 15 kHz of its dial; exact.
    row = only(receivers([ATTIC, fm(oscillator=6)]).conflicts, way="if", harmonic=6)
    middle = Fraction(10_700_000, 6) - 455_000
    assert row["culprit_dial_low_hz"] == middle - 15_000
    assert row["culprit_dial_high_hz"] == middle + 15_000
    assert (row["victim_dial_low_hz"], row["victim_dial_high_hz"]) == (87_500_000, 108_000_000)
    assert row["sum"] == "6 × its oscillator within 10.610-10.790 (IF 10.700)"


def test_a_sum_converter_runs_the_other_way():
    # Oscillator 45 MHz minus the dial: the lower the culprit, the higher the victim; exact.
    up = Plan(
        title="Up",
        band=Band(low_hz=2 * MHZ, high_hz=30 * MHZ),
        conversion=(Conversion(intermediate_hz=45 * MHZ, oscillator="sum"),),
    )
    row = only(receivers([up, up]).conflicts, culprit="Up", way="wanted", harmonic=1)
    assert mhz(row, *DIALS) == (15, 30, 15, 30)
    assert (row["victim_at_low_hz"], row["victim_at_high_hz"]) == (30 * MHZ, 15 * MHZ)
    assert row["sum"] == "victim = 45000 − culprit"


def test_dials_that_touch_in_one_setting_are_a_conflict_there():
    low = Plan(
        band=Band(low_hz=60 * MHZ, high_hz=76_800_000, modulation="fm"),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    )
    rows = [
        row
        for row in receivers([low, fm()]).conflicts.rows()
        if row["way"] == "wanted" and row["harmonic"] == 1
    ]
    assert [row[name] for row in rows for name in DIALS] == [76_800_000, 76_800_000, 87_500_000, 87_500_000]


def test_two_sets_of_one_kind_fool_each_other_along_a_whole_line():
    result = receivers([PANTRY, PANTRY])
    rows = [row for row in result.mutual.rows() if row["harmonic"] == row["back_harmonic"] == 1]
    assert [(row["way"], row["back_way"], row["together"]) for row in rows] == [
        ("wanted", "image", "line"), ("image", "wanted", "line"),
    ]  # fmt: skip
    assert [row["ways"] for row in rows] == ["wanted / image", "image / wanted"]
    assert mhz(rows[0], "dial_low_hz", "dial_high_hz", "other_at_low_hz", "other_at_high_hz") == (
        Fraction(875, 10), Fraction(973, 10), Fraction(982, 10), 108,
    )  # fmt: skip


# Laws


def heard(row, culprit, victim, end):
    """What the culprit sends out at one end of its part of the dial, and what the victim then answers to."""
    signal = row["harmonic"] * own(
        culprit, row["culprit_oscillator"], Fraction(row[f"culprit_dial_{end}_hz"])
    )
    dial = row[f"victim_at_{end}_hz"]
    if row["way"] == "wanted":
        return signal, dial
    return signal, image(victim, row["victim_oscillator"], Fraction(dial))


@given(plans(), plans())
def test_both_ends_put_back_into_the_equation_give_equality(one, other):
    result = receivers([one, other])
    plan_of = {each.name: each.plan for each in result.sets}
    for row in result.conflicts.rows():
        culprit, victim = plan_of[row["culprit"]], plan_of[row["victim"]]
        for end in ("low", "high"):
            if row["way"] == "if":
                own_hz = own(culprit, row["culprit_oscillator"], Fraction(row[f"culprit_dial_{end}_hz"]))
                beside = abs(row["harmonic"] * own_hz - victim.conversion[0].intermediate_hz)
                on_edge = 2 * beside == victim.if_filter.bandwidth_hz
                at_end = row[f"culprit_dial_{end}_hz"] in (culprit.band.low_hz, culprit.band.high_hz)
                assert on_edge or (at_end and 2 * beside < victim.if_filter.bandwidth_hz)
            else:
                sent, answered = heard(row, culprit, victim, end)
                assert sent == answered
                assert victim.band.low_hz <= row[f"victim_at_{end}_hz"] <= victim.band.high_hz
            assert culprit.band.low_hz <= row[f"culprit_dial_{end}_hz"] <= culprit.band.high_hz


def without_names(result, *names):
    return sorted(
        repr({name: value for name, value in row.items() if name != "sum"}) for row in result.conflicts.rows()
    )


@given(plans(), plans())
def test_who_is_named_first_makes_no_difference(one, other):
    one, other = (
        plan.model_copy(update={"title": title}) for plan, title in ((one, "One"), (other, "Other"))
    )
    assert without_names(receivers([one, other])) == without_names(receivers([other, one]))


@given(plans(most_order=3), plans(most_order=3))
def test_more_harmonics_lose_nothing(one, other):
    few = receivers([one, other])
    more = receivers(
        [plan.with_changes(orders=(plan.orders.signal, plan.orders.oscillator + 2)) for plan in (one, other)]
    )
    assert set(without_names(few)) <= set(without_names(more))


@given(st.lists(tiny_plans(), min_size=3, max_size=3))
def test_a_third_set_changes_nothing_between_two(house):
    house = [plan.model_copy(update={"title": name}) for plan, name in zip(house, "ABC", strict=True)]
    three, two = receivers(house), receivers(house[:2])
    rows = [row for row in three.conflicts.rows() if "C" not in (row["culprit"], row["victim"])]
    assert rows == list(two.conflicts.rows())
    both = [row for row in three.mutual.rows() if "C" not in (row["set"], row["other_set"])]
    assert both == list(two.mutual.rows())


# Where to listen


def unsafe(hertz):
    return AERONAUTICAL_HZ[0] <= hertz <= AERONAUTICAL_HZ[1] or any(
        each.low_hz <= hertz <= each.high_hz for each in allocations() if each.safety
    )


@given(plans_with_stations(most_order=3), plans(most_order=3), st.booleans())
def test_places_to_listen_are_on_the_oscillator_on_the_dial_and_off_safety_services(drawn, other, listed):
    plan, stations = drawn
    result = receivers([plan, other], stations if listed else None)
    plan_of = {each.name: each.plan for each in result.sets}
    spots = {}
    for row in result.listen_at.rows():
        culprit, radio = plan_of[row["set"]], plan_of[row["radio"]]
        assert row["listen_hz"] == row["harmonic"] * own(culprit, row["oscillator"], row["set_dial_hz"])
        assert radio.band.low_hz <= row["listen_hz"] <= radio.band.high_hz
        assert row["set_dial_hz"] in culprit.channels_hz
        assert not unsafe(row["listen_hz"])
        spots.setdefault((row["set"], row["radio"], row["oscillator"]), []).append(row)
    for (name, radio, side), rows in spots.items():
        assert 1 <= len(rows) <= 9
        assert len({row["set_dial_hz"] for row in rows}) == len(rows)
        assert {row["harmonic"] for row in rows} == {lowest_heard(plan_of[name], plan_of[radio], side)}
    expected = {
        (one.name, two.name, side)
        for one in result.sets for two in result.sets if one is not two
        for side in one.plan.sides if lowest_heard(one.plan, two.plan, side)
    }  # fmt: skip
    assert set(spots) == expected


def lowest_heard(plan, radio, side):
    """The lowest harmonic that some channel of a set puts on a radio's dial where one may listen; None without."""
    for h in range(1, radio.orders.oscillator + 1):
        for channel in plan.channels_hz.tolist():
            hertz = h * own(plan, side, channel)
            if radio.band.low_hz <= hertz <= radio.band.high_hz and not unsafe(hertz):
                return h
    return None


def test_with_stations_the_places_are_clear_of_them_where_that_can_be():
    few = StationList.from_frequencies([98_200_000, 99_300_000, 103_000_000, 107_900_000])
    rows = list(receivers([PANTRY, WORKSHOP], few).listen_at.rows())
    assert len(rows) == 18
    for row in rows:
        radio = PANTRY if row["radio"] == PANTRY.title else WORKSHOP
        assert 2 * np.abs(few.frequency_hz - row["listen_hz"]).min() > radio.if_filter.skirts_hz
        assert row["stations"] == ()
        assert row["fingerprint"].startswith("quiet, meter up; ")


def test_where_stations_leave_no_gap_the_one_beside_is_named():
    # In the town they stand 400 kHz apart, and 200 is within the skirts of the workshop set, 204; the middles are best.
    rows = [
        row for row in receivers([PANTRY, WORKSHOP], ORVESSA).listen_at.rows() if row["set"] == PANTRY.title
    ]
    assert rows[0]["listen_hz"] == 98_200_000
    assert rows[0]["stations"][0] in rows[0]["fingerprint"]
    for row in rows:
        beside = np.abs(ORVESSA.frequency_hz - row["listen_hz"])
        assert {ORVESSA.names[place] for place in np.flatnonzero(2 * beside <= 408_888)} == set(
            row["stations"]
        )
        assert row["fingerprint"].startswith(f"quiet, meter up, beside {row['stations'][0]}; ")


def test_where_stations_are_everywhere_the_sentence_says_on_whom_it_whistles():
    full = StationList.from_frequencies(PANTRY.channels_hz.tolist())
    rows = list(receivers([PANTRY, PANTRY], full).listen_at.rows())
    assert rows
    assert all(row["stations"] for row in rows)
    assert all(row["fingerprint"].startswith(f"a whistle on {row['stations'][0]}; ") for row in rows)


def test_the_sentence_says_where_it_moves():
    row = next(receivers([PANTRY, PANTRY]).listen_at.rows())
    assert (row["set_dial_hz"], row["listen_hz"]) == (87_500_000, 98_200_000)
    assert row["fingerprint"] == "quiet, meter up; set to 88.5: moves to 99.2"
    last = list(receivers([PANTRY]).listen_at.rows())[-1]
    # Another megahertz up would be beyond 108, so the example goes down.
    assert (last["set_dial_hz"], last["fingerprint"]) == (
        97_200_000, "quiet, meter up; set to 96.2: moves to 106.9",
    )  # fmt: skip


def test_a_set_alone_is_heard_by_another_radio_of_its_band():
    result = receivers([PANTRY])
    assert {row["radio"] for row in result.listen_at.rows()} == {"another radio"}
    assert len(result.listen_at) == 9
    assert len(result.conflicts) == len(result.mutual) == 0
    assert "with the dial on 87.5-97.2; elsewhere" in result.headlines[-1]
    assert result.names[0] == "listen_at"
    assert receivers(PANTRY).to_dict() == result.to_dict()


def test_a_set_that_nothing_hears_is_named():
    assert (
        "No other set here can be used to hear the oscillator of Attic valve set."
        in receivers([PANTRY, ATTIC]).headlines
    )
    conversion = Conversion(intermediate_hz=45 * MHZ, oscillator="high")
    alone = receivers([Plan(band=Band(low_hz=2 * MHZ, high_hz=5 * MHZ), conversion=(conversion,))])
    assert alone.headlines[-1].endswith("can be heard nowhere on such a radio.")
    assert len(alone.listen_at) == 0


def test_a_set_with_services_inside_its_band_is_heard_but_for_these():
    # 3-9 MHz, IF 455 kHz: aeronautical voice at 3.4-3.5 MHz and elsewhere lies on the way.
    conversion = Conversion(intermediate_hz=455_000, oscillator="high")
    alone = receivers([Plan(band=Band(low_hz=3 * MHZ, high_hz=9 * MHZ), conversion=(conversion,))])
    # Up to 3.045 MHz it would be heard up to 3.5, and from 7.74 MHz on in the maritime band at 8.195.
    assert "on 3050-7735, but for places on which lives depend; elsewhere" in alone.headlines[-1]


def test_a_fine_raster_is_thinned_out_and_still_answered():
    fine = fm().model_copy(update={"band": Band(low_hz=87_500_000, high_hz=108_000_000, raster_hz=1)})
    rows = list(receivers([fine, fm(title="Radio")]).listen_at.rows())
    assert [row["listen_hz"] - row["set_dial_hz"] for row in rows if row["set"] == "Kitchen set"] == [
        10_700_000
    ] * 9


def test_a_notebook_shows_the_sets():
    text = receivers([PANTRY, WORKSHOP])._repr_html_()
    assert text.startswith("<h3>Pantry table set and 1 other set: receivers</h3>")
    assert "<caption>Whose oscillator disturbs whom</caption>" in text


def test_nobody_is_sent_to_listen_on_the_aeronautical_bands():
    result = receivers([PANTRY, BALCONY])
    assert any(row["victim"] == BALCONY.title for row in result.conflicts.rows())
    assert BALCONY.title not in result.listen_at.values("radio")


# Services


def test_a_high_side_fm_set_is_in_radionavigation_from_97_3_and_in_voice_above_107_275():
    # Oscillator 98.2-118.7; aeronautical radionavigation 108-117.975, voice above; exact, from the plan of allocations.
    result = receivers([fm()])
    first = {row["service"]: row for row in result.radiation.rows() if row["harmonic"] == 1}
    ends = ("dial_low_hz", "dial_high_hz")
    assert mhz(first["aeronautical radionavigation"], *ends) == (Fraction(973, 10), Fraction(107_275, 1000))
    assert mhz(first["aeronautical voice"], *ends) == (Fraction(107_275, 1000), 108)
    assert mhz(first["108-137 MHz, aeronautical, altogether"], *ends) == (Fraction(973, 10), 108)
    assert not [row for row in receivers([fm("low")]).radiation.rows() if row["harmonic"] == 1]
    assert any("lowest practical value" in text and "1.138, 51.2" in text for text in result.cautions)
    assert any("aeronautical radionavigation" in text for text in result.cautions)


@given(st.lists(plans(), min_size=1, max_size=2))
def test_radiation_is_that_of_every_service_one_by_one(house):
    result = receivers(house)
    listed = {
        (row["set"], row["harmonic"], row["oscillator"], row["service"], row["low_hz"], row["high_hz"]): row
        for row in result.radiation.rows()
    }
    bands = [(each.name, each.low_hz, each.high_hz) for each in allocations() if each.safety]
    bands.append(("108-137 MHz, aeronautical, altogether", *AERONAUTICAL_HZ))
    expected = set()
    for each in result.sets:
        for side in each.plan.sides:
            for h in range(1, each.plan.orders.oscillator + 1):
                ends = sorted(h * own(each.plan, side, hz) for hz in each.ends_hz)
                for name, low, high in bands:
                    part = max(low, ends[0]), min(high, ends[1])
                    if part[0] < part[1]:
                        expected.add((each.name, h, side, name, *part))
    assert set(listed) == expected
    assert len(listed) == len(result.radiation)
    for (name, h, side, _, low, high), row in listed.items():
        plan = next(each.plan for each in result.sets if each.name == name)
        ends = (Fraction(row["dial_low_hz"]), Fraction(row["dial_high_hz"]))
        assert sorted(h * own(plan, side, dial) for dial in ends) == [low, high]


# Names, keys and bad questions


def test_sets_of_one_title_are_told_apart():
    house = [PANTRY, PANTRY, PANTRY.model_copy(update={"title": "Pantry table set (2)"}), PANTRY]
    names = [each.name for each in receivers(house).sets]
    assert names[:1] == ["Pantry table set"]
    assert names[2] == "Pantry table set (2)"
    assert len(set(names)) == 4


def test_the_result_names_every_plan_and_holds_the_contracted_keys():
    result = receivers([PANTRY, WORKSHOP], ORVESSA)
    assert isinstance(result, Household)
    said = result.to_dict()
    assert (said["schema"], said["command"], said["plan"]) == (1, "receivers", PANTRY.to_dict())
    assert said["plans"] == [PANTRY.to_dict(), WORKSHOP.to_dict()]
    assert {"culprit", "victim", "way", "harmonic", *DIALS} <= set(said["conflicts"][0])
    assert {"set_dial_hz", "listen_hz"} <= set(said["listen_at"][0])
    assert {row["culprit"] for row in said["conflicts"]} == {PANTRY.title, WORKSHOP.title}
    assert {row["way"] for row in said["conflicts"]} <= {"wanted", "image", "if"}
    assert said["mechanisms"][0]["mechanism"] == "other-receiver"
    assert all(title in " ".join(result.headlines) for title in (PANTRY.title, WORKSHOP.title))
    assert len(result.to_dataframe("conflicts")) == len(said["conflicts"])


def test_pairs_come_lowest_harmonic_first_and_then_the_nearest():
    rows = list(receivers([PANTRY, WORKSHOP, ATTIC], ORVESSA).pairs.rows())
    assert rows == sorted(rows, key=lambda row: (row["harmonic"], abs(row["beat_hz"])))
    assert any(
        row["culprit_station"] == "Valle Sarvenna" and row["victim_station"] == "Orvessa Alta" for row in rows
    )


def test_questions_that_cannot_be_answered():
    with pytest.raises(ModelRangeError, match="at least one plan"):
        receivers([])
    with pytest.raises(ModelRangeError, match="21 sets, more than 20"):
        receivers([PANTRY] * 21)
    with pytest.raises(ModelRangeError, match="pairs of stations need a station list"):
        _ = receivers([PANTRY, PANTRY]).pairs


def test_too_many_pairs_are_refused_with_their_name(monkeypatch):
    monkeypatch.setattr("freqplan.landing.MOST_LANDINGS", 3)
    with pytest.raises(ModelRangeError, match="pairs of stations, more than 3"):
        _ = receivers([PANTRY, WORKSHOP], ORVESSA).pairs
    monkeypatch.setattr("freqplan.landing.MOST_LANDINGS", 60)
    monkeypatch.setattr("freqplan.station_pairs.MOST_LANDINGS", 60)
    with pytest.raises(ModelRangeError, match="more than 60 pairs of stations"):
        _ = receivers([PANTRY, WORKSHOP, PANTRY], ORVESSA).pairs
