"""The engine before an independent judge: a sampled non-linear mixer and a Fourier transform.

An exponential device gets the oscillator and one signal on a frequency the engine names.  A line must stand
on the IF, as strong as the modified Bessel functions say, and go when the signal is moved away.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy.fft import rfft
from scipy.special import iv

from freqplan import Band, Conversion, Orders, Plan, channel

BIN_HZ = 10_000
"""Distance of two Fourier lines.  Dial and IF are multiples of 12 of them, so that fX is whole for m up to 4."""

SIGNAL, OSCILLATOR = 1.5, 1.5
"""Amplitudes in units of the thermal voltage."""

MOVED_HZ = 370_000
NOISE = 1e-11
"""Rounding leaves lines of some 1e-15 beside a direct current of about 2.7; aliases of high order stay below this."""

WEAKEST = 1e-5
SAMPLES = (131_072, 131_220, 139_968, 147_456, 150_000, 160_000)
HIGHEST_ALIAS = 14
ONE_PERCENT = 0.01

# Dial [Hz], IF [Hz]: the same FM set either way, and an up-converting short-wave set, which has rows with n < 0.
SETS = {
    "high": (97_800_000, 10_800_000),
    "low": (97_800_000, 10_800_000),
    "sum": (6_000_000, 44_760_000),
}
WANTED = {"high": (1, 1, 1), "low": (1, 1, -1), "sum": (1, -1, -1)}


def plan_of(side):
    dial_hz, intermediate_hz = SETS[side]
    return Plan(
        band=Band(low_hz=dial_hz - 2_000_000, high_hz=dial_hz + 2_000_000),
        conversion=(Conversion(intermediate_hz=intermediate_hz, oscillator=side),),
        orders=Orders(signal=4, oscillator=4),
    )


@cache
def predicted(side):
    """Every (m, n, e) with its signal frequency at the dial setting, as the engine has it; the wanted one too."""
    dial_hz = SETS[side][0]
    rows = channel(plan_of(side), dial_hz).responses.rows()
    named = {(row["m"], row["n"], row["e"]): row["response_hz"] for row in rows}
    return named | {WANTED[side]: dial_hz}


def in_bins(frequency_hz):
    bins, left = divmod(frequency_hz, BIN_HZ)
    assert left == 0
    return int(bins)


def others_on_the_if(signal, own, wanted_if, samples):
    """Harmonics (p, q) whose sum p*signal + q*own falls on the IF, sampling included."""
    p = np.arange(0, HIGHEST_ALIAS + 1)[:, None]
    q = np.arange(-HIGHEST_ALIAS, HIGHEST_ALIAS + 1)[None, :]
    place = (p * signal + q * own) % samples
    hits = np.argwhere((place == wanted_if) | (place == samples - wanted_if))
    return {
        (int(row), int(column) - HIGHEST_ALIAS) for row, column in hits if (row, column) != (0, HIGHEST_ALIAS)
    }


def samples_for(signal, moved, own, wanted_if, m, n):
    """A length of record for which nothing but the product looked for falls on the IF."""
    for samples in SAMPLES:
        expected = {(m, -n), (m, n)} & others_on_the_if(signal, own, wanted_if, samples)
        if (
            others_on_the_if(signal, own, wanted_if, samples) == expected
            and len(expected) == 1
            and not (others_on_the_if(moved, own, wanted_if, samples))
        ):
            return samples
    raise AssertionError("no length of record without accidental lines on the IF")


def line_on_the_if(signal, own, wanted_if, samples):
    """Amplitude of the line on the IF behind exp(a cos + b cos)."""
    t = np.arange(samples)
    turn = 2 * np.pi / samples
    current = np.exp(
        SIGNAL * np.cos(turn * (signal * t % samples)) + OSCILLATOR * np.cos(turn * (own * t % samples) + 0.3)
    )
    return 2 * abs(rfft(current)[wanted_if]) / samples


@pytest.mark.parametrize("side", SETS)
def test_every_response_puts_a_line_on_the_if_and_none_when_moved(side):
    dial_hz, intermediate_hz = SETS[side]
    own = in_bins(
        {"high": dial_hz + intermediate_hz, "low": dial_hz - intermediate_hz}.get(
            side, intermediate_hz - dial_hz
        )
    )
    wanted_if = in_bins(intermediate_hz)
    for (m, n, e), signal_hz in predicted(side).items():
        signal, moved = in_bins(signal_hz), in_bins(signal_hz + MOVED_HZ)
        samples = samples_for(signal, moved, own, wanted_if, m, n)
        line = line_on_the_if(signal, own, wanted_if, samples)
        law = 2 * iv(m, SIGNAL) * iv(abs(n), OSCILLATOR)
        assert line > WEAKEST, (m, n, e)
        assert line == pytest.approx(law, rel=ONE_PERCENT), (m, n, e)
        assert line_on_the_if(moved, own, wanted_if, samples) < NOISE, (m, n, e)


@pytest.mark.parametrize(("side", "rows"), [("high", 36), ("low", 36), ("sum", None)])
def test_the_judge_sees_every_pattern(side, rows):
    # m = 1 ... 4 times n = 0 (one sign of e) ... 4 (both): 4 + 32, wanted included.
    patterns = set(predicted(side))
    assert {(m, n, e) for m in range(1, 5) for n in range(1, 5) for e in (1, -1)} <= patterns | absent(side)
    assert {(m, 0, -1) for m in range(1, 5)} <= patterns
    if rows:
        assert len(patterns) == rows
    else:
        assert any(n < 0 for _, n, _ in patterns)


def absent(side):
    """Patterns with fX below zero: those with n*fL below the IF, taken the wrong way round."""
    dial_hz, intermediate_hz = SETS[side]
    own_hz = intermediate_hz - dial_hz if side == "sum" else dial_hz - intermediate_hz
    return {(m, n, 1) for m in range(1, 5) for n in range(1, 5) if n * own_hz < intermediate_hz}
