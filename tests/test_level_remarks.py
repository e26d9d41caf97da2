"""What results say of levels and trials, and whom they hold them against: cases that a bench would stumble over."""

from __future__ import annotations

import io

import pytest
from hearing_strategies import kitchen

from freqplan import Notch, StationList, Trial, channel, circuits, compare, load_plan, survey
from freqplan.errors import PlanError
from freqplan.plan import Band, Conversion, Plan

TENTH_DB = 0.1


def town(*rows):
    names, megahertz, levels = zip(*rows, strict=True)
    return StationList.from_frequencies([round(mhz * 1e6) for mhz in megahertz], names, level_dbuv=levels)


def said(result):
    return " ".join(result.assumptions)


def with_response(folder, points, *more):
    (folder / "fe.csv").write_text("frequency_mhz,gain_db\n" + points, encoding="utf-8")
    text = """
[band]
low = "87.5 MHz"
high = "108 MHz"
[[conversion]]
intermediate = "10.7 MHz"
oscillator = "high"
[front_end]
response = "fe.csv"
"""
    (folder / "p.toml").write_text("\n".join([text, *more]), encoding="utf-8")
    return load_plan(folder / "p.toml")


# Who is heard


def test_beside_a_strong_station_there_is_no_free_channel():
    # 100 kHz off, the filter takes 5 dB off the station of 100 dB(uV): against that no ghost of 30 is heard.
    rows = channel(kitchen(), 98_100_000, town(("Strong", 98.0, 100), ("Image", 119.5, 95))).responses.rows()
    (image,) = [row for row in rows if row["mechanism"] == "image"]
    assert image["heard"] == "nothing"
    assert image["margin_db"] > 40


def test_a_weak_listed_station_does_not_make_a_ghost_audible():
    alone = survey(kitchen(), town(("Image", 119.5, 60))).ghosts
    beside = survey(kitchen(), town(("Image", 119.5, 60), ("Weak", 98.1, -30))).ghosts
    margins = [
        min(row["margin_db"] for row in ghosts.rows() if row["mechanism"] == "image")
        for ghosts in (alone, beside)
    ]
    assert margins[0] == pytest.approx(margins[1], abs=TENTH_DB)


def test_a_station_between_two_channels_is_judged_where_one_listens_to_it():
    stations = town(("Wanted", 98.15, 54), ("Image", 119.558, 90))
    (found,) = [row for row in survey(kitchen(), stations).ghosts.rows() if row["mechanism"] == "image"]
    (here,) = [
        row
        for row in channel(kitchen(), 98_150_000, stations).responses.rows()
        if row["mechanism"] == "image"
    ]
    assert (found["heard_on_hz"], found["wanted"]) == (98_150_000, "Wanted")
    assert found["margin_db"] == here["margin_db"]


def test_of_several_stations_on_a_response_the_one_heard_is_named():
    stations = town(("Wanted", 98.1, 54), ("Near, weak", 119.5, 10), ("Far, strong", 119.55, 95))
    result = channel(kitchen(), 98_100_000, stations)
    (image,) = [row for row in result.responses.rows() if row["mechanism"] == "image"]
    assert image["stations"] == ("Near, weak", "Far, strong")
    assert image["station"] == "Far, strong"
    assert any(line.startswith("Far, strong by image") for line in result.headlines)


@pytest.mark.parametrize("turned", [False, True])
def test_the_card_tells_of_the_strongest_of_two_stations_on_one_carrier(turned):
    rows = [("Weak", 119.5, 10), ("Strong", 119.5, 110), ("Wanted", 98.1, 54)]
    card = survey(kitchen(), town(*(reversed(rows) if turned else rows))).check_list
    (line,) = [row for row in card.rows() if row["mechanism"] == "image" and row["stations"]]
    assert line["margin_db"] < 0
    assert set(line["stations"]) == {"Weak", "Strong"}


def test_a_level_that_is_missing_is_not_hidden_by_one_that_is_known():
    rows = [("Weak", 119.5, 10), ("No level", 119.5, None), ("Wanted", 98.1, 54)]
    card = survey(kitchen(), town(*rows)).check_list
    (line,) = [row for row in card.rows() if row["mechanism"] == "image" and row["stations"]]
    assert line["margin_db"] is line["heard"] is None


def test_a_product_never_exceeds_its_station():
    loud = town(("Strong", 101.2, 150))
    rows = [row for row in survey(kitchen(), loud).ghosts.rows() if row["level_dbuv"] is not None]
    assert rows
    assert max(row["level_dbuv"] for row in rows) <= 150


def test_a_ghost_that_stands_up_to_a_neighbour_is_heard_on_its_own_spot():
    # At 101.2 the neighbour on 101.0 comes through the skirts only; the image is far above that.
    plan = kitchen(circuits_before_mixer=1, loaded_q=10.0)
    stations = town(("Local", 101.0, 90), ("Far", 122.6, 95))
    (found,) = [row for row in survey(plan, stations).ghosts.rows() if row["mechanism"] == "image"]
    (here,) = [
        row for row in channel(plan, 101_200_000, stations).responses.rows() if row["mechanism"] == "image"
    ]
    assert here["heard"] == "ghost"
    # Still more on the far side of it from the neighbour, though only its bursts reach in there.
    assert found["margin_db"] <= here["margin_db"] < -10
    assert found["wanted"] is None
    assert found["heard_low_hz"] <= 101_200_000 <= found["heard_high_hz"]


def test_a_neighbour_without_level_does_not_stand_in_for_the_station_tuned_in():
    plan = kitchen(circuits_before_mixer=1, loaded_q=20.0)
    stations = town(("Local", 100.0, 90), ("No level", 100.15, None), ("Far", 121.4, 90))
    here = channel(plan, 100_000_000, stations)
    assert here.to_dict()["wanted_dbuv"] == 90
    (image,) = [row for row in here.responses.rows() if row["mechanism"] == "image"]
    assert image["margin_db"] is not None


def test_the_end_of_the_scale_is_judged_too():
    plan = Plan(
        **kitchen().given()
        | {
            "band": Band(low_hz=87_500_000, high_hz=108_000_000, raster_hz=200_000),
            "conversion": (Conversion(intermediate_hz=10_700_000, oscillator="low"),),
            "front_end": {"circuits_before_mixer": 1, "loaded_q": 10.0},
        }
    )
    stations = town(("Far", 86.68, 70))
    (image,) = [row for row in survey(plan, stations).ghosts.rows() if row["mechanism"] == "image"]
    assert (image["heard"], image["heard_on_hz"]) == ("ghost", 108_000_000)


# Trials


def test_after_a_trap_another_station_of_the_row_may_be_the_one_heard():
    plan = kitchen(circuits_before_mixer=1, loaded_q=10.0)
    stations = town(("A", 116.4, 60), ("B", 116.5, 60))
    trial = Trial(notches=(Notch(116_400_000, 60.0),))
    rows = channel(plan, 95_000_000, stations, trial=trial).responses.rows()
    (image,) = [row for row in rows if row["mechanism"] == "image"]
    assert (image["heard"], image["heard_after"]) == ("ghost", "noise")


def test_a_product_at_its_ceiling_changes_by_less_than_its_law():
    plan = kitchen(figures={(2, 2): 20.0}, circuits_before_mixer=1, loaded_q=10.0, gain_db=20.0)
    stations = town(("Local", 95.0, 100), ("Far", 100.3, 115))
    rows = survey(plan, stations, trial=Trial(pad_db=10.0)).changes.rows()
    row = next(row for row in rows if row["mechanism"] == "half-if" and row["station"] == "Far")
    # Both fall by the pad: nothing changes between them.
    assert row["change_db"] == pytest.approx(row["margin_db"] - row["margin_after_db"], abs=1e-6)


def test_a_pad_that_takes_the_station_into_the_noise_says_so():
    plan = kitchen(circuits_before_mixer=1, loaded_q=10.0)
    stations = town(("Local", 95.0, 15), ("Far", 116.4, 50))
    rows = survey(plan, stations, trial=Trial(pad_db=20.0)).changes.rows()
    row = next(row for row in rows if row["mechanism"] == "image" and row["station"] == "Far")
    assert (row["wanted"], row["wanted_after"]) == ("Local", "nobody")


def test_changes_put_what_is_unknown_before_what_is_not_heard():
    stations = town(
        ("Strong", 101.2, 96), ("Weak", 99.0, 10), ("No level", 104.0, None), ("Wanted", 95.8, 54)
    )
    rows = list(survey(kitchen(), stations, trial=Trial(pad_db=5.0)).changes.rows())
    least = [
        min((m for m in (row["margin_db"], row["margin_after_db"]) if m is not None), default=None)
        for row in rows
    ]
    tiers = [1 if margin is None else 0 if margin < 0 else 2 for margin in least]
    assert tiers == sorted(tiers)
    assert set(tiers) == {0, 1, 2}


# AM


def test_on_am_the_stronger_carrier_takes_over_and_still_beats():
    plan = Plan(
        band=Band(low_hz=526_500, high_hz=1_606_500, first_channel_hz=531_000),
        conversion=(Conversion(intermediate_hz=455_000, oscillator="high"),),
        front_end={"circuits_before_mixer": 1, "loaded_q": 40.0},
    )
    stations = town(("Wanted", 0.999, 60), ("Image", 1.911, 98))
    (image,) = [row for row in channel(plan, 999_000, stations).responses.rows() if row["station"] == "Image"]
    assert image["ratio_db"] > 0
    assert (image["heard"], image["pitch_hz"]) == ("ghost", 2_000)
    assert image["loudness_db"] == pytest.approx(-image["ratio_db"], abs=1e-6)


def test_on_am_nobody_takes_over():
    plan = Plan(
        band=Band(low_hz=526_500, high_hz=1_606_500, first_channel_hz=531_000),
        conversion=(Conversion(intermediate_hz=455_000, oscillator="high"),),
        front_end={"circuits_before_mixer": 1, "loaded_q": 50.0},
    )
    result = channel(plan, 630_000, town(("Local", 0.630, 60), ("Far", 1.540, 75)))
    (line,) = [line for line in result.headlines if line.startswith("Far by image")]
    assert "its programme with that of Local" in line
    assert "weaker" in line


# Protection ratios hold between FM stations only


def test_a_carrier_that_is_no_fm_station_is_judged_by_its_tone():
    result = channel(
        kitchen(), 98_100_000, town(("Wanted", 98.1, 54), ("Aircraft", 119.5, 60), ("Low", 92.75, 60))
    )
    rows = {row["station"]: row for row in result.responses.rows() if row["station"]}
    assert rows["Aircraft"]["protection_margin_db"] is None
    assert rows["Aircraft"]["margin_db"] is not None


def test_a_narrow_band_set_has_neither_protection_ratios_nor_a_decoder_of_its_own():
    from freqplan import whistle

    plan = Plan(
        band=Band(low_hz=144_000_000, high_hz=146_000_000, deviation_hz=5_000, raster_hz=12_500),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        if_filter={"bandwidth_hz": 15_000},
    )
    rows = list(whistle(plan).tones.rows())
    assert {row["protection_margin_db"] for row in rows} == {None}
    assert {row["zone"] for row in rows} <= {"mono", None}


# What is said


def test_a_trial_is_named_wherever_it_is_told():
    stations = town(("Strong", 101.2, 96), ("Wanted", 95.8, 54))
    trial = Trial(pad_db=7.0, notches=(Notch(101_200_000, 33.0), Notch(104_000_000, 20.0)))
    for result in (
        survey(kitchen(), stations, trial=trial),
        channel(kitchen(), 95_800_000, stations, trial=trial),
    ):
        (line,) = [line for line in result.headlines if line.startswith("Tried: ")]
        assert "a pad of 7 dB" in line
        assert "33 dB on 101.20 MHz (Strong)" in line
        assert "20 dB on 104.00 MHz (no listed station" in line
        assert result.to_dict()["trial"] == {
            "pad_db": 7.0,
            "notches": [
                {"frequency_hz": 101_200_000, "depth_db": 33.0},
                {"frequency_hz": 104_000_000, "depth_db": 20.0},
            ],
        }
    assert "trial" not in survey(kitchen(), stations).to_dict()


def test_what_is_everywhere_has_no_place_where_nothing_is_known():
    bare = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    )
    stations = town(("On the IF", 10.7, 70), ("Low end", 87.5, 60))
    changes = survey(bare, stations, trial=Trial(notches=(Notch(87_500_000, 30.0),))).changes
    assert not [row for row in changes.rows() if row["station"] == "On the IF"]


def test_a_tuned_response_without_its_dial_setting_is_remarked(tmp_path):
    points = "".join(f"{mhz},{-abs(mhz - 98) * 1.5}\n" for mhz in range(70, 140))
    text = said(survey(with_response(tmp_path, points)))
    assert "write response_dial" in text
    assert "response_dial" not in said(survey(with_response(tmp_path, points, 'response_dial = "98 MHz"')))


def test_points_too_far_apart_are_remarked(tmp_path):
    text = said(
        survey(
            with_response(
                tmp_path, "80,-30\n90,-20\n98,0\n110,-25\n120,-33\n130,-38\n", 'response_dial = "98 MHz"'
            )
        )
    )
    assert "too coarse" in text
    assert "gaps levels are unknown" in text


def test_figures_are_stretched_only_where_there_are_figures():
    loud = town(("Strong", 101.2, 120))
    assert "stretched" in said(survey(kitchen(), loud))
    bare = Plan(**kitchen().given() | {"mixer": {"kind": "measured", "reference_dbm": -30.0}})
    assert "stretched" not in said(survey(bare, loud))


def test_compare_names_an_oscillator_that_no_capacitor_tunes():
    medium_wave = Plan(
        band=Band(low_hz=526_500, high_hz=1_606_500, first_channel_hz=531_000),
        conversion=(Conversion(intermediate_hz=455_000, oscillator="high"),),
    )
    concerns = {row["oscillator"]: " ".join(row["concerns"]) for row in compare(medium_wave).plans.rows()}
    assert "capacitance ratio of 259" in concerns["low"]
    assert "capacitance ratio" not in concerns["high"]


def test_a_named_station_that_comes_in_nowhere_is_said():
    result = circuits(kitchen(), town(("Far off", 50.0, 60)), against=("Far off",))
    assert "nothing is needed against: Far off" in said(result)


def test_a_faulty_response_is_told_at_the_line_of_the_plan(tmp_path):
    text = """[band]
low = "87.5 MHz"
high = "108 MHz"
[[conversion]]
intermediate = "10.7 MHz"
[front_end]
response = "none.csv"
"""
    with pytest.raises(Exception, match=r"line 7, front_end\.response: none\.csv: there is no such file"):
        load_plan(io.StringIO(text))
    with pytest.raises(PlanError):
        load_plan(io.StringIO(text.replace("response", "respons")))
