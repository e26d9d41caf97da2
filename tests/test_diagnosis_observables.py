"""What each candidate makes of each word: shares, and which word is likeliest by what the arithmetic says."""

from __future__ import annotations

import itertools
from collections import Counter

import numpy as np
import pytest

from freqplan import Band, Conversion, Evidence, Plan, Stereo, Symptom, Synthesiser, diagnose
from freqplan.diagnosis.airwaves import AIRCRAFT, AMATEURS, KINDS, NOISE, OTHER, SPEECH, WHISTLE
from freqplan.diagnosis.candidates import candidates
from freqplan.diagnosis.elsewhere import elsewhere
from freqplan.diagnosis.observables import FALL, OBSERVABLES, RATE, SIDE
from freqplan.diagnosis.pitches import offsets
from freqplan.mechanisms import catalogue

EVERY = {one.key: one for one in (*OBSERVABLES.values(), FALL, RATE, SIDE)}
SPEAKERS = ("", AIRCRAFT, AMATEURS, OTHER)


def scene(modulation="fm", **more):
    """A set whose oscillator may be on either side: tuning 0 is high, 1 is low."""
    low_hz, high_hz, if_hz = (
        (87_500_000, 108_000_000, 10_700_000) if modulation == "fm" else (530_000, 1_600_000, 455_000)
    )
    plan = Plan(
        band=Band(low_hz=low_hz, high_hz=high_hz, modulation=modulation),
        conversion=(Conversion(intermediate_hz=if_hz, oscillator="unknown"),),
        **more,
    )
    found = diagnose(plan, Evidence(symptoms=(Symptom(heard="noise"),))).scene
    assert [tuning.side for tuning in found.tunings][:2] == ["high", "low"]
    return found


def likeliest(key, *, modulation="fm", **columns):
    """The likeliest word of each candidate."""
    places = table(key, modulation=modulation, **columns).argmax(axis=1)
    return [EVERY[key].outcomes[place] for place in places]


def table(key, *, modulation="fm", mechanism="image", side=0, **columns):
    count = max(np.size(values) for values in (*columns.values(), side, mechanism))
    some = candidates(count, mechanism=mechanism, side=side, **columns)
    return EVERY[key].likelihood(scene(modulation), some)


@pytest.mark.parametrize("modulation", ["fm", "am"])
def test_words_share_out_what_there_is(modulation):
    names = list(catalogue())
    ways = list(
        itertools.product(
            KINDS, SPEAKERS, (np.nan, -3, -2, -1, 0, 1, 2, 3, 5), (np.nan, 0, 1, 2, 3, 5), (0, 1, 2, 3)
        )
    )
    kind, speaker, slope, law, times = (list(column) for column in zip(*ways, strict=True))
    count = len(ways)
    some = candidates(
        count, mechanism=np.resize(np.array(names, dtype=object), count), side=np.arange(count) % 2, kind=kind,
        speaker=speaker, slope=slope, law=law, beat=np.abs(np.array(slope) - 1), times=times,
        voices=np.array(times), steady=np.arange(count) % 3 == 0, a=np.arange(count) % 5 - 1,
    )  # fmt: skip
    here = scene(modulation)
    for observable in EVERY.values():
        shares = observable.likelihood(here, some)
        assert shares.shape == (count, len(observable.outcomes))
        assert shares.min() >= 0
        np.testing.assert_allclose(shares.sum(axis=1), 1, atol=1e-12)
        with_mistakes = observable.shares(here, some)
        assert with_mistakes.min() >= observable.wrong / len(observable.outcomes)
        np.testing.assert_allclose(with_mistakes.sum(axis=1), 1, atol=1e-12)


def test_the_faster_the_beat_the_less_a_pitch_is_held():
    beats = [np.nan, 0, 1, 2, 3, 4, 7]
    assert likeliest("pitch", beat=beats) == [*2 * ["still"], *2 * ["moves"], *3 * ["flicks"]]
    held = table("pitch", beat=beats[1:])
    assert (np.diff(held[:, 2]) >= 0).all()
    assert held[0, 0] > 0.8 > 0.1 > held[1, 0]


def test_a_pitch_moves_by_its_beat_rate():
    assert likeliest("pitch_rate", beat=[0, 1, 2, 3, 4, 5, 9, 12]) == [0, 1, 2, 3, 4, 5, 5, 5]
    (unknown,) = table("pitch_rate", beat=[np.nan])
    edges = np.exp(-np.array([0, 0.5, 1.5, 2.5, 3.5, 4.5, np.inf]) / 3)
    np.testing.assert_allclose(unknown, -np.diff(edges), atol=1e-3)


def test_it_is_as_wide_as_its_slope_says_and_a_harmonic_of_a_programme_wider():
    slopes = np.array([1, -1, 2, -2, 3, -3, 5])
    words = ["full", "full", "half", "half", "third", "third", "third"]
    assert likeliest("width", slope=slopes, kind=WHISTLE) == words
    assert set(likeliest("width", slope=slopes, kind=NOISE)) == {"wide"}
    assert likeliest("width", slope=[np.nan]) == ["full"]
    both = table("width", slope=2, times=[1, 2])
    assert both[1, 0] > both[0, 0]
    np.testing.assert_array_equal(
        table("width", slope=1, times=[1, 2])[0], table("width", slope=1, times=[1, 2])[1]
    )
    still = table("width", slope=0, kind=[WHISTLE, NOISE])
    np.testing.assert_array_equal(still[0], still[1])
    assert still[0, 0] == still[0, 3]


def test_it_falls_by_its_law():
    assert likeliest("fall", law=[0, 1, 2, 3, 4, 7]) == [0, 1, 2, 3, 3, 3]
    assert set(table("fall", law=[np.nan])[0]) == {0.25}
    assert likeliest("by_ear", law=[0, 1, 2, 3, np.nan]) == ["worse", "same", "better", "better", "same"]


def test_whose_speech_it_is():
    assert likeliest("speech_of", kind=SPEECH, speaker=[AIRCRAFT, AMATEURS, OTHER]) == [
        "aircraft",
        "amateurs",
        "other",
    ]
    nobody = table("speech_of", kind=[SPEECH, NOISE], speaker=["", AIRCRAFT])
    np.testing.assert_array_equal(nobody[0], nobody[1])


@pytest.mark.parametrize(
    ("key", "right", "wrong"), [("meter", "normal", "reversed"), ("afc", "pulls", "pushes")]
)
def test_on_fm_what_falls_with_the_dial_is_turned_over(key, right, wrong):
    slopes = [1, 3, 0.5, -1, -2, np.nan, 0]
    assert likeliest(key, slope=slopes) == [*3 * [right], wrong, wrong, right, right]
    assert set(likeliest(key, slope=slopes, modulation="am")) == {right}
    (doubt,) = table(key, slope=[-1], mechanism="wrong-side")
    assert doubt[0] == doubt[1]


def test_on_which_side_a_second_radio_finds_the_oscillator():
    assert likeliest("side", side=[0, 1]) == ["above", "below"]
    assert likeliest("side", side=[0, 1], mechanism="wrong-side") == ["below", "above"]


def test_what_does_not_tune_is_everywhere():
    here = table("everywhere", steady=[True, True, False], a=[0, 1, 0])
    assert here[0, 0] >= 0.95
    assert here[1, 0] == here[2, 0] < 0.5


def test_what_is_on_the_carrier_is_what_is_heard_of_it():
    words = dict(zip(KINDS, likeliest("heard", kind=list(KINDS)), strict=True))
    assert {kind: words[kind] for kind in (SPEECH, WHISTLE, NOISE)} == {
        SPEECH: "speech", WHISTLE: "whistle", NOISE: "noise",
    }  # fmt: skip
    assert words["programme"] == "programme"


def test_two_programmes_are_seldom_heard_as_one():
    one, two = table("single", voices=[1, 2])[:, 0]
    assert one > 0.5 > two


# What a pitch may stand for

KHZ = 1000
ZONES = {"none": (), "filtered": (38,), "switching": (38, 114, 190), None: (38, 114, 190)}
"""What carriers beside the wanted one beat with in a stereo decoder [kHz]; None is not told."""


@pytest.mark.parametrize("stereo_only", [None, True, False])
@pytest.mark.parametrize("decoder", ZONES)
def test_a_pitch_is_the_offset_or_its_distance_from_a_harmonic_of_the_subcarrier(decoder, stereo_only):
    known = {} if decoder is None else {"stereo": Stereo(decoder=decoder)}
    found = offsets(scene(**known), Symptom(heard="whistle", pitch_khz=10, stereo_only=stereo_only))
    shares = Counter()
    for hertz, share in found:
        shares[hertz] += share
    beside = [sign * (zone + way) for zone in ZONES[decoder] for sign in (1, -1) for way in (10, -10)]
    assert set(shares) == {KHZ * one for one in (10, -10, *beside)}
    assert sum(shares.values()) == pytest.approx(1)
    assert all(shares[hertz] == pytest.approx(shares[-hertz]) for hertz in shares)
    if decoder != "none":
        mono, stereo = shares[10 * KHZ], shares[28 * KHZ]
        assert (mono < stereo) == bool(stereo_only)
    if decoder == "switching":
        # A harmonic of the switch is the less likely, and more so where nobody says that there is a switch.
        (unknown,) = (share for hertz, share in offsets(scene(), Symptom(pitch_khz=10, stereo_only=stereo_only))
                      if hertz == 180 * KHZ)  # fmt: skip
        assert 0 < unknown < shares[180 * KHZ] < shares[28 * KHZ]


def test_a_set_without_stereo_and_one_for_am_give_the_offset_alone():
    assert offsets(scene("am"), Symptom(pitch_khz=3)) == [(3 * KHZ, 0.5), (-3 * KHZ, 0.5)]
    assert offsets(scene(), Symptom()) == []


# Where else to look


@pytest.mark.parametrize(("seen", "other"), [(96_300_000, 107_000_000), (107_000_000, 96_300_000)])
def test_the_ends_of_the_band_belong_to_it(seen, other):
    plan = Plan(
        band=Band(low_hz=96_300_000, high_hz=107_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    )
    heard = Symptom(heard="whistle", dial_hz=seen, aerial_out="stays", pitch="moves")
    (found,) = diagnose(plan, Evidence(symptoms=(heard,))).findings
    assert found.causes[0].mechanism == "if-harmonic"
    assert [place.dial_hz for place in elsewhere(found.weighed, found.causes[0])] == [other]


def test_what_the_reference_leaves_on_every_station_does_not_tune():
    plan = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        synthesiser=Synthesiser(reference_hz=25_000),
    )
    (found,) = diagnose(plan, Evidence(symptoms=(Symptom(heard="whistle"),))).findings
    some = found.case.some
    ripple = some.mechanism == "reference-ripple"
    assert ripple.any()
    assert some.steady[ripple].all()
    assert not some.steady[some.mechanism == "if-harmonic"].any()
