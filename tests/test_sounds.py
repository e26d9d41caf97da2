"""Sounds: pitch and loudness of the samples, by scipy, against the engine; tuning, decoder, AM, level, questions."""

from __future__ import annotations

import base64
import dataclasses
import io
import math
import re
import wave as wav

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.fft import rfft
from scipy.signal import hilbert
from test_whistles import am, fm
from thoroughness import examples

from freqplan import FreqplanError, ModelRangeError, files, sound
from freqplan.baseband import RATE_HZ, TONE_DEPTH, Glide, Pair, listen
from freqplan.beat_cases import tuned_case
from freqplan.birdies import birdies
from freqplan.mixing import tunings
from freqplan.plan import Band, Conversion, Plan
from freqplan.reception import filter_db
from freqplan.responses import responses
from freqplan.sound_words import notes
from freqplan.sounds import FADE_S, FULL_SCALE, LOUDEST, PROGRAMME
from freqplan.tones import audible, loudness_db, pitches_hz, zones

KHZ = 1000
TENTH_DB, FIFTH_DB = 0.1, 0.2
ONE_HZ = 1
SECONDS = 1.5


def spectrum(ear):
    """Lines of the second in the middle, 1 Hz apart: peak amplitude of each note."""
    start = (len(ear) - RATE_HZ) // 2
    window = np.hanning(RATE_HZ + 1)[:-1]
    return np.abs(rfft(ear[start : start + RATE_HZ] * window)) * 2 / window.sum()


def heard(plan, pair, decoder="none", seconds=SECONDS):
    return listen(plan, pair, seconds=seconds, decoder=decoder)


def beside(offset_hz, ratio_db=-30.0, **more):
    return Pair(Glide(0, 0), Glide(offset_hz, offset_hz), ratio_db, **more)


def decibels(amplitude):
    return 20 * math.log10(amplitude)


def engine(plan, decoder, offset_hz, ratio_db=-30.0):
    """Every note of the engine: zone, pitch, loudness."""
    at = np.array([offset_hz])
    for zone in zones(plan.band.modulation, decoder, 15 * KHZ):
        if audible(zone, at)[0]:
            (level,) = loudness_db(
                modulation=plan.band.modulation, zone=zone, offset_hz=at, ratio_db=ratio_db - filter_db(plan, at),
                deviation_hz=plan.band.deviation_hz, deemphasis_us=plan.stereo.deemphasis_us,
            )  # fmt: skip
            yield zone, int(pitches_hz(zone, at)[0]), level


# Pitch and loudness


OFFSETS = {
    "none": [137, 1000, 2345, 8000, 14_900],
    "filtered": [3210, 23_400, 30_000, 37_300, 46_000, 52_900],
    "switching": [1000, 30_000, 46_000, 99_500, 106_000, 114_321, 128_000, 176_000, 186_000, 200_000],
}


@pytest.mark.parametrize(
    ("decoder", "offset_hz"), [(decoder, offset) for decoder in OFFSETS for offset in OFFSETS[decoder]]
)
@pytest.mark.parametrize("sign", [1, -1])
def test_pitch_and_loudness_are_those_of_the_engine(decoder, offset_hz, sign):
    plan = fm("switching")
    ((_, pitch_hz, level_db),) = engine(plan, decoder, offset_hz)
    for ear in heard(plan, beside(sign * offset_hz), decoder).T:
        found = spectrum(ear)
        assert abs(int(np.argmax(found)) - pitch_hz) <= ONE_HZ
        assert decibels(found.max()) == pytest.approx(level_db, abs=TENTH_DB)


@settings(max_examples=examples(25), deadline=None)
@given(
    offset_hz=st.integers(200, 14_500),
    ratio_db=st.floats(-70, -12),
    deemphasis_us=st.sampled_from([0.0, 50.0, 75.0, 500.0]),
    bandwidth_hz=st.integers(60 * KHZ, 300 * KHZ),
    deviation_hz=st.sampled_from([25_000, 50_000, 75_000]),
)
def test_loudness_of_any_set(offset_hz, ratio_db, deemphasis_us, bandwidth_hz, deviation_hz):
    plan = fm("none", deemphasis_us, bandwidth_hz, None, deviation_hz)
    ((_, pitch_hz, level_db),) = engine(plan, "none", offset_hz, ratio_db)
    found = spectrum(heard(plan, beside(offset_hz, ratio_db))[:, 0])
    assert abs(int(np.argmax(found)) - pitch_hz) <= ONE_HZ
    assert decibels(found.max()) == pytest.approx(level_db, abs=TENTH_DB)


@pytest.mark.parametrize("ratio_db", [-3, -6, -12, -20, -30])
def test_the_second_harmonic_is_the_ratio_times_the_first(ratio_db):
    found = spectrum(heard(fm(deemphasis_us=0.0), beside(3000, ratio_db))[:, 0])
    for harmonic in (1, 2, 3):
        step = decibels(found[3000 * (harmonic + 1)] / found[3000 * harmonic])
        assert step == pytest.approx(ratio_db, abs=TENTH_DB)


@pytest.mark.parametrize(("microseconds", "loss_db"), [(50, 8.64), (75, 11.83)])
def test_deemphasis_at_8_khz(microseconds, loss_db):
    # 10 lg(1 + (2 pi f tau)^2), recomputed.
    bare, shaped = (
        spectrum(heard(fm(deemphasis_us=time), beside(8000))[:, 0])[8000]
        for time in (0.0, float(microseconds))
    )
    assert decibels(bare / shaped) == pytest.approx(loss_db, abs=TENTH_DB)


@pytest.mark.parametrize("decoder", ["none", "filtered", "switching"])
@pytest.mark.parametrize("offset_hz", [18_500, 70_000, 150_000])
def test_nothing_is_heard_where_the_engine_has_no_tone(decoder, offset_hz):
    # So weak a carrier that its harmonics, of which one could fall into a zone, are weaker still.
    assert list(engine(fm(), decoder, offset_hz)) == []
    ratio_db = -70.0
    weakest = decibels(offset_hz / 75_000) + ratio_db - 50
    for ear in heard(fm("switching"), beside(offset_hz, ratio_db), decoder).T:
        assert decibels(spectrum(ear).max()) < weakest


def test_one_note_is_clean_across_the_joints_of_blocks():
    ear = heard(fm(deemphasis_us=0.0), beside(5000, -40.0), seconds=3)[RATE_HZ // 2 : -RATE_HZ // 2, 0]
    time = np.arange(len(ear)) / RATE_HZ
    turns = [2 * np.pi * 5000 * n * time for n in (1, 2, 3)]
    design = np.stack([wave(turn) for turn in turns for wave in (np.cos, np.sin)], axis=1)
    left = ear - design @ np.linalg.lstsq(design, ear, rcond=None)[0]
    assert decibels(np.abs(left).max() / np.abs(ear).max()) < -90


# Stereo


@pytest.mark.parametrize("offset_hz", [30_000, 46_000, 106_000, 200_000])
def test_a_note_of_the_decoder_is_in_anti_phase_and_gone_in_the_sum(offset_hz):
    left, right = heard(fm("switching"), beside(offset_hz), "switching").T
    assert np.abs(left + right).max() < 1e-3 * np.abs(left - right).max()


def test_a_note_of_mono_is_the_same_in_both_ears():
    left, right = heard(fm("switching"), beside(3000), "switching").T
    assert np.abs(left - right).max() < 1e-3 * np.abs(left + right).max()


# Moving


def pitch_along(ear, shares):
    """Frequency [Hz] at shares of a sound, from the phase over 20 ms on either side."""
    phase = np.unwrap(np.angle(hilbert(ear)))
    reach = RATE_HZ // 50
    for share in shares:
        at = round(share * len(ear))
        yield (phase[at + reach] - phase[at - reach]) / (2 * reach) * RATE_HZ / (2 * np.pi)


SHARES = (0.1, 0.25, 0.4, 0.6, 0.75, 0.9)


@pytest.mark.parametrize(
    ("side", "mechanism", "numbers", "rate"),
    [
        ("high", "image", {}, 2),
        ("low", "image", {}, 2),
        ("high", "half-if", {"e": 1}, 1),
        ("high", "half-if", {"e": -1}, 3),
        ("low", "half-if", {"e": -1}, 1),
        ("high", "if-breakthrough", {"m": 1}, 1),
        ("high", "if-harmonic", {"k": 9}, 9),
        ("low", "if-harmonic", {"k": 10}, 10),
        ("high", "fractional-if", {"n": 3, "e": -1}, 4),
    ],
)
def test_the_pitch_runs_with_the_beat_rate_while_the_dial_moves(side, mechanism, numbers, rate):
    plan = plan_of(side)
    tuning_hz = 12_000 // rate
    case = tuned_case(plan, mechanism, tuning_hz, numbers)
    ear = heard(plan, Pair(case.wanted, case.intruder, -40.0), seconds=4)[:, 0]
    for share, found in zip(SHARES, pitch_along(ear, SHARES), strict=True):
        assert found == pytest.approx(rate * tuning_hz * abs(2 * share - 1), abs=20)


def plan_of(side):
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator=side),),
    )


SUM = Plan(
    band=Band(low_hz=5_000_000, high_hz=20_000_000, modulation="am"),
    conversion=(Conversion(intermediate_hz=45_000_000, oscillator="sum"),),
)


@pytest.mark.parametrize("plan", [plan_of("high"), plan_of("low"), am(), SUM])
def test_every_row_of_the_engine_moves_as_its_slopes_say(plan):
    (tuning,) = tunings(plan)
    tried = 0
    for table in (responses(plan, [tuning]), birdies(plan, [tuning])):
        for row in table.rows():
            if not row["beat_rate"]:
                continue
            numbers = {name: row.get(name) for name in "kmne"}
            case = tuned_case(plan, row["mechanism"], 100, numbers)
            own, other = case.wanted.end_hz, case.intruder.end_hz
            assert (abs(own), abs(other - own)) == (100, 100 * row["beat_rate"])
            assert (case.wanted.start_hz, case.intruder.start_hz) == (-own, -other)
            if row["tuning_slope"] is not None:
                assert other == row["tuning_slope"] * own
            tried += 1
    assert tried > 5


@pytest.mark.parametrize(("side", "k"), [("high", 9), ("low", 9), ("high", 10)])
def test_a_harmonic_of_the_if_by_plain_frequencies(side, k):
    # The IF as it is while the oscillator is 100 Hz off, its harmonic as a signal, and where that lands.
    sign = 1 if side == "high" else -1
    station = k * 10_700_000
    own_if = sign * (station + sign * 10_700_000 + 100 - station)
    lands = sign * (station + sign * 10_700_000 + 100 - k * own_if)
    case = tuned_case(plan_of(side), "if-harmonic", 100, {"k": k})
    assert case.wanted.end_hz == own_if - 10_700_000
    assert case.intruder.end_hz == lands - 10_700_000
    assert case.copies == -sign * k


def test_in_stereo_the_pitch_folds_at_38_khz():
    pair = Pair(Glide(0, 0), Glide(30_000, 46_000), -40.0)
    left, _ = heard(fm(), pair, "filtered", seconds=4).T
    found = list(pitch_along(left, SHARES))
    assert found == pytest.approx([abs(-8000 + 16_000 * share) for share in SHARES], abs=20)


# Modulation, capture and AM


def test_a_tone_has_its_share_of_full_programme():
    plan = fm(deemphasis_us=0.0)
    found = spectrum(heard(plan, beside(10_000, -80.0, tone_hz=1000))[:, 0])
    assert int(np.argmax(found)) == 1000
    assert found[1000] == pytest.approx(TONE_DEPTH, rel=0.01)


@pytest.mark.parametrize(("ratio_db", "kept"), [(-20, True), (20, False)])
def test_the_stronger_carrier_keeps_its_programme_and_the_weaker_loses_it(ratio_db, kept):
    ear = heard(fm(deemphasis_us=0.0), beside(40_000, ratio_db, tone_hz=1000))[:, 0]
    share = decibels(spectrum(ear)[1000] / TONE_DEPTH)
    assert share > -1 if kept else share < -20


@pytest.mark.parametrize("copies", [-2, 0, 2, 3])
def test_an_intruder_made_of_the_wanted_station_carries_its_tone(copies):
    # At zero beat, by the phase itself: theta + arg(1 + r exp(j (copies - 1) theta)), without any filter.
    plan = fm(deemphasis_us=0.0, bandwidth_hz=300 * KHZ)
    ear = heard(plan, beside(0, -12.0, tone_hz=1000, copies=copies))[:, 0]
    turn = np.arange(4096) / 4096
    theta = TONE_DEPTH * 75_000 / 1000 * np.sin(2 * np.pi * turn)
    phase = theta + np.angle(1 + 10 ** (-12 / 20) * np.exp(1j * (copies - 1) * theta))
    lines = 2 * np.abs(rfft(phase)) / 4096 * np.arange(2049) * 1000 / 75_000
    assert spectrum(ear)[1000:15_000:1000] == pytest.approx(lines[1:15], abs=0.002)


@pytest.mark.parametrize("offset_hz", [400, 1000, 3000, 4400])
@pytest.mark.parametrize("ratio_db", [-40, -20, -14])
def test_am_gives_the_ratio_behind_the_filter(offset_hz, ratio_db):
    ((zone, pitch_hz, level_db),) = engine(am(), "none", offset_hz, ratio_db)
    found = spectrum(heard(am(), beside(offset_hz, ratio_db))[:, 0])
    assert zone.name == "beat"
    assert int(np.argmax(found)) == pitch_hz
    assert decibels(found.max()) == pytest.approx(level_db, abs=FIFTH_DB)


def test_am_with_a_tone_has_its_depth():
    found = spectrum(heard(am(), beside(3000, -60.0, tone_hz=400))[:, 0])
    assert found[400] == pytest.approx(TONE_DEPTH, rel=0.01)


# The sound as it is handed over


def test_a_sound_holds_what_it_says():
    result = sound(fm("switching"), offset_hz=2000, stereo=True, seconds=1.0)
    assert (result.samples.dtype, result.samples.shape) == (np.int16, (RATE_HZ, 2))
    assert (result.rate_hz, result.seconds, result.channels) == (RATE_HZ, 1.0, 2)
    with wav.open(io.BytesIO(result.to_wav())) as file:
        assert file.getparams()[:4] == (2, 2, RATE_HZ, RATE_HZ)
        assert file.readframes(RATE_HZ) == result.samples.astype("<i2").tobytes()
    with pytest.raises(dataclasses.FrozenInstanceError):
        result.seconds = 2.0
    with pytest.raises(ValueError, match="read-only"):
        result.samples[0] = 1


@pytest.mark.parametrize("ratio_db", [-80, -40, -3, 20])
@pytest.mark.parametrize("as_heard", [True, False])
def test_no_sample_is_louder_than_the_limit_and_the_ends_are_faded(ratio_db, as_heard):
    samples = sound(
        fm(deemphasis_us=0.0), offset_hz=14_000, ratio_db=ratio_db, seconds=0.5, as_heard=as_heard
    ).samples.astype(int)
    most = np.abs(samples).max()
    assert most <= math.ceil(LOUDEST * FULL_SCALE)
    assert samples[0] == samples[-1] == 0
    short = round(FADE_S * RATE_HZ / 10)
    assert max(np.abs(samples[:short]).max(), np.abs(samples[-short:]).max()) <= max(1, 0.05 * most)


def test_as_heard_the_level_is_that_against_full_programme():
    plan = fm()
    result = sound(plan, offset_hz=8000, ratio_db=-20, as_heard=True)
    ((_, _, level_db),) = engine(plan, "none", 8000, -20)
    found = spectrum(result.samples[:, 0] / FULL_SCALE / PROGRAMME).max()
    assert decibels(found) == pytest.approx(level_db, abs=TENTH_DB)
    assert result.raised_db == 0


def test_raised_by_as_much_as_it_says():
    plain, raised = (sound(fm(), offset_hz=8000, ratio_db=-20, as_heard=kept) for kept in (True, False))
    step = decibels(np.abs(raised.samples.astype(int)).max() / np.abs(plain.samples.astype(int)).max())
    assert step == pytest.approx(raised.raised_db, abs=TENTH_DB)
    assert np.abs(raised.samples.astype(int)).max() == pytest.approx(LOUDEST * FULL_SCALE, rel=0.01)


def test_what_is_not_heard_is_not_raised_until_it_is():
    silent = sound(fm("none"), offset_hz=60_000, ratio_db=-60)
    assert np.abs(silent.samples.astype(int)).max() < LOUDEST * FULL_SCALE / 100
    assert any("no note" in line for line in silent.told)


@pytest.mark.parametrize("question", [{"offset_hz": 2000}, {"mechanism": "image", "stereo": True}])
def test_the_same_question_gives_the_same_bytes(question):
    one, other = (sound(fm("switching"), **question).to_wav() for _ in range(2))
    assert one == other


def test_what_is_told_is_what_the_engine_says():
    told = sound(fm(), offset_hz=2000, to_hz=30_000, stereo=True, ratio_db=-20).told
    ((_, _, start_db),) = engine(fm(), "filtered", 2000, -20)
    ((_, _, end_db),) = engine(fm(), "filtered", 30_000, -20)
    assert (
        told[1]
        == f"At the start 2 kHz apart: a note of 2.0 kHz (mono), {-start_db:.1f} dB below full programme."
    )
    assert (
        told[2]
        == f"At the end 30 kHz apart: a note of 8.0 kHz (stereo), {-end_db:.1f} dB below full programme."
    )


def test_loudness_told_counts_the_filter_for_both_carriers():
    plan, pair = am(), Pair(Glide(-4000, 4000), Glide(4000, -4000), -20.0)
    ((_, pitch_hz, level_db),) = notes(plan, pair, "none", 0)
    assert (pitch_hz, level_db) == (8000, pytest.approx(-20))
    found = spectrum(heard(plan, Pair(Glide(-4000, -4000), Glide(4000, 4000), -20.0))[:, 0])
    assert decibels(found[8000]) == pytest.approx(-20, abs=FIFTH_DB)


def test_a_notebook_gets_words_and_something_to_press():
    page = sound(fm().model_copy(update={"title": "<Shelf>"}), offset_hz=2000, seconds=0.5)._repr_html_()
    assert "<Shelf>" not in page
    assert "&lt;Shelf&gt;" in page
    data = re.search(r'<audio controls src="data:audio/wav;base64,([^"]+)"', page)
    assert data is not None
    assert base64.b64decode(data[1])[:4] == b"RIFF"


def test_a_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    result = sound(fm(), offset_hz=2000, seconds=0.5)
    result.save(tmp_path / "note.wav")
    assert (tmp_path / "note.wav").read_bytes() == result.to_wav()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    for name in ("note.wav", "new.wav"):
        with pytest.raises(FreqplanError, match="cannot be written: No space left"):
            result.save(tmp_path / name)
    assert [path.name for path in tmp_path.iterdir()] == ["note.wav"]
    assert (tmp_path / "note.wav").read_bytes() == result.to_wav()
    with pytest.raises(FreqplanError, match="there is no folder"):
        result.save(tmp_path / "missing" / "note.wav")


# Questions that make no sense


@pytest.mark.parametrize(
    ("question", "message"),
    [
        ({}, "either an offset or a mechanism"),
        ({"offset_hz": 1000, "mechanism": "image"}, "either an offset or a mechanism"),
        ({"offset_hz": 300_001}, "at most 300 kHz"),
        ({"offset_hz": 1000, "to_hz": 300_001}, "at most 300 kHz"),
        ({"offset_hz": 0.5}, "no whole number of hertz"),
        ({"offset_hz": 1000, "tuning_hz": 1000}, "go with a mechanism"),
        ({"offset_hz": 1000, "k": 9}, "go with a mechanism"),
        ({"mechanism": "image", "to_hz": 1000}, "a mechanism takes a tuning"),
        ({"mechanism": "frog"}, "there are: if-breakthrough, image"),
        (
            {"mechanism": "half-if"},
            r"say which, by e; .* m 2 n 2 e 1 \(moves 1 kHz per kHz\); m 2 n 2 e -1 \(",
        ),
        ({"mechanism": "if-harmonic"}, r"by k; .* k 9 \(moves 9 kHz per kHz\); k 10 \(moves 10 kHz"),
        ({"mechanism": "if-harmonic", "k": 5}, "with k 5 is not on this dial; there are: k 9"),
        ({"mechanism": "signal-harmonic", "m": 2, "e": 1}, "tuning does not move its pitch"),
        ({"mechanism": "image", "tuning_hz": 0}, "more than 0 and at most 100 kHz"),
        ({"mechanism": "image", "tuning_hz": 100_001}, "more than 0 and at most 100 kHz"),
        ({"offset_hz": 1000, "ratio_db": 0}, "of two equal carriers neither takes over"),
        ({"offset_hz": 1000, "ratio_db": -81}, "give -80 to 40 dB"),
        ({"offset_hz": 1000, "ratio_db": math.nan}, "give -80 to 40 dB"),
        ({"offset_hz": 1000, "tone_hz": 15_000}, "give 0.02 kHz to less than 15 kHz"),
        ({"offset_hz": 1000, "tone_hz": 19}, "give 0.02 kHz"),
        ({"offset_hz": 1000, "seconds": 61}, "give 0.5 to 60 seconds"),
        ({"offset_hz": 1000, "seconds": math.nan}, "give 0.5 to 60 seconds"),
        ({"offset_hz": 1000, "decoder": "filtered"}, "in stereo only"),
        ({"offset_hz": 1000, "decoder": "none", "stereo": True}, "has no stereo decoder"),
        ({"offset_hz": 1000, "decoder": "frog", "stereo": True}, '"frog": write one of'),
    ],
)
def test_a_question_that_makes_no_sense_is_refused(question, message):
    with pytest.raises(ModelRangeError, match=message):
        sound(fm(), **question)


def test_sets_that_cannot_be_heard_so_are_refused():
    with pytest.raises(ModelRangeError, match="AM set has no stereo"):
        sound(am(), offset_hz=1000, stereo=True)
    with pytest.raises(ModelRangeError, match="deviation 0"):
        sound(fm(deviation_hz=0), offset_hz=1000)
    with pytest.raises(ModelRangeError, match="within 100 Hz"):
        sound(
            am(3000).model_copy(update={"if_filter": fm(bandwidth_hz=3000, skirts_hz=3100).if_filter}),
            offset_hz=1,
        )
    unknown = plan_of("unknown")
    with pytest.raises(ModelRangeError, match=r"oscillator high .*oscillator low"):
        sound(unknown, mechanism="half-if", e=1)
    assert sound(unknown, mechanism="image", seconds=0.5).told
