"""Whistles asked for: which offsets give a pitch, how loud it is reckoned by hand, and questions that make no sense."""

from __future__ import annotations

import json
import math

import pytest
from commandline import FM, call, refused, write_inputs

from freqplan.errors import ModelRangeError
from freqplan.plan import Band, Conversion, IfFilter, Plan, Stereo
from freqplan.whistles import whistle

THOUSANDTH_DB = 0.001
TENTH_DB = 0.1
KHZ = 1000

OFFSETS_OF_8_KHZ = {"none": [8], "filtered": [8, 30, 46], "switching": [8, 30, 46, 106, 122, 182, 198]}
"""By the stereo decoder: 38 kHz and its 3rd and 5th harmonic, each less and more the pitch."""


def fm(decoder="filtered", deemphasis_us=50.0, bandwidth_hz=180_000, skirts_hz=None, deviation_hz=75_000):
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000, deviation_hz=deviation_hz),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        if_filter=IfFilter(bandwidth_hz=bandwidth_hz, bandwidth_20db_hz=skirts_hz),
        stereo=Stereo(decoder=decoder, deemphasis_us=deemphasis_us),
    )


def am(bandwidth_hz=9_000):
    return Plan(
        band=Band(low_hz=526_500, high_hz=1_606_500),
        conversion=(Conversion(intermediate_hz=455_000, oscillator="high"),),
        if_filter=IfFilter(bandwidth_hz=bandwidth_hz),
    )


def rows(plan, **question):
    return list(whistle(plan, **question).tones.rows())


def filter_by_hand_db(offset_hz, bandwidth_hz, skirts_hz):
    """A maximally flat shape, 3 dB at the half of one width and 20 dB at the half of the other."""
    edge, skirt = 10**0.3 - 1, 10**2.0 - 1
    power = math.log(skirt / edge) / math.log(skirts_hz / bandwidth_hz)
    return 10 * math.log10(1 + edge * (2 * offset_hz / bandwidth_hz) ** power)


def deemphasis_by_hand_db(pitch_hz, microseconds):
    return 10 * math.log10(1 + (2 * math.pi * pitch_hz * microseconds * 1e-6) ** 2)


# Pitch against offset


@pytest.mark.parametrize(("decoder", "offsets_khz"), OFFSETS_OF_8_KHZ.items())
def test_every_offset_that_gives_8_khz(decoder, offsets_khz):
    found = rows(fm(decoder), pitch_hz=8 * KHZ)
    assert [row["offset_hz"] for row in found] == [KHZ * offset for offset in offsets_khz]
    assert {row["pitch_hz"] for row in found} == {8 * KHZ}
    zones = ["mono"] + ["stereo"] * 2 + ["switching"] * 4
    assert [row["zone"] for row in found] == zones[: len(found)]


@pytest.mark.parametrize(
    ("offset_khz", "pitch_khz", "zone"),
    [(50, 12, "stereo"), (100, 14, "switching"), (150, None, None), (200, 10, "switching")],
)
def test_neighbours_in_the_usual_rasters(offset_khz, pitch_khz, zone):
    (row,) = rows(fm("switching"), offset_hz=KHZ * offset_khz)
    assert row["pitch_hz"] == (None if pitch_khz is None else KHZ * pitch_khz)
    assert row["zone"] == zone
    assert (row["loudness_db"] is None) == (pitch_khz is None)


@pytest.mark.parametrize("offset_khz", [100, 150, 200])
def test_without_a_switching_decoder_far_neighbours_give_no_tone(offset_khz):
    (row,) = rows(fm("filtered"), offset_hz=KHZ * offset_khz)
    assert (row["pitch_hz"], row["zone"], row["loudness_db"]) == (None, None, None)


@pytest.mark.parametrize("offset_khz", [15, 20, 23, 38, 53, 60])
def test_offsets_between_the_zones_and_zero_beat_give_no_tone(offset_khz):
    (row,) = rows(fm("filtered"), offset_hz=KHZ * offset_khz)
    assert row["pitch_hz"] is None


@pytest.mark.parametrize("decoder", OFFSETS_OF_8_KHZ)
@pytest.mark.parametrize("pitch_hz", [1, 440, 7_999, 12_000, 14_999])
def test_each_offset_of_a_pitch_gives_that_pitch_again(decoder, pitch_hz):
    found = rows(fm(decoder), pitch_hz=pitch_hz)
    assert len(found) == len(OFFSETS_OF_8_KHZ[decoder])
    for row in found:
        (back,) = rows(fm(decoder), offset_hz=int(row["offset_hz"]))
        assert back == row


def test_an_offset_below_counts_as_one_above():
    assert rows(fm(), offset_hz=-46 * KHZ) == rows(fm(), offset_hz=46 * KHZ)


@pytest.mark.parametrize(("plan", "rasters_khz"), [(fm("switching"), {50, 100, 150, 200}), (am(), {1, 3})])
def test_without_a_question_the_usual_offsets_are_listed(plan, rasters_khz):
    found = rows(plan)
    offsets = [int(row["offset_hz"]) for row in found]
    assert offsets == sorted(set(offsets))
    assert set(offsets) >= {KHZ * khz for khz in rasters_khz}
    assert found == [row for offset in offsets for row in rows(plan, offset_hz=offset)]


# Loudness


@pytest.mark.parametrize(
    ("decoder", "offset_hz", "carrier_hz", "gain"),
    [
        ("none", 8_000, 0, 1), ("none", 14_999, 0, 1), ("filtered", 30_000, 38_000, 1),
        ("filtered", 46_000, 38_000, 1), ("filtered", 50_000, 38_000, 1), ("switching", 100_000, 114_000, 1 / 3),
        ("switching", 122_000, 114_000, 1 / 3), ("switching", 182_000, 190_000, 1 / 5),
        ("switching", 200_000, 190_000, 1 / 5),
    ],
)  # fmt: skip
@pytest.mark.parametrize("ratio_db", [-30.0, -62.5])
@pytest.mark.parametrize(("bandwidth_hz", "skirts_hz"), [(180_000, 320_000), (230_000, 600_000)])
@pytest.mark.parametrize("deemphasis_us", [0, 50, 75])
def test_loudness_by_hand(
    decoder, offset_hz, carrier_hz, gain, ratio_db, bandwidth_hz, skirts_hz, deemphasis_us
):
    plan = fm(decoder, float(deemphasis_us), bandwidth_hz, skirts_hz)
    (row,) = rows(plan, offset_hz=offset_hz, ratio_db=ratio_db)
    lost = filter_by_hand_db(offset_hz, bandwidth_hz, skirts_hz)
    dulled = deemphasis_by_hand_db(abs(offset_hz - carrier_hz), deemphasis_us)
    by_hand = ratio_db - lost + 20 * math.log10(offset_hz * gain / 75_000) - dulled
    assert row["filter_db"] == pytest.approx(lost, abs=THOUSANDTH_DB)
    assert row["loudness_db"] == pytest.approx(by_hand, abs=THOUSANDTH_DB)


@pytest.mark.parametrize(
    ("microseconds", "pitch_hz", "dulled_db"), [(50, 8_000, 8.6), (50, 14_999, 13.66), (75, 14_999, 17.07)]
)
def test_what_deemphasis_takes_off(microseconds, pitch_hz, dulled_db):
    # Exact for one resistor and one capacitor: 10 lg(1 + (2 pi f tau)^2).
    loud, dull = (rows(fm("none", time), offset_hz=pitch_hz)[0] for time in (0.0, float(microseconds)))
    assert loud["loudness_db"] - dull["loudness_db"] == pytest.approx(dulled_db, abs=TENTH_DB / 2)


def test_a_filter_given_by_one_width_is_20_db_down_at_sixteen_ninths_of_it():
    (row,) = rows(fm(bandwidth_hz=180_000), offset_hz=160 * KHZ)
    assert row["filter_db"] == pytest.approx(20, abs=THOUSANDTH_DB)
    (row,) = rows(fm(bandwidth_hz=180_000), offset_hz=90 * KHZ)
    assert row["filter_db"] == pytest.approx(3, abs=THOUSANDTH_DB)


def test_the_note_grows_with_the_offset_in_mono_without_deemphasis():
    # Twice the offset, twice the deviation; the filter is flat here.
    one, two = (
        rows(fm("none", 0.0, 400_000), offset_hz=hertz)[0]["loudness_db"] for hertz in (5_000, 10_000)
    )
    assert two - one == pytest.approx(20 * math.log10(2), abs=THOUSANDTH_DB)


@pytest.mark.parametrize(
    ("decoder", "offset_khz", "needed_db"),
    [("filtered", 50, 51), ("filtered", 100, 33), ("filtered", 200, 7), ("none", 50, 24), ("none", 100, 12)],
)
def test_protection_and_margin(decoder, offset_khz, needed_db):
    # Rec. ITU-R BS.412, steady interference; from memory.
    (row,) = rows(fm(decoder), offset_hz=KHZ * offset_khz, ratio_db=-40.0)
    assert row["protection_margin_db"] == pytest.approx(40 - needed_db, abs=THOUSANDTH_DB)
    tone = math.inf if row["loudness_db"] is None else -60 - row["loudness_db"]
    assert row["margin_db"] == pytest.approx(min(tone, 40 - needed_db), abs=THOUSANDTH_DB)


def test_in_a_filtered_decoder_the_tone_can_decide_where_protection_is_kept():
    (row,) = rows(fm(), offset_hz=37_900, ratio_db=-52.0)
    assert row["protection_margin_db"] > 0
    assert row["margin_db"] == pytest.approx(-60 - row["loudness_db"], abs=THOUSANDTH_DB)
    assert row["margin_db"] < 0


@pytest.mark.parametrize(("deviation_hz", "louder_db"), [(75_000, 0.0), (50_000, 20 * math.log10(1.5))])
def test_full_programme_is_the_deviation_of_the_band(deviation_hz, louder_db):
    (row,), (usual,) = (rows(plan, offset_hz=5_000) for plan in (fm(deviation_hz=deviation_hz), fm()))
    assert row["loudness_db"] - usual["loudness_db"] == pytest.approx(louder_db, abs=THOUSANDTH_DB)


def test_without_deviation_there_is_no_full_programme_to_compare_with():
    (row,) = rows(fm(deviation_hz=0), offset_hz=5_000)
    assert row["loudness_db"] is None


@pytest.mark.parametrize(
    ("plan", "offset_hz", "ratio_db", "heard", "margin_db"),
    [
        (fm(), 5_000, -30.0, "whistle", -16.2), (fm(), 50_000, -50.9, "noise", -0.1),
        (fm(), 50_000, -51.0, "nothing", 0.0), (fm(), 50_000, -52.0, "nothing", 1.0),
        (am(), 1, -39.9, "whistle", -0.1), (am(), 1, -40.0, "nothing", 0.0),
        (am(), 1, -40.5, "nothing", 0.5),
    ],
)  # fmt: skip
def test_what_is_heard_is_what_the_margin_says_and_no_margin_is_not_heard(
    plan, offset_hz, ratio_db, heard, margin_db
):
    # At 50 kHz BS.412 asks for 51 dB (from memory); 1 Hz beside, the filter takes nothing off.
    (row,) = rows(plan, offset_hz=offset_hz, ratio_db=ratio_db)
    assert row["heard"] == heard
    assert row["margin_db"] == pytest.approx(margin_db, abs=TENTH_DB / 2)


def test_the_answer_says_what_was_asked_and_what_it_rests_on():
    asked = "nwanted carrier -45.5 dB against the wanted one, before the IF filter"
    first, second = whistle(fm("switching"), pitch_hz=8_125, ratio_db=-45.5).headlines
    assert first == "87.50-108.00 MHz FM, IF 10.70 MHz, oscillator high"
    assert second == f"Every offset that gives 8.125 kHz; u{asked}"
    assert whistle(fm(), pitch_hz=8_000).headlines[1].startswith("Every offset that gives 8.0 kHz;")
    assert whistle(am(), ratio_db=-45.5).headlines[1] == f"U{asked}"
    both, width, *loud, margin = whistle(fm()).assumptions
    assert both.startswith("Both carriers unmodulated; the set stands on the wanted one.")
    assert width == "IF filter 180 kHz wide at -3 dB and 320 kHz at -20 dB."
    assert loud[0].startswith(
        "Loudness against full programme (75 kHz deviation) after a de-emphasis of 50 us;"
    )
    assert [line.partition(":")[0] for line in loud[1:]] == ["Protection"]
    assert "BS.412" in loud[1]
    assert margin == "Margin: below -60 dB a tone is not heard; negative is heard."
    assert whistle(am()).assumptions == (
        both,
        "IF filter 9 kHz wide at -3 dB and 16 kHz at -20 dB.",
        "Loudness against full modulation.",
        "Margin: below -40 dB a tone is not heard; negative is heard.",
    )


# AM


@pytest.mark.parametrize("offset_hz", [1, 440, 1_000, 4_499])
def test_on_am_the_note_is_the_offset_and_as_loud_as_the_carrier(offset_hz):
    (row,) = rows(am(), offset_hz=offset_hz, ratio_db=-25.0)
    lost = filter_by_hand_db(offset_hz, 9_000, 16_000)
    assert (row["pitch_hz"], row["zone"]) == (offset_hz, "beat")
    assert row["loudness_db"] == pytest.approx(-25 - lost, abs=THOUSANDTH_DB)
    assert row["protection_margin_db"] is None
    assert row["margin_db"] == pytest.approx(-40 + 25 + lost, abs=THOUSANDTH_DB)


@pytest.mark.parametrize("offset_hz", [15_000, 38_000])
def test_on_am_nothing_beyond_the_audio_band(offset_hz):
    assert rows(am(), offset_hz=offset_hz)[0]["pitch_hz"] is None


def test_on_am_a_pitch_has_one_offset():
    assert [row["offset_hz"] for row in rows(am(), pitch_hz=1_500)] == [1_500]


# Questions that make no sense


@pytest.mark.parametrize(
    ("question", "part"),
    [
        ({"pitch_hz": 0}, "less than 15 kHz"), ({"pitch_hz": 15_000}, "less than 15 kHz"),
        ({"pitch_hz": -8_000}, "more than 0"), ({"offset_hz": 0}, "at most 400 kHz"),
        ({"offset_hz": 500_000}, "at most 400 kHz"), ({"offset_hz": -400_001}, "at most 400 kHz"),
        ({"pitch_hz": 8_000, "offset_hz": 46_000}, "either a pitch or an offset"),
        ({"ratio_db": 0.0}, "the weaker carrier against the stronger one"), ({"ratio_db": 3.0}, "give less than 0"),
        ({"ratio_db": math.nan}, "ratio nan dB"), ({"ratio_db": -math.inf}, "down to -200"),
        ({"pitch_hz": 8_000.5}, "^pitch 8000.5 is"), ({"offset_hz": "50 kHz"}, "^offset '50 kHz' is"),
        ({"ratio_db": -200.5}, "down to -200"),
    ],
)  # fmt: skip
def test_a_question_that_makes_no_sense(question, part):
    with pytest.raises(ModelRangeError, match=part):
        whistle(fm(), **question)


def test_on_am_the_if_filter_does_the_cutting():
    # The neighbour 9 kHz away is heard as a note, as far as the filter lets it pass.
    (row,) = rows(am(), pitch_hz=9_000)
    assert row["offset_hz"] == 9_000
    assert row["loudness_db"] == pytest.approx(
        -30 - filter_by_hand_db(9_000, 9_000, 16_000), abs=THOUSANDTH_DB
    )
    with pytest.raises(ModelRangeError, match="less than 15 kHz"):
        whistle(am(), pitch_hz=15_000)


@pytest.mark.parametrize(("offset_hz", "ratio_db"), [(400_000, -200.0), (1, -0.01)])
def test_the_ends_of_what_may_be_asked(offset_hz, ratio_db):
    (row,) = rows(fm("switching"), offset_hz=offset_hz, ratio_db=ratio_db)
    assert row["offset_hz"] == offset_hz
    assert row["filter_db"] <= 80


# The command


@pytest.fixture
def folder(tmp_path, monkeypatch):
    write_inputs(tmp_path)
    (tmp_path / "switching.toml").write_text(FM + '\n[stereo]\ndecoder = "switching"\n', encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_command_answers_in_json(folder):
    answer = call("whistle", "switching.toml", "--pitch", "8 kHz", "--ratio", "-45.5 dB", "--format", "json")
    assert (answer.code, answer.err) == (0, "")
    result = json.loads(answer.out)
    assert result["command"] == "whistle"
    assert (result["ratio_db"], result["pitch_asked_hz"], result["offset_asked_hz"]) == (-45.5, 8_000, None)
    assert [row["offset_hz"] for row in result["tones"]] == [KHZ * k for k in OFFSETS_OF_8_KHZ["switching"]]
    assert result["tones"] == whistle(fm("switching"), pitch_hz=8_000, ratio_db=-45.5).tones.to_dicts()


@pytest.mark.parametrize("form", ["table", "markdown", "csv", "json", "html", "latex"])
@pytest.mark.parametrize("plan", ["fm.toml", "am.toml", "switching.toml"])
def test_every_format_gives_an_answer(folder, plan, form):
    answer = call("whistle", plan, "--format", form)
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.endswith("\n")


@pytest.mark.parametrize(
    ("options", "part"),
    [
        (["--pitch", "0 kHz"], "pitch 0 kHz"), (["--pitch", "15 kHz"], "less than 15 kHz"),
        (["--pitch", "20 kHz"], "less than 15 kHz"), (["--pitch", "8"], '"8 kHz"'),
        (["--pitch", "8,5 kHz"], '"8.5 kHz"'), (["--offset", "0 kHz"], "offset 0 kHz"),
        (["--offset", "500 kHz"], "at most 400 kHz"), (["--offset", "50 kHz", "--pitch", "8 kHz"], "either"),
        (["--ratio", "3 dB"], "the weaker carrier"), (["--ratio", "0 dB"], "the weaker carrier"),
        (["--ratio", "-30"], '"-30 dB"'), (["--ratio", "nan dB"], "--ratio 'nan dB': not a level"),
    ],
)  # fmt: skip
def test_bad_arguments_are_told_in_one_line(folder, options, part):
    answer = call("whistle", "fm.toml", *options, "-o", "answer.txt")
    refused(answer, "freqplan: ", part)
    assert answer.err.count("\n") == 1
    assert not (folder / "answer.txt").exists()
