"""Sums of stations before an independent judge: sampled devices and a Fourier transform.

An RF stage of the third order gets two or three tones, and a square-law mixer two tones and the oscillator.  Lines
must stand on the frequencies that the program names and nowhere else, as strong as it says against the wanted path.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from product_model import TAKEN
from scipy.fft import rfft

from freqplan import Band, Conversion, FrontEnd, Mixer, Orders, Plan, RfStage, StationList, levels_of, survey

BIN_HZ = 100_000
SAMPLES = 1 << 13
"""One record: twice the third order of 130 MHz and the oscillator stay far below half the sampling rate of 819 MHz."""

TENTH_DB = 0.1
A, B, C = 98_900_000, 100_700_000, 95_200_000
IF_HZ = 10_700_000
OHM = 75.0


def peak_volt(dbuv):
    return 10 ** (dbuv / 20) * 1e-6 * math.sqrt(2)


def dbuv_of_peak(volt):
    return 20 * math.log10(volt / math.sqrt(2) / 1e-6)


def dbm_of_peak(volt):
    """Power of a sine in the impedance of the set."""
    return 10 * math.log10(volt**2 / 2 / OHM / 1e-3)


def tones(hertz, volts):
    # Phases of no meaning, so that no two lines of one frequency add up by chance.
    turn = 2 * np.pi / SAMPLES * np.arange(SAMPLES)
    parts = [
        volt * np.cos(hz // BIN_HZ * turn + 0.7 * place + 0.1)
        for place, (hz, volt) in enumerate(zip(hertz, volts, strict=True))
    ]
    return np.sum(parts, axis=0)


def lines(wave):
    return 2 * np.abs(rfft(wave)) / SAMPLES


def plan_of(**more):
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000, raster_hz=BIN_HZ),
        conversion=(Conversion(intermediate_hz=IF_HZ, oscillator="high"),),
        front_end=FrontEnd(gain_db=0.0, impedance_ohm=OHM),
        orders=Orders(signal=3, oscillator=2),
        **more,
    )


# --- the RF stage -------------------------------------------------------------------------------

SECOND, THIRD = 0.5, 4.0
"""i = v + SECOND v^2 + THIRD v^3, v in volts: some 0.01 V of signal leave the straight part alone within 0.01 dB."""


def rf_stage():
    # Two tones of a volt each: SECOND a^2 equals a at a = 1/SECOND; 3/4 THIRD a^3 equals a at a^2 = 4/(3 THIRD).
    return RfStage(iip2_dbm=dbm_of_peak(1 / SECOND), iip3_dbm=dbm_of_peak(math.sqrt(4 / (3 * THIRD))))


@pytest.mark.parametrize("stations_hz", [(A, B), (A, B, C)])
def test_an_rf_stage_of_third_order_makes_the_lines_that_are_named(stations_hz):
    dbuv = [78.0, 75.0, 72.0][: len(stations_hz)]
    wave = tones(stations_hz, map(peak_volt, dbuv))
    found = lines(wave + SECOND * wave**2 + THIRD * wave**3)
    stations = StationList.from_frequencies(stations_hz, level_dbuv=dbuv)
    rows = [
        row
        for row in survey(plan_of(rf_stage=rf_stage()), stations, every_product=True).products.rows()
        if row["lands_on"] == "dial" and row["mechanism"] == "third-order"
    ]
    named = {int(row["frequency_hz"]) // BIN_HZ: row for row in rows}
    assert len(named) == len(rows) == (2 if len(stations_hz) == 2 else 6 + 3 - absent(stations_hz))
    for place, row in named.items():
        assert dbuv_of_peak(found[place]) == pytest.approx(row["level_dbuv"], abs=TENTH_DB), row
    band = range(87_500_000 // BIN_HZ, 108_000_000 // BIN_HZ + 1)
    assert {place for place in band if found[place] > 1e-9} == set(named) | {
        hz // BIN_HZ for hz in stations_hz
    }


def absent(hertz):
    """Sums outside the band, counted by hand from the frequencies."""
    sums = [2 * a - b for a in hertz for b in hertz if a != b]
    sums += [sum(hertz) - 2 * c for c in hertz]
    return sum(not 87_500_000 <= each <= 108_000_000 for each in sums)


@pytest.mark.parametrize("kind", TAKEN)
def test_the_levels_of_an_rf_stage(kind):
    hertz, dbuv = (A, B, C)[: len(TAKEN[kind])], (78.0, 75.0, 72.0)[: len(TAKEN[kind])]
    wave = tones(hertz, map(peak_volt, dbuv))
    found = lines(wave + SECOND * wave**2 + THIRD * wave**3)
    product_hz = abs(sum(count * hz for count, hz in zip(TAKEN[kind], hertz, strict=True)))
    level = levels_of(plan_of(rf_stage=rf_stage())).rf_stage_product_dbuv(
        TAKEN[kind], hertz, dbuv, product_hz=product_hz, dial_hz=product_hz, n=1
    )
    assert dbuv_of_peak(found[product_hz // BIN_HZ]) == pytest.approx(float(level), abs=TENTH_DB)


# --- the mixer ----------------------------------------------------------------------------------

DRIVE = 1.0


def mixer_lines(device, dial_hz, hertz, dbuv):
    """Lines behind a device that gets stations and the oscillator."""
    return lines(device(tones([*hertz, dial_hz + IF_HZ], [*map(peak_volt, dbuv), DRIVE])))


def on_if_of_wanted(device, dial_hz, dbuv):
    """The line that a wanted station of some level makes on the IF."""
    return mixer_lines(device, dial_hz, [dial_hz], [dbuv])[IF_HZ // BIN_HZ]


def square(volt):
    return volt**2


def test_a_square_law_mixer_makes_the_difference_of_two_stations_on_the_if():
    a, b = 101_900_000, 91_200_000
    dial_hz = 95_000_000
    found = mixer_lines(square, dial_hz, (a, b), (100.0, 94.0))[IF_HZ // BIN_HZ]
    plan = plan_of(mixer=Mixer(kind="square-law", oscillator_drive=DRIVE))
    stations = StationList.from_frequencies([a, b], level_dbuv=[100.0, 94.0])
    rows = list(survey(plan, stations).products.rows())
    (row,) = [row for row in rows if row["mechanism"] == "if-spaced-pair"]
    wanted = on_if_of_wanted(square, dial_hz, row["level_dbuv"])
    assert 20 * math.log10(found / wanted) == pytest.approx(0, abs=TENTH_DB)
    # Moved by one line the IF is empty.
    assert mixer_lines(square, dial_hz, (a + BIN_HZ, b), (100.0, 94.0))[IF_HZ // BIN_HZ] < 1e-9


def test_a_fourth_power_makes_the_half_if_response_of_two_stations():
    coefficients = (0.0, 0.0, 1.0, 0.0, 0.3)
    device = lambda volt: sum(c * volt**k for k, c in enumerate(coefficients))  # noqa: E731
    # A + B = 2 fL - fI, with the dial on 98.0 and so the oscillator on 108.7: 206.7 MHz.
    dial_hz, a, b = 98_000_000, 101_300_000, 105_400_000
    plan = plan_of(mixer=Mixer(kind="polynomial", oscillator_drive=DRIVE, coefficients=coefficients))
    stations = StationList.from_frequencies([a, b], level_dbuv=[95.0, 90.0])
    rows = [row for row in survey(plan, stations).products.rows() if row["mechanism"] == "pair-half-if"]
    (row,) = [row for row in rows if row["dial_hz"] == dial_hz]
    level = levels_of(plan).mixer_product_dbuv((1, 1), (a, b), (95.0, 90.0), n=2, dial_hz=dial_hz)
    found = mixer_lines(device, dial_hz, (a, b), (95.0, 90.0))[IF_HZ // BIN_HZ]
    wanted = on_if_of_wanted(device, dial_hz, float(level))
    assert 20 * math.log10(found / wanted) == pytest.approx(0, abs=TENTH_DB)
    assert row["level_dbuv"] == pytest.approx(float(level), abs=1e-9)
    assert mixer_lines(device, dial_hz, (a + BIN_HZ, b), (95.0, 90.0))[IF_HZ // BIN_HZ] < 1e-9
