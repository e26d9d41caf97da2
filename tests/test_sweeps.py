"""Measured responses: never extended, unknown where the points tell too little; any file gives a sweep or a message."""

from __future__ import annotations

import itertools
import tempfile

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sweepfiles import MHZ, TENTH_DB, TUNED_HZ, save, tuned_circuit_db

from freqplan.errors import InputError, SweepError
from freqplan.sweeps import Sweep, load_sweep


def sampled(step_hz, *, loaded_q=50, low_hz=80 * MHZ, high_hz=120 * MHZ):
    hertz = np.arange(low_hz, high_hz + 1, step_hz)
    loss = tuned_circuit_db(hertz.astype(float), circuits=1, loaded_q=loaded_q)
    return Sweep("", hertz, loss - loss.min())


def test_arrays_are_read_only_copies():
    hertz = np.array([98, 99, 100]) * MHZ
    sweep = Sweep("", hertz, np.array([1.0, 0, 1]))
    hertz[0] = 1
    assert sweep.frequency_hz[0] == 98 * MHZ
    for column in ("frequency_hz", "loss_db"):
        with pytest.raises(ValueError, match="read-only"):
            getattr(sweep, column)[0] = 1


@pytest.mark.parametrize(
    ("hertz", "losses", "words"),
    [
        ([1, 2], [0, 1], "at least 3 points"),
        ([1, 2, 3], [0, 1], "shape"),
        ([1, 3, 2], [0, 1, 2], "rise"),
        ([1, 1, 2], [0, 1, 2], "rise"),
        ([0, 1, 2], [0, 1, 2], "above zero"),
        ([1, 2, 3], [1, 1, 2], "least of them 0"),
        ([1, 2, 3], [0, np.nan, 2], "finite"),
        ([1, 2, 3], [0, np.inf, 2], "finite"),
    ],
)
def test_a_sweep_from_python_keeps_the_rules(hertz, losses, words):
    with pytest.raises(SweepError, match=words):
        Sweep("", np.array(hertz), np.array(losses, dtype=float))


@given(st.lists(st.integers(0, 60), min_size=3, max_size=12), st.integers(0, 10**6))
def test_between_points_it_is_a_straight_line_or_unknown(losses, seed):
    draw = np.random.default_rng(seed)
    hertz = 80 * MHZ + np.cumsum(draw.integers(1, 5 * MHZ, len(losses)))
    loss = np.array(losses, dtype=float) - min(losses)
    sweep = Sweep("", hertz, loss)
    asked = draw.uniform(75 * MHZ, hertz[-1] + 5 * MHZ, (4, 50))
    found = sweep.at(asked)
    inside = (asked >= hertz[0]) & (asked <= hertz[-1])
    expected = np.interp(asked, hertz, loss)
    assert found.shape == asked.shape
    assert np.isnan(found[~inside]).all()
    known = ~np.isnan(found)
    assert found[known] == pytest.approx(expected[known])
    # Which of them are unknown, by the rule written out for one interval at a time.
    for value, at_hz in zip(found[inside], asked[inside], strict=True):
        place = int(np.searchsorted(hertz, at_hz, side="right")) - 1
        assert np.isnan(value) == too_coarse(hertz.tolist(), loss.tolist(), place)
    for value, at_hz in zip(found.ravel(), asked.ravel(), strict=True):
        assert (sweep.why_unknown(at_hz) != "") == np.isnan(value)


def too_coarse(hertz, loss, place):
    def second_difference(i):
        low, high = hertz[i] - hertz[i - 1], hertz[i + 1] - hertz[i]
        return 2 * ((loss[i + 1] - loss[i]) / high - (loss[i] - loss[i - 1]) / low) / (low + high)

    ends = [i for i in (place, place + 1) if 0 < i < len(hertz) - 1]
    width = hertz[place + 1] - hertz[place]
    return width**2 / 8 * max(abs(second_difference(i)) for i in ends) > 1


def test_any_shape_and_the_ends():
    sweep = Sweep("", [98 * MHZ, 99 * MHZ, 100 * MHZ], [0.0, 1, 2])
    assert sweep.at(98_500_000).shape == ()
    assert float(sweep.at(98_500_000)) == pytest.approx(0.5)
    assert sweep.at(np.zeros((2, 0, 3))).shape == (2, 0, 3)
    assert sweep.at([98 * MHZ, 100 * MHZ]).tolist() == [0, 2]
    assert np.isnan(sweep.at([98 * MHZ - 1, 100 * MHZ + 1, 0, np.inf, np.nan])).all()


def test_a_resonance_that_the_points_straddle_is_too_coarse():
    wide, narrow = sampled(5 * MHZ), sampled(MHZ // 5)
    assert np.isnan(wide.at([97 * MHZ, 98 * MHZ, 99 * MHZ])).all()
    assert not narrow.coarse.any()
    asked = np.linspace(80 * MHZ, 120 * MHZ, 1001)
    assert np.abs(narrow.at(asked) - tuned_circuit_db(asked, circuits=1, loaded_q=50)).max() < TENTH_DB


def test_a_straddled_resonance_is_known_on_the_points_themselves_and_far_away():
    sweep = sampled(5 * MHZ)
    assert sweep.at(sweep.frequency_hz).tolist() == sweep.loss_db.tolist()
    assert not np.isnan(sweep.at(117 * MHZ))


def test_what_a_fine_looking_sweep_may_hide_stays_as_small_as_documented():
    worst_db = 0.0
    for loaded_q, steps in itertools.product((20, 50, 100), (0.1, 0.3, 0.5, 0.7, 1, 1.5, 2)):
        for shift in np.linspace(0, 1, 9):
            step_hz = round(steps * TUNED_HZ / loaded_q)
            low_hz = TUNED_HZ - 8 * step_hz + round(shift * step_hz)
            if low_hz < 20 * MHZ:
                continue
            sweep = sampled(step_hz, loaded_q=loaded_q, low_hz=low_hz, high_hz=low_hz + 16 * step_hz)
            asked = np.linspace(low_hz, low_hz + 16 * step_hz, 801)
            true_db = tuned_circuit_db(asked, circuits=1, loaded_q=loaded_q)
            least_db = tuned_circuit_db(sweep.frequency_hz.astype(float), circuits=1, loaded_q=loaded_q).min()
            error_db = np.abs(sweep.at(asked) + least_db - true_db)
            worst_db = max(worst_db, error_db[~np.isnan(error_db)].max(initial=0))
    assert 1 < worst_db < 3.2


def test_noise_is_not_judged_by_its_bends():
    loss = np.array([0.0, 1, 2, 85, 95, 80, 99, 84])
    hertz = (90 + np.arange(8)) * MHZ
    assert Sweep("", hertz, loss).coarse.tolist() == [False, True, True, False, False, False, False]
    assert Sweep("", hertz, loss * 0.7).coarse[2:].tolist() == [True, True, True, True, True]


def test_reasons_are_told():
    sweep = sampled(5 * MHZ, high_hz=130 * MHZ)
    assert sweep.why_unknown(79.9e6) == "the sweep begins at 80 MHz"
    assert sweep.why_unknown(130e6 + 1) == "the sweep ends at 130 MHz"
    assert sweep.why_unknown(98e6) == "the sweep is too coarse, with points 5 MHz apart from 95 MHz"
    assert sweep.why_unknown(130e6) == sweep.why_unknown(95e6) == ""
    fine = Sweep("", [530_500, 540_000, 549_000], [0.0, 30, 0])
    assert fine.why_unknown(535e3) == "the sweep is too coarse, with points 9.5 kHz apart from 530.5 kHz"


# --- files ---


def test_changed_content_is_read_again(tmp_path):
    first = load_sweep(save(tmp_path, "98,0\n99,1\n100,2\n"))
    assert load_sweep(save(tmp_path, "98,0\n99,1\n100,2\n")) is first
    assert load_sweep(save(tmp_path, "98,0\n99,1\n100,9\n")).loss_db.tolist() == [0, 1, 9]


def test_places_that_are_no_file_give_a_message(tmp_path):
    for place, words in (
        (tmp_path, "folder"),
        (tmp_path / "absent.csv", "no such file"),
        (tmp_path / "absent.s2p", "no such file"),
        ("a\0b", "cannot be read"),
        ("/dev/null", "not an ordinary file"),
    ):
        with pytest.raises(SweepError, match=words):
            load_sweep(place)


def test_an_unreadable_file_gives_a_message(tmp_path, monkeypatch):
    # The error is staged, because permissions do not bind every user who runs the tests.
    path = save(tmp_path, "98,0\n99,1\n100,2\n")

    def refuse(*_args, **_options):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("builtins.open", refuse)
    with pytest.raises(SweepError) as caught:
        load_sweep(path)
    monkeypatch.undo()
    assert "cannot be read (permission denied)" in str(caught.value)


near_touchstone = st.lists(
    st.sampled_from(["# MHz S DB R 50", "[Version] 2.0", "[Reference]", "[Network Data]", "[Noise Data]", "[End]",
                     "[Number of Ports] 2", "[Mixed-Mode Order] D1,2 C1,2", "[Number of Frequencies]", "[",
                     "98 0 0 0 0 0 0 0 0", "99 0 0 0 0 0 0 0 0", "100 1 1 1 1 1 1 1 1", "98 0 0", "90 1 1 1 1",
                     "# MHz Z RI R 0", "# MHz Y RI R 50 75", "#", "# Hz H MA R 1+j", "! Port[9] = x"]),
    max_size=9,
).map(lambda lines: "\n".join(lines).encode())  # fmt: skip
near_csv = st.text(alphabet="frequncy_mhzgaidb0123456789.,;\t\n\"'#!+-eE ", max_size=80).map(str.encode)


@given(
    st.binary(max_size=200) | near_csv | near_touchstone,
    st.sampled_from(["csv", "s1p", "s2p", "S2P", "s9p", ""]),
)
def test_whatever_a_file_holds_there_is_a_sweep_or_a_message(content, suffix):
    with tempfile.TemporaryDirectory() as folder:
        path = save(folder, content, f"drawn.{suffix}")
        try:
            sweep = load_sweep(path)
        except InputError as error:
            assert error.faults
            assert all(fault.what and fault.hint and fault.source == str(path) for fault in error.faults)
        else:
            assert np.isfinite(sweep.loss_db).all()
