"""The laws of the mixer, before a Fourier transform of the sampled device and before published values.

Lines are told apart by their place: the signal is the first line of the record, the oscillator the 64th, so
that the product of the m-th and the n-th harmonic is line 64 n + m (sum) and 64 n - m (difference).
"""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.fft import fftn, rfft
from scipy.special import ive

from freqplan.mixers import THERMAL_VOLT, reference_dbuv, suppressions_db
from freqplan.plan import HIGHEST_ORDER, Mixer, Suppression

TENTH_DB = 0.1
EXACT_DB = 1e-7
ROUNDING = 1e-14
"""Share of the strongest line; rounding leaves some 1e-16 of it on every other line."""

OWN_LINE = 64
HIGHEST = 4
PAIRS = list(product(range(1, HIGHEST + 1), range(HIGHEST + 1)))
WEAK = 0.05
"""Peak of a small signal: the next power of it adds some 0.0003."""


def suppression_db(mixer, m, n):
    (below,) = suppressions_db(mixer, np.array([m]), np.array([n]))
    return float(below)


def known_products(mixer):
    """Return the (m, n), m from 1 and n from 0, whose level is a number."""
    pairs = list(product(range(1, HIGHEST_ORDER + 1), range(HIGHEST_ORDER + 1)))
    below = suppressions_db(mixer, *np.array(pairs).T)
    return {pair for pair, db in zip(pairs, below.tolist(), strict=True) if not math.isnan(db)}


def decibel(ratio):
    return 20 * math.log10(ratio)


# The judge: a sampled device and a Fourier transform


def spectrum(output, signal, samples=8192):
    """Amplitude of every line behind a device, `output` being a function of its two sampled phases."""
    turn = (np.arange(samples) + 0.5) / samples
    return 2 * abs(rfft(output(signal * np.cos(2 * np.pi * turn), turn * OWN_LINE))) / samples


def judged_db(lines, m, n):
    """Return the product's distance below (1, 1), sum and difference alike; None where there is no such line."""
    places = {OWN_LINE * n + m, abs(OWN_LINE * n - m)}
    amplitudes = [float(lines[place]) for place in places]
    assert amplitudes == pytest.approx([amplitudes[0]] * len(places), rel=1e-4, abs=ROUNDING * lines.max())
    if amplitudes[0] < ROUNDING * lines.max():
        return None
    return decibel(lines[OWN_LINE + 1] / amplitudes[0])


def driven(law, drive):
    """Put the two voltages in series on a device."""
    return lambda signal, turns: law(signal + drive * np.cos(2 * np.pi * turns))


def assert_judged(mixer, lines, signal):
    """Compare every product, its level taken from the reference of one unit to the `signal` at hand."""
    seen = 0
    for m, n in PAIRS:
        found, law = judged_db(lines, m, n), suppression_db(mixer, m, n)
        if math.isnan(law):
            assert found is None, (m, n)
        else:
            assert found == pytest.approx(law - (m - 1) * decibel(signal), abs=TENTH_DB), (m, n)
            seen += 1
    return seen


@pytest.mark.parametrize("drive", [0.5, 1.0, 2.0, 5.0])
def test_exponential_device_before_the_judge(drive):
    mixer = Mixer(kind="exponential", oscillator_drive=drive)
    assert assert_judged(mixer, spectrum(driven(np.exp, drive), WEAK), WEAK) == len(PAIRS)


@given(st.integers(1, 20), st.sampled_from([1.0, 2.0, 5.0]))
def test_a_product_moves_m_decibels_per_decibel_of_signal(step_db, drive):
    weaker, stronger = 0.02, 0.02 * 10 ** (step_db / 20)
    mixer = Mixer(kind="exponential", oscillator_drive=drive)
    weak, strong = (spectrum(driven(np.exp, drive), signal) for signal in (weaker, stronger))
    for m, n in PAIRS:
        rise_db = decibel(strong[OWN_LINE * n + m] / weak[OWN_LINE * n + m])
        assert rise_db == pytest.approx(m * step_db, abs=TENTH_DB), (m, n)
    assert assert_judged(mixer, strong, stronger) == len(PAIRS)


@pytest.mark.parametrize("drive", [0.1, 1.0, 3.0])
@pytest.mark.parametrize("linear", [0.0, 0.7])
def test_square_law_before_the_judge(drive, linear):
    lines = spectrum(driven(lambda v: linear * v + v**2, drive), WEAK)
    mixer = Mixer(kind="square-law", oscillator_drive=drive)
    assert judged_db(lines, 2, 0) == pytest.approx(suppression_db(mixer, 2, 0) - decibel(WEAK), abs=TENTH_DB)
    assert suppression_db(mixer, 2, 0) == pytest.approx(decibel(2 * drive), abs=EXACT_DB)
    # What the law calls unknown is not there either, the linear part (which is no part of it) excepted.
    seen = {pair for pair in PAIRS if judged_db(lines, *pair) is not None}
    assert known_products(mixer) == seen - {(1, 0)} == {(1, 1), (2, 0)}


# 4608 samples to a period of the oscillator: the edges of the waves below fall between two samples exactly.
SAMPLES_PER_PERIOD = 4608


@pytest.mark.parametrize("unbalance", [0, 1 / 32, 1 / 8, 1 / 3, 1 / 2, 3 / 4])
def test_switching_before_the_judge(unbalance):
    def switch(signal, turns):
        return signal * np.where(turns % 1 < (1 + unbalance) / 2, 1.0, -1.0)

    mixer = Mixer(kind="switching", unbalance=unbalance)
    lines = spectrum(switch, WEAK, samples=OWN_LINE * SAMPLES_PER_PERIOD)
    vanishing = {0: (0, 2, 4), 1 / 3: (3,), 1 / 2: (4,)}.get(unbalance, ())
    assert assert_judged(mixer, lines, WEAK) == HIGHEST + 1 - len(vanishing)
    assert all(math.isnan(suppression_db(mixer, 1, n)) for n in vanishing)


PHASES, SIGNAL_SAMPLES, OWN_SAMPLES = 32, 32, 128


def lowest_powers(law, drive):
    """Amplitude of the (m, n) line in the m-th power of the signal alone, as an array over (m, n).

    The signal's amplitude goes once round the unit circle of complex numbers: a third Fourier transform, over
    its phase, then takes the powers of it apart (Cauchy's integral), so that no signal need be small.
    """

    def turns(count):
        return np.exp(2j * np.pi * np.arange(count) / count)

    amplitude = turns(PHASES)[:, None, None]
    signal, own = turns(SIGNAL_SAMPLES).real[:, None], turns(OWN_SAMPLES).real
    lines = fftn(law(amplitude * signal + drive * own), norm="forward")
    m, n = np.meshgrid(np.arange(HIGHEST + 1), np.arange(HIGHEST + 1), indexing="ij")
    return 2 * abs(lines[m, m, n])


def assert_lowest_powers(mixer, lines):
    for m, n in set(PAIRS) - {(1, 1)}:
        law = suppression_db(mixer, m, n)
        if math.isnan(law):
            assert min(lines[m, n], lines[1, 1]) <= ROUNDING * lines.max(), (m, n)
        else:
            assert law == pytest.approx(decibel(lines[1, 1] / lines[m, n]), abs=EXACT_DB), (m, n)


@pytest.mark.parametrize("drive", [0.5, 1.0, 2.0, 5.0])
def test_exponential_law_is_exact_in_the_lowest_power(drive):
    assert_lowest_powers(Mixer(kind="exponential", oscillator_drive=drive), lowest_powers(np.exp, drive))


# Tenths, so that terms cancel either on paper or not nearly.
tenths = st.integers(-30, 30).map(lambda tenth: tenth / 10)


@given(st.lists(tenths, min_size=1, max_size=9), st.integers(1, 20))
def test_polynomial_before_the_judge(coefficients, drive_tenths):
    drive = drive_tenths / 10
    mixer = Mixer(kind="polynomial", oscillator_drive=drive, coefficients=tuple(coefficients))
    assert_lowest_powers(mixer, lowest_powers(np.polynomial.Polynomial(coefficients), drive))


def test_polynomial_by_plain_sampling():
    coefficients = (0.1, 1.0, -0.6, 0.4, 0.3, -0.2, 0.1, 0.05, 0.02)
    mixer = Mixer(kind="polynomial", oscillator_drive=0.8, coefficients=coefficients)
    lines = spectrum(driven(np.polynomial.Polynomial(coefficients), 0.8), WEAK / 10)
    assert assert_judged(mixer, lines, WEAK / 10) == len(PAIRS)


# Abramowitz & Stegun, Handbook of Mathematical Functions, ch. 9 (modified Bessel functions): exact.
@pytest.mark.parametrize(
    ("drive", "first", "second", "third"),
    [(1.0, 0.89278, 0.21444, 0.03502), (2.0, 1.39555, 0.60445, 0.18665), (5.0, 1.78677, 1.28529, 0.75853)],
)
def test_harmonics_of_an_exponential_device_against_its_mean(drive, first, second, third):
    mixer = Mixer(kind="exponential", oscillator_drive=drive)
    below = [suppression_db(mixer, 1, n) for n in range(4)]
    own = [2 * 10 ** ((below[0] - one) / 20) for one in below[1:]]
    assert own == pytest.approx([first, second, third], abs=0.000006)


@pytest.mark.parametrize("drive", [0.01, 0.1, 0.5, 1.0, 3.7, 10.0, 33.0, 100.0, 316.0, 1000.0])
def test_ratios_of_bessel_functions_for_any_drive(drive):
    mixer, orders = Mixer(kind="exponential", oscillator_drive=drive), np.arange(HIGHEST_ORDER + 1)
    expected = 20 * np.log10(ive(1, drive) / ive(orders, drive))
    assert suppressions_db(mixer, np.ones_like(orders), orders) == pytest.approx(expected, abs=EXACT_DB)


# Fourier series of a square wave, exact: harmonics as 1/n, no even ones.
@pytest.mark.parametrize("unbalance", [None, 0.0])
def test_harmonics_of_an_ideal_switch(unbalance):
    mixer = Mixer(kind="switching", unbalance=unbalance)
    below = [suppression_db(mixer, 1, n) for n in (3, 5, 7)]
    assert below == pytest.approx([9.542, 13.979, 16.902], abs=0.0006)
    assert known_products(mixer) == {(1, n) for n in range(1, HIGHEST_ORDER + 1, 2)}


@pytest.mark.parametrize("drive", [0.3, 1.0, 4.0])
def test_the_exponential_as_a_polynomial_differs_by_its_reference_alone(drive):
    coefficients = tuple(1 / (math.factorial(k) * THERMAL_VOLT**k) for k in range(50))
    volts = Mixer(kind="polynomial", oscillator_drive=drive * THERMAL_VOLT, coefficients=coefficients)
    exponential = Mixer(kind="exponential", oscillator_drive=drive)
    apart_db = reference_dbuv(volts, 75) - reference_dbuv(exponential, 75)
    assert apart_db == pytest.approx(-decibel(THERMAL_VOLT), abs=EXACT_DB)
    for m, n in PAIRS:
        moved = suppression_db(exponential, m, n) - (m - 1) * apart_db
        assert suppression_db(volts, m, n) == pytest.approx(moved, abs=EXACT_DB), (m, n)


# Peak voltages: k T/e at 300 K with k = 1.380649e-23 J/K and e = 1.602176634e-19 C (exact: SI, 2019) is
# 25.852 mV, as rms 85.240 dB(uV); 1 V is 116.990.
@pytest.mark.parametrize(
    ("kind", "dbuv"),
    [("exponential", 85.240), ("square-law", 116.990), ("polynomial", 116.990), ("switching", math.nan)],
)
def test_the_reference_of_a_law_belongs_to_the_device(kind, dbuv):
    own = [reference_dbuv(Mixer(kind=kind), impedance_ohm) for impedance_ohm in (50, 75)]
    assert own == pytest.approx([dbuv, dbuv], abs=0.0006, nan_ok=True)


# What was measured, what is unknown


def test_a_measured_table_is_given_back_whichever_the_sign_of_n():
    rows = (Suppression(m=2, n=2, db=55), Suppression(m=1, n=3, db=-1.5), Suppression(m=25, n=25, db=130))
    mixer = Mixer(kind="measured", reference_dbm=0.0, suppression=rows)
    m, n = np.array([2, 2, 1, 1, 25, 1, 3, 0]), np.array([2, -2, 3, -3, -25, -1, 3, 1])
    expected = [55, 55, -1.5, -1.5, 130, 0, math.nan, math.nan]
    assert suppressions_db(mixer, m, n) == pytest.approx(expected, nan_ok=True, abs=EXACT_DB)
    assert known_products(mixer) == {(1, 1), (2, 2), (1, 3), (25, 25)}


@pytest.mark.parametrize(("impedance_ohm", "dbuv"), [(50, 106.99), (75, 108.75)])
def test_the_reference_of_a_measured_table(impedance_ohm, dbuv):
    mixer = Mixer(kind="measured", reference_dbm=0.0)
    assert reference_dbuv(mixer, impedance_ohm) == pytest.approx(dbuv, abs=0.005)
    none = [reference_dbuv(Mixer(kind=kind), impedance_ohm) for kind in ("measured", "unknown")]
    assert all(map(math.isnan, none))


UNKNOWN = [
    Mixer(),
    Mixer(kind="measured"),
    Mixer(kind="exponential"),
    Mixer(kind="square-law"),
    Mixer(kind="polynomial", oscillator_drive=1.0),
    Mixer(kind="polynomial", coefficients=(0.0, 1.0, 0.2)),
    Mixer(kind="polynomial", oscillator_drive=1.0, coefficients=(5.0, 1.0)),
    # (1, 1) is 0.3 b - 1.5 * 0.2 b^3, on paper zero for b = 1; in floats it need not be.
    Mixer(kind="polynomial", oscillator_drive=1.0, coefficients=(0.0, 1.0, 0.3, 0.3, -0.2)),
    Mixer(kind="switching", unbalance=1.0),  # never opens
]


@pytest.mark.parametrize("mixer", UNKNOWN)
def test_what_is_unknown_stays_unknown(mixer):
    assert known_products(mixer) == {(1, 1)}


rows = st.builds(Suppression, m=st.integers(2, 25), n=st.integers(0, 25), db=st.floats(-300, 300))
numbers = st.floats(allow_nan=False, allow_infinity=False)
mixers = st.builds(
    Mixer,
    kind=st.sampled_from(["measured", "exponential", "square-law", "switching", "polynomial", "unknown"]),
    reference_dbm=st.none() | st.floats(-300, 100),
    suppression=st.lists(rows, max_size=4).map(tuple),
    oscillator_drive=st.none() | st.floats(0, 1000, exclude_min=True),
    unbalance=st.none() | st.floats(0, 1),
    coefficients=st.none() | st.lists(numbers, max_size=60).map(tuple),
)


@given(mixers, st.floats(1, 10_000))
@example(Mixer(kind="exponential", oscillator_drive=5e-324), 75.0)
@example(Mixer(kind="polynomial", oscillator_drive=5e-324, coefficients=(0.0, 1.0, 5e-324, -1e308)), 75.0)
def test_nothing_is_ever_infinite(mixer, impedance_ohm):
    m, n = (grid.ravel() for grid in np.meshgrid(np.arange(26), np.arange(-25, 26), indexing="ij"))
    below = suppressions_db(mixer, m, n)
    assert below.shape == m.shape
    assert np.isnan(below[m == 0]).all()
    assert not np.isinf(below).any()
    assert (below[(m == 1) & (abs(n) == 1)] == 0).all()
    assert np.array_equal(below, suppressions_db(mixer, m, -n), equal_nan=True)
    assert not math.isinf(reference_dbuv(mixer, impedance_ohm))
