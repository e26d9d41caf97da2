"""Worked cases of diagnosis, each exact from the equation, and the wrong answers that must not come."""

from __future__ import annotations

import pytest

from freqplan import Band, Conversion, Evidence, Plan, StationList, diagnose

MHZ, KHZ = 1_000_000, 1_000


def fm(oscillator="unknown", intermediate_hz=10_700_000, **more):
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108 * MHZ),
        conversion=(Conversion(intermediate_hz=intermediate_hz, oscillator=oscillator, **more),),
    )


def am(oscillator, intermediate_hz=468 * KHZ):
    return Plan(
        band=Band(low_hz=526_500, high_hz=1_606_500),
        conversion=(Conversion(intermediate_hz=intermediate_hz, oscillator=oscillator),),
    )


def airband():
    return Plan(
        band=Band(low_hz=118 * MHZ, high_hz=137 * MHZ, raster_hz=25 * KHZ, modulation="am"),
        conversion=(Conversion(intermediate_hz=10_700_000, tolerance_hz=3 * KHZ, oscillator="low"),),
        if_filter={"bandwidth_hz": 15 * KHZ},
    )


def town(*mhz):
    return StationList.from_frequencies([round(each * MHZ) for each in mhz], [f"on {each}" for each in mhz])


def asked(plan, *symptoms, stations=None, **known):
    tables = {"set": known, "symptom": list(symptoms)}
    return diagnose(plan, Evidence.from_file_keys(tables), stations).to_dict()


def cause(answer, mechanism):
    return next(row for row in answer["causes"] if row["mechanism"] == mechanism)


def first(answer):
    return answer["causes"][0]


# The cases


SPEECH = {"dial": "101.4 MHz", "on_station": "101.4 MHz", "heard": "speech", "aerial_out": "goes"}
FULL_AND_LAW_1 = {"width": "full", "pad": "10 dB", "by_ear": "same"}


def test_speech_near_an_airfield_is_the_image_and_tells_the_oscillator_side():
    answer = asked(fm(), SPEECH | FULL_AND_LAW_1)
    assert first(answer)["mechanism"] == "image"
    assert first(answer)["signal_hz"] == 122_800_000
    assert first(answer)["oscillator"] == "high"
    assert "122.80 − 112.10 = 10.70" in first(answer)["sum"]
    assert not answer["undecided"]


def test_speech_that_is_known_for_aircraft_leaves_less_doubt():
    vague, known = (asked(fm(), SPEECH | FULL_AND_LAW_1 | more) for more in ({}, {"speech_of": "aircraft"}))
    assert first(known)["probability"] > max(0.8, first(vague)["probability"])
    assert known["oscillator_sides"]["high"] > vague["oscillator_sides"]["high"]


def test_without_width_and_pad_oscillator_harmonics_stay_possible():
    told, bare = asked(fm(), SPEECH | FULL_AND_LAW_1), asked(fm(), SPEECH)
    row = cause(bare, "oscillator-harmonic")
    assert row["verdict"] == "possible"
    assert row["signal_hz"] == 234_900_000
    assert row["probability"] > 3 * cause(told, "oscillator-harmonic")["probability"]
    assert first(bare)["probability"] < first(told)["probability"]


MEASURED = {"intermediate": "10.675 MHz", "intermediate_known": "measured"}


@pytest.mark.parametrize("heard", ["whistle", "noise"])
def test_a_burble_is_the_ninth_harmonic_of_the_measured_if_not_of_the_printed_one(heard):
    symptom = {
        "dial": "96.1 MHz",
        "on_station": "96.1 MHz",
        "heard": heard,
        "pitch": "flicks",
        "aerial_out": "goes",
    }
    answer = asked(fm("high"), symptom, **MEASURED)
    assert first(answer)["mechanism"] == "if-harmonic"
    assert first(answer)["k"] == 9
    assert first(answer)["dial_hz"] == 96_075_000
    assert first(answer)["intermediate_hz"] == 10_675_000
    assert "9 × 10.675 = 96.075" in first(answer)["sum"]


def test_the_tenth_harmonic_is_predicted():
    symptom = {"dial": "96.1 MHz", "on_station": "96.1 MHz", "heard": "whistle", "pitch": "flicks"}
    told = diagnose(fm("high"), Evidence.from_file_keys({"set": MEASURED, "symptom": [symptom]}))
    assert any("10 × 10.675 = 106.75" in line for line in told.sections["Look at again"])


BESIDE = {
    "dial": "99.8 MHz",
    "on_station": "99.8 MHz",
    "heard": "whistle",
    "pitch_khz": 8,
    "stereo_only": True,
    "other_set_off_stops": True,
}
BOTH = town(89.1, 99.8, 91.2, 95.0, 103.4)


def test_a_set_that_stops_the_whistle_when_off_is_the_cause_and_no_pair_of_stations():
    answer = asked(fm(), BESIDE | {"other_set_dial": "89.1 MHz"}, stations=BOTH)
    assert first(answer)["mechanism"] == "other-receiver"
    assert first(answer)["verdict"] == "proved"
    assert cause(answer, "if-spaced-pair")["verdict"] == "ruled-out"
    assert "30 or 46 kHz" in first(answer)["sum"]
    for setting in ("89.13", "89.07", "89.146", "89.054"):
        assert setting in first(answer)["sum"]


def test_the_settings_of_the_other_set_follow_without_its_dial_too():
    answer = asked(fm(), BESIDE, stations=BOTH)
    assert first(answer)["mechanism"] == "other-receiver"
    assert "30 or 46 kHz" in first(answer)["sum"]


def test_two_programmes_all_over_the_dial_are_a_pair_one_if_apart():
    symptom = {
        "everywhere": True,
        "heard": "programme",
        "programme_of": ["91.2 MHz", "101.9 MHz"],
        "pad": "10 dB",
        "fell": "20 dB",
    }
    answer = asked(fm(), symptom, stations=town(91.2, 101.9, 95.0, 103.4))
    assert first(answer)["mechanism"] == "if-spaced-pair"
    assert first(answer)["verdict"] == "proved"
    assert "101.90 − 91.20 = 10.70" in first(answer)["sum"]
    for mechanism in ("if-oscillation", "if-breakthrough"):
        row = cause(answer, mechanism)
        assert row["verdict"] == "ruled-out"
        assert row["against"]


HALF = {"dial": "98.0 MHz", "heard": "programme", "programme_of": ["103.4 MHz"]}
STRONG = town(100.7, 103.4, 95.0, 91.2)


def test_half_width_and_law_2_make_it_half_if_not_a_sum_of_stations():
    answer = asked(fm(), HALF | {"width": "half", "pad": "6 dB", "fell": "12 dB"}, stations=STRONG)
    assert first(answer)["mechanism"] == "half-if"
    assert first(answer)["verdict"] == "proved"
    assert first(answer)["dial_hz"] == 98_050_000
    assert first(answer)["oscillator"] == "high"
    assert cause(answer, "third-order")["verdict"] == "ruled-out"
    assert cause(answer, "third-order")["dial_hz"] == 98_000_000


def test_a_half_if_ghost_above_its_station_tells_a_low_side_oscillator():
    symptom = {"dial": "98.05 MHz", "heard": "programme", "programme_of": ["92.7 MHz"], "width": "half"}
    answer = asked(fm(), symptom | {"pad": "10 dB", "fell": "20 dB"}, stations=town(92.7, 103.0, 89.0))
    assert first(answer)["mechanism"] == "half-if"
    assert first(answer)["oscillator"] == "low"


@pytest.mark.parametrize(
    ("oscillator", "way", "real"),
    [
        ("high", "rises", 469_500),
        ("high", "falls", 466_500),
        ("low", "rises", 466_500),
        ("low", "falls", 469_500),
    ],
)
@pytest.mark.parametrize("named", [{"on_station": "936 kHz"}, {}])
@pytest.mark.parametrize("nominal", [467, 468, 470])
def test_pitch_and_its_way_tell_the_real_if(oscillator, way, real, named, nominal):
    symptom = {
        "dial": "936 kHz",
        "heard": "whistle",
        "pitch": "moves",
        "pitch_khz": 3.0,
        "pitch_tuned_up": way,
    }
    answer = asked(am(oscillator, nominal * KHZ), symptom | named)
    row = cause(answer, "if-harmonic")
    assert row["k"] == 2
    assert row["intermediate_hz"] == pytest.approx(real, abs=100)
    assert first(answer) == row


def test_readings_that_are_all_2_mhz_too_high_are_the_scale_and_no_disturbance():
    places = (90.0, 95.4, 101.2, 105.0)
    symptoms = [
        {"dial": f"{each + 2:.1f} MHz", "heard": "programme", "programme_of": [f"{each} MHz"]}
        for each in places
    ]
    answer = asked(fm("high"), *symptoms)
    for number in range(1, 5):
        rows = [row for row in answer["causes"] if row["symptom"] == number]
        assert rows[0]["mechanism"] == "oscillator-off"
        off_centre = next(row for row in rows if row["mechanism"] == "if-off-centre")
        assert off_centre["verdict"] == "ruled-out"
        assert any(text.startswith("dial") for text in off_centre["against"])


def test_a_whistle_on_another_input_is_not_radio():
    answer = asked(fm("high"), {"heard": "whistle", "everywhere": True, "other_input_too": True})
    assert first(answer)["mechanism"] == "audio-only"
    assert first(answer)["probability"] > 0.9


# The traps


def test_an_exact_hit_is_no_proof():
    """2A - B is exactly the reading, half-IF 0.05 MHz beside: until law, width or programme decides, both stand."""
    cases = [(HALF, STRONG), (HALF, town(100.7, 103.4)), (HALF | {"programme_of": "unknown"}, STRONG)]
    for symptom, stations in cases:
        for plan in (fm("high"), fm()):
            answer = asked(plan, symptom, stations=stations)
            assert answer["undecided"]
            assert {row["mechanism"] for row in answer["causes"][:2]} == {"half-if", "third-order"}


@pytest.mark.parametrize(
    ("more", "winner"),
    [
        ({"width": "half"}, "half-if"),
        ({"width": "full", "pad": "6 dB", "fell": "18 dB"}, "third-order"),
        ({"programme_of": ["103.4 MHz", "100.7 MHz"]}, "third-order"),
        ({"pad": "6 dB", "fell": "12 dB"}, "half-if"),
    ],
)
def test_law_width_or_programme_decides(more, winner):
    answer = asked(fm("high"), HALF | more, stations=STRONG)
    assert first(answer)["mechanism"] == winner
    assert not answer["undecided"]


def test_what_goes_with_the_aerial_need_not_come_from_outside():
    symptom = {"dial": "96.3 MHz", "on_station": "96.3 MHz", "heard": "whistle", "pitch": "flicks"}
    goes, stays = (asked(fm("high"), symptom | {"aerial_out": each}) for each in ("goes", "stays"))
    assert first(goes)["mechanism"] == "if-harmonic"
    assert "aerial_out" not in " ".join(first(goes)["against"])
    assert cause(stays, "if-harmonic")["probability"] < first(goes)["probability"]


def test_the_dial_error_is_apart_from_the_disturbance():
    """On a station that is known the reading tells the scale's error, and nothing of the cause."""
    symptom = {"on_station": "96.3 MHz", "heard": "whistle", "pitch": "flicks"}
    answers = [
        asked(fm("high"), symptom | {"dial": dial}, dial_error="0.3 MHz")
        for dial in ("96.1 MHz", "96.3 MHz", "96.5 MHz")
    ]
    for answer in answers:
        assert first(answer)["mechanism"] == "if-harmonic"
        assert first(answer)["dial_hz"] == 96_300_000
    assert answers[0]["causes"][0]["probability"] == pytest.approx(first(answers[1])["probability"], abs=0.01)


def test_a_tolerance_is_never_so_wide_that_everything_fits():
    """Half an IF and half a megahertz away is no half-IF ghost of that station."""
    symptom = HALF | {"dial": "97.4 MHz", "reading_error": "0.1 MHz"}
    answer = asked(fm("high"), symptom, stations=STRONG, dial_error="0.1 MHz")
    assert cause(answer, "half-if")["probability"] < 0.1
    row = next(row for row in answer["causes"] if row["mechanism"] == "third-order")
    assert row["probability"] < 0.3


def test_on_airband_the_narrow_filter_decides():
    """The image of a broadcast at the edge of a 15 kHz filter's place is met; 100 kHz away it is not."""
    near, far = (
        asked(
            airband(),
            {"dial": dial, "reading_error": "5 kHz", "heard": "noise", "programme_of": ["101.2 MHz"]},
            stations=town(101.2),
            dial_error="5 kHz",
        )
        for dial in ("122.6 MHz", "122.7 MHz")
    )
    assert first(near)["mechanism"] == "image"
    assert first(near)["stations"] == ["on 101.2"]
    assert cause(far, "image")["stations"] == []
    assert cause(far, "image")["probability"] < 0.5 * cause(near, "image")["probability"]


def test_nobody_has_to_know_the_oscillator_side():
    answer = asked(fm(), HALF | {"width": "half"}, stations=STRONG)
    assert answer["oscillator_sides"]["high"] > 0.9
    told = asked(fm("low"), HALF | {"width": "half"}, stations=STRONG, oscillator="unknown")
    assert told["oscillator_sides"]["high"] > 0.9


def test_half_if_is_not_half_the_frequency():
    """A station on half the dial setting is a harmonic of the signal, m = 2."""
    symptom = {"dial": "98.0 MHz", "heard": "programme", "programme_of": ["49.0 MHz"], "width": "full"}
    answer = asked(fm("high"), symptom | {"pad": "6 dB", "fell": "12 dB"})
    assert first(answer)["mechanism"] == "signal-harmonic"
    assert first(answer)["m"] == 2
    assert cause(answer, "half-if")["probability"] < 0.01


def test_the_law_tells_the_transmitters_harmonic_from_the_sets():
    symptom = {"dial": "98.0 MHz", "heard": "programme", "programme_of": ["49.0 MHz"], "width": "full"}
    answer = asked(fm("high"), symptom | {"pad": "6 dB", "fell": "6 dB", "other_set_too": True})
    assert first(answer)["mechanism"] == "transmitter-harmonic"


def test_nothing_fits_is_an_answer_with_the_next_measurement():
    symptom = {
        "dial": "95.2 MHz",
        "heard": "quiet",
        "aerial_out": "stays",
        "pitch_rate": 3,
        "width": "third",
        "meter": "reversed",
        "pad": "10 dB",
        "fell": "25 dB",
        "single": False,
    }
    answer = asked(fm(), symptom)
    assert first(answer)["mechanism"] == "none-of-these"
    assert answer["next_test"]["what"]


def test_nothing_known_leaves_everything_open():
    answer = asked(fm(), {"heard": "unknown"})
    assert answer["undecided"]
    assert first(answer)["probability"] < 0.2
    assert answer["oscillator_sides"]["high"] == pytest.approx(0.5, abs=0.05)


# Several symptoms of one set


def test_two_harmonics_share_the_real_if():
    """Two spots that fit 10.66 and not 10.70: each alone leaves it open, both together do not."""
    symptoms = [
        {"dial": f"{k * 10.66:.2f} MHz", "reading_error": "0.02 MHz", "heard": "whistle", "pitch": "flicks"}
        for k in (9, 10)
    ]
    plan = fm("high", tolerance_hz=60 * KHZ)
    together = asked(plan, *symptoms, dial_error="0.02 MHz")
    for number, k in ((1, 9), (2, 10)):
        rows = [row for row in together["causes"] if row["symptom"] == number]
        assert rows[0]["mechanism"] == "if-harmonic"
        assert rows[0]["k"] == k
        assert rows[0]["intermediate_hz"] == pytest.approx(10_660_000, abs=2_000)
    alone = asked(plan, symptoms[0], dial_error="0.02 MHz")
    both = [row for row in together["causes"] if row["symptom"] == 1]
    assert both[0]["probability"] > first(alone)["probability"]


def test_two_symptoms_share_the_oscillator_side():
    half = HALF | {"width": "half"}
    other = {"dial": "95.0 MHz", "heard": "speech", "width": "full"}
    alone, together = (asked(fm(), *each, stations=STRONG) for each in ((other,), (other, half)))
    assert together["oscillator_sides"]["high"] > alone["oscillator_sides"]["high"] + 0.2
    row = next(row for row in together["causes"] if row["mechanism"] == "image" and row["symptom"] == 1)
    assert row["signal_hz"] == 116_400_000


def test_whose_speech_a_listed_station_carries_counts():
    image = {}
    for who in ("aircraft", "amateurs"):
        heard = {"heard": "speech", "speech_of": who, "dial": "99.25 MHz"}
        image[who] = cause(asked(fm("high"), heard, stations=town(120.65)), "image")
    assert {row["sum"] for row in image.values()} == {"120.65 − 109.95 = 10.70, at 99.25 on the dial"}
    assert image["aircraft"]["probability"] > image["amateurs"]["probability"] + 0.2


def test_a_transmitter_harmonic_is_a_sum_only_where_it_has_a_place():
    anywhere = asked(fm("high"), {"heard": "programme"})
    assert cause(anywhere, "transmitter-harmonic")["sum"] == ""
    here = asked(fm("high"), {"heard": "programme", "dial": "98 MHz"})
    assert cause(here, "transmitter-harmonic")["sum"] == "4 × 24.50 = 98.00"


def test_a_neighbour_whom_nobody_knows_has_no_sum():
    answer = asked(fm("high"), {"heard": "whistle", "stereo_only": True})
    assert cause(answer, "decoder-neighbour")["sum"] == ""
