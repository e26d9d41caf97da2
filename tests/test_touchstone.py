"""Measured responses in Touchstone files, against independent judges of what tuned circuits lose."""

from __future__ import annotations

import subprocess
import sys
import warnings

import numpy as np
import pytest
import scipy.signal
import skrf
from commandline import ROOT
from sweepfiles import MHZ, TENTH_DB, TUNED_HZ, faults, read, save, tuned_circuit_db

from freqplan.errors import FreqplanError, MissingExtraError, SweepError
from freqplan.sweepfile import LARGEST_SWEEP
from freqplan.sweeps import load_sweep

SWEPT = skrf.Frequency(88, 130, 421, unit="MHz")
SWEPT_HZ = np.arange(88 * MHZ, 130 * MHZ + 1, MHZ // 10)
LINE = skrf.media.DefinedGammaZ0(SWEPT, z0=50)


def resonator(loaded_q):
    """One parallel resonator across a line that is matched on both sides: 25 ohm load it."""
    reactance_ohm = 25 / loaded_q
    omega = 2 * np.pi * TUNED_HZ
    return LINE.shunt_capacitor(1 / (omega * reactance_ohm)) ** LINE.shunt_inductor(reactance_ohm / omega)


def stages(loaded_q, circuits):
    """Resonators with an amplifier between each two that reflects nothing and passes nothing backwards."""
    network = resonator(loaded_q)
    for _ in range(circuits - 1):
        amplifier = LINE.match(nports=2)
        amplifier.s[:, 1, 0] = 10
        network = network**amplifier ** resonator(loaded_q)
    return network


def assert_tuned_circuits(sweep, *, circuits, loaded_q):
    assert sweep.frequency_hz.tolist() == SWEPT_HZ.tolist()
    expected = tuned_circuit_db(SWEPT_HZ.astype(float), circuits=circuits, loaded_q=loaded_q)
    assert np.abs(sweep.loss_db - expected).max() < TENTH_DB
    between = np.linspace(88 * MHZ, 130 * MHZ, 1777)
    expected = tuned_circuit_db(between, circuits=circuits, loaded_q=loaded_q)
    assert np.abs(sweep.at(between) - expected).max() < TENTH_DB


@pytest.mark.parametrize("circuits", [1, 2, 3])
@pytest.mark.parametrize("form", ["db", "ma", "ri"])
def test_tuned_circuits_of_scikit_rf_lose_what_the_closed_form_says(tmp_path, circuits, form):
    # The way back through the amplifier is nothing, minus infinity in decibels.
    with np.errstate(divide="ignore"):
        stages(30, circuits).write_touchstone("front_end", dir=tmp_path, form=form)
    sweep = load_sweep(tmp_path / "front_end.s2p")
    assert_tuned_circuits(sweep, circuits=circuits, loaded_q=30)
    assert sweep.remarks == ()


@pytest.mark.parametrize("circuits", [1, 2, 3])
def test_band_passes_of_scipy_lose_what_the_closed_form_says(circuits):
    omega = 2 * np.pi * TUNED_HZ
    band_pass = scipy.signal.TransferFunction([omega / 30, 0], [1, omega / 30, omega**2])
    _, gain = scipy.signal.freqresp(band_pass, 2 * np.pi * SWEPT_HZ)
    gain_db = 20 * circuits * np.log10(np.abs(gain))
    rows = [f"{hertz:.6E};{level:.3f}" for hertz, level in zip(SWEPT_HZ, gain_db, strict=True)]
    sweep = read("Frequency (Hz);S21 (dB)\n" + "\n".join(rows))
    assert_tuned_circuits(sweep, circuits=circuits, loaded_q=30)


def test_s21_is_told_from_the_other_three():
    sweep = read(
        "# MHz S DB R 50\n98 -1 0 -2 10 -3 20 -4 30\n99 -1 0 -7 0 -9 0 -4 0\n100 -9 0 -4 0 -9 0 -9 0\n",
        "a.S2P",
    )
    assert sweep.loss_db == pytest.approx([0, 5, 2])


def test_one_port_is_read_with_a_remark():
    sweep = read("! scalar\n# kHz S DB R 75\n0 0 0\n531 -9 0\n540 -1 0 ! top\n549 -9 0\n", "a.s1p")
    assert sweep.frequency_hz.tolist() == [531_000, 540_000, 549_000]  # The point at 0 Hz is dropped.
    assert sweep.loss_db == pytest.approx([8, 0, 8])
    assert sweep.remarks == ("one port: its trace taken as a transmission, as scalar instruments save it",)


def test_without_an_option_line_the_format_lays_down_ghz_and_magnitude():
    sweep = read("0.098 1 0\n0.099 0.1 0\n0.1 0.01 0\n", "a.s1p")
    assert sweep.frequency_hz.tolist() == [98 * MHZ, 99 * MHZ, 100 * MHZ]
    assert sweep.loss_db == pytest.approx([0, 20, 40])
    assert any("no option line" in remark for remark in sweep.remarks)


def test_zero_counts_as_three_hundred_decibels():
    sweep = read("# MHz S RI R 50\n98 1 0\n99 0 0\n100 0 1\n", "a.s1p")
    assert sweep.loss_db == pytest.approx([0, 300, 0])


def test_minus_infinity_decibels_are_nothing():
    sweep = read("# MHz S DB R 50\n98 -1 0\n99 -inf 0\n100 -2 0\n", "a.s1p")
    assert sweep.loss_db == pytest.approx([0, 299, 1])


def test_noise_parameters_and_version_2_are_understood():
    data = "98 0 0 -1 0 0 0 0 0\n99 0 0 -2 0 0 0 0 0\n100 0 0 -3 0 0 0 0 0\n"
    noise = "90 1 0.5 20 0.3\n100 1 0.5 20 0.3\n"
    second = (
        "[Version] 2.0\n# MHz S DB R 50\n[Number of Ports] 2\n[Two-Port Data Order] 21_12\n"
        f"[Number of Frequencies] 3\n[Reference]\n50 50\n[Network Data]\n{data}[End]\n"
    )
    for text in (f"# MHz S DB R 50\n{data}{noise}", second):
        assert read(text, "a.s2p").loss_db == pytest.approx([0, 1, 2])


def test_remarks_in_a_touchstone_file_are_never_read_as_data():
    remarks = "! Port[999999999] = x\n! Gamma 1 2\n! Port Impedance abc\n"
    assert len(read(f"{remarks}# MHz S DB R 50\n98 0 0\n99 0 0\n{remarks}100 1 0\n", "a.s1p").loss_db) == 3


def test_a_pickle_is_never_run(tmp_path):
    trap = b"cos\nsystem\n(S'touch " + str(tmp_path / "sprung").encode() + b"'\ntR."
    with pytest.raises(SweepError):
        load_sweep(save(tmp_path, trap, "a.s2p"))
    assert not (tmp_path / "sprung").exists()


@pytest.mark.parametrize(("name", "loads"), [("a.s1p", True), ("a.csv", False)])
def test_scikit_rf_is_imported_only_for_touchstone_and_prints_nothing(tmp_path, name, loads):
    content = {"a.s1p": "# MHz S DB R 50\n98 0 0\n99 0 0\n100 1 0\n", "a.csv": "98,0\n99,1\n100,2\n"}[name]
    code = (
        "import sys; from freqplan.sweeps import load_sweep; load_sweep(sys.argv[1])\n"
        f"assert ('skrf' in sys.modules) is {loads}"
    )
    words = [sys.executable, "-c", code, save(tmp_path, content, name)]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, timeout=60, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")


def test_scikit_rf_keeps_quiet(capfd):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        read("# MHz S RI R 50\n98 0 0\n98 0 0\n99 1 0\n100 1 0\n", "a.s1p")
        with pytest.raises(SweepError):
            read("# MHz S DB R 50\n98 9e99 0\n99 9E+99 0\n100 1 0\n", "b.s1p")
    assert capfd.readouterr() == ("", "")


def test_without_scikit_rf_the_message_tells_of_the_extra(tmp_path, monkeypatch):
    path = save(tmp_path, "# MHz S DB R 50\n98 0 0\n99 0 0\n100 1 0\n", "front_end.s1p")
    monkeypatch.setitem(sys.modules, "skrf", None)
    with pytest.raises(MissingExtraError) as caught:
        load_sweep(path)
    assert str(caught.value) == (
        f"{path}: reading Touchstone files needs scikit-rf; install freqplan[touchstone], "
        "or save the sweep as a two-column CSV"
    )
    assert isinstance(caught.value, FreqplanError)
    assert isinstance(caught.value, ImportError)
    assert len(load_sweep(save(tmp_path, "98,0\n99,1\n100,2\n")).loss_db) == 3


# --- bad input ---

POINT = "98 0 0 -1 0 0 0 0 0\n99 0 0 -2 0 0 0 0 0\n100 0 0 -3 0 0 0 0 0\n"
OPTIONS = "# MHz S DB R 50\n"


@pytest.mark.parametrize(
    ("content", "line", "found", "what", "hint"),
    [
        ("", None, "", "the file is empty", "Touchstone"),
        ("! nothing\n" + OPTIONS, None, "", "no points", "8 numbers"),
        (OPTIONS + POINT + "101,5 0 0 -3 0 0 0 0 0\n", 5, "101,5", "decimal comma", "with a point"),
        (OPTIONS + "98,1 -3,2\n" + POINT, 2, "98,1", "decimal comma", "with a point"),
        (OPTIONS + POINT + "101 0 0 x 0 0 0 0 0\n", 5, "x", "not a number", "begin with !"),
        (OPTIONS + POINT + "101 0 0 nan 0 0 0 0 0\n", 5, "nan", "not a finite number", "delete the line"),
        (OPTIONS + POINT + "-inf 0 0 0 0 0 0 0 0\n", 5, "-inf", "not a finite number", "delete the line"),
        (OPTIONS + POINT + "101 0 0 inf 0 0 0 0 0\n", 5, "inf", "not a finite number", "delete the line"),
        ("# MHz S RI R 50\n" + POINT + "101 0 0 -inf 0 0 0 0 0\n", 5, "inf dB", "beyond 300 dB", "check"),
        (OPTIONS + POINT + "101 0 0\n", 5, "101 0 0", "3 numbers", "9 numbers"),
        (OPTIONS + "98 0 0\n99 0 0\n100 0 0\n", 2, "98 0 0", "3 numbers", "9 numbers"),
        (OPTIONS + POINT + "97 0 0 -3 0 0 0 0 0\n", 5, "97", "lower than the frequency before", "sort"),
        (OPTIONS + "-98 0 0 0 0 0 0 0 0\n" + POINT, 2, "-98000000 Hz", "negative frequency", "option line"),
        (OPTIONS + POINT + "1e300 0 0 0 0 0 0 0 0\n", 5, "1e+306 Hz", "above 300 GHz", "option line"),
        (OPTIONS + POINT + "101 0 0 400 0 0 0 0 0\n", 5, "400 dB", "beyond 300 dB", "check the number"),
        (OPTIONS + POINT + "100 0 0 -9 0 0 0 0 0\n", 5, "100 MHz", "the frequency of line 4", "keep one"),
        ("! x\n# MHz S QQ R 50\n" + POINT, 2, "", "not readable as Touchstone", "option line"),
        ("# furlong S DB R 50\n" + POINT, 1, "", "not readable as Touchstone", "option line"),
        ("# MHz S DB R x\n" + POINT, 1, "", "not readable as Touchstone", "option line"),
        (OPTIONS + "[Number of Ports] 900000\n" + POINT, 2, "900000", "another number of ports", ".s2p"),
        (OPTIONS + "[Matrix Format] Lower\n" + POINT, 2, "[matrix format] lower", "half", "full matrix"),
        (
            "[Version] 2.0\n" + OPTIONS + "[Network Data]\n" + POINT + "[End]\n" + POINT,
            None,
            "",
            "outside",
            "delete",
        ),
        (OPTIONS + "98 0 0 -1 0 0 0 0 0\n", None, "1", "a sweep needs at least 3 points", "measure more"),
        ("# MHz S RI R 50\n98 1 0 0 0 0 0 0 0\n", None, "", "nothing comes through", "S12"),
        (b"# MHz\n\0", None, "", "not a text file", "CSV"),
        ("!" * (LARGEST_SWEEP + 1), None, "", "larger than 5 MB", "fewer points"),
    ],
)
def test_bad_touchstone_is_told_with_its_place_and_how_to_mend_it(content, line, found, what, hint):
    fault = next(fault for fault in faults(content, "front_end.s2p") if what in fault.what)
    assert (fault.line, fault.found) == (line, found)
    assert hint in fault.hint


def test_more_ports_than_two_are_refused():
    assert "more ports" in faults("98 0 0\n", "front_end.s4p")[0].what
