"""How strong the products of a mixer are: a measured table, or a law of the device that is exact on paper.

Every law is the small-signal one: the oscillator is as strong as the plan says, the signal so weak that its
m-th harmonic grows m dB per dB.  What a law says nothing of is unknown, NaN; so is a product that is exactly
zero on paper, because no real device is that even.  Nothing is ever infinite.

Notes
-----
A device i = sum of c_k v^k, driven by v = a cos(alpha) + b cos(beta), gives in the lowest power of a::

    line at m*alpha + n*beta, and at m*alpha - n*beta:
        2 (a/2)^m * sum over j of  c_(m+j) (m+j)! / (m! s! (s+n)!) * (b/2)^j,     j = n + 2s,  s = 0, 1, 2 ...

by the binomial theorem, used once for v^k and once for each power of a cosine.  The line at m*alpha alone is
the same with n = 0.  The square law and the exponential law are the cases v^2 and c_k = 1/k!; the latter's sums
are those of the modified Bessel functions, 2 (a/2)^m/m! * I_n(b).

References
----------
M. Abramowitz, I. A. Stegun (ed.), Handbook of Mathematical Functions, 9.6.10 (series of I_n) and 9.6.34
(exp(b cos) as a sum of harmonics).
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64, dbuv_of_dbm
from freqplan.hertz import Int64
from freqplan.plan_tables import HIGHEST_ORDER

if TYPE_CHECKING:
    from freqplan.plan_levels import Mixer, Suppression

BOLTZMANN_J_PER_K = 1.380649e-23
ELEMENTARY_CHARGE_C = 1.602176634e-19
"""Exact since 2019: BIPM, The International System of Units, 9th edition, table 1; CODATA 2018."""

DEVICE_KELVIN = 300
THERMAL_VOLT = BOLTZMANN_J_PER_K * DEVICE_KELVIN / ELEMENTARY_CHARGE_C
"""25.852 mV, the unit in which an exponential device counts its voltages."""

DBUV_OF_A_VOLT = 120.0
DB_PER_NEPER = 20 / math.log(10)

ZERO_ON_PAPER = 1e-9
"""A sum below this share of its terms is what rounding leaves of zero; floats are good to some 1e-13 here."""

_SHAPE = (HIGHEST_ORDER + 1, HIGHEST_ORDER + 1)


def suppressions_db(mixer: Mixer, m: Int64, n: Int64) -> Float64:
    """Return S(m, n): how far each product lies below the (1, 1) product, the signal being at the reference level.

    Parameters
    ----------
    mixer : Mixer
        What is known of the mixer.
    m, n : (k,) int64
        Harmonic of the signal, 1 to 25, and of the oscillator, -25 to 25; the sign of n makes no difference.

    Returns
    -------
    (k,) float64 [dB]
        0 for (1, 1), negative where a product is the stronger one, NaN where unknown.

    Notes
    -----
    A product moves m dB for one dB of signal, so S(m, n) moves (m - 1) dB the other way; `reference_dbuv` says
    from where.

    References
    ----------
    The laws of the devices: see the notes of this module.
    """
    below: Float64 = _suppression_table_db(mixer)[m, np.abs(n)]
    return below


def reference_dbuv(mixer: Mixer, impedance_ohm: float) -> float:
    """Return the signal level at the mixer for which `suppressions_db` holds.

    Parameters
    ----------
    mixer : Mixer
        What is known of the mixer.
    impedance_ohm : float [ohm]
        Of the mixer's input; turns the level of a measurement into a voltage.

    Returns
    -------
    float [dB(uV), rms]
        That of a peak of one thermal voltage for an exponential device, of one volt for a square law or a
        polynomial.  NaN where there is none; a switching mixer needs none, since it is linear in the signal.
    """
    if mixer.kind == "measured" and mixer.reference_dbm is not None:
        return dbuv_of_dbm(mixer.reference_dbm, impedance_ohm)
    peak_volt = {"exponential": THERMAL_VOLT, "square-law": 1.0, "polynomial": 1.0}.get(mixer.kind, math.nan)
    return DBUV_OF_A_VOLT + 20 * math.log10(peak_volt / math.sqrt(2))


@lru_cache(maxsize=64)
def _suppression_table_db(mixer: Mixer) -> Float64:
    """Return S(m, n) for every m and n from 0 to 25; row 0, no signal at all, is NaN."""
    level = _levels_db(mixer)
    below: Float64 = level[1, 1] - level
    below[0], below[1, 1] = np.nan, 0.0
    below.setflags(write=False)
    return below


def _levels_db(mixer: Mixer) -> Float64:
    """Return the level of every product at the reference level, against anything that is the same for all."""
    drive = mixer.oscillator_drive
    if mixer.kind == "measured":
        return _measured_db(mixer.suppression)
    if mixer.kind == "switching":
        return _switching_db(mixer.unbalance or 0.0)
    if mixer.kind == "exponential" and drive is not None:
        return _exponential_db(drive)
    if mixer.kind == "square-law" and drive is not None:
        return _polynomial_db((0.0, 0.0, 1.0), drive)
    if mixer.kind == "polynomial" and drive is not None and mixer.coefficients is not None:
        return _polynomial_db(mixer.coefficients, drive)
    return np.full(_SHAPE, np.nan)


def _measured_db(suppression: tuple[Suppression, ...]) -> Float64:
    level = np.full(_SHAPE, np.nan)
    for row in suppression:
        level[row.m, row.n] = -row.db
    level[1, 1] = 0.0
    return level


def _switching_db(unbalance: float) -> Float64:
    """Fourier series of a wave that is +1 for the share D = (1 + u)/2 of its period and -1 for the rest.

    Its mean is u, the amplitude of its n-th harmonic 4/(n pi) |sin(n pi D)|, half of which goes to the sum of
    the frequencies and half to their difference.
    """
    level = np.full(_SHAPE, np.nan)
    n = np.arange(1, HIGHEST_ORDER + 1)
    wave = np.abs(np.sin(n * np.pi * (1 + unbalance) / 2))
    amplitude = np.concatenate(([unbalance], 2 / (np.pi * n) * wave))
    known = np.concatenate(([unbalance], wave)) > ZERO_ON_PAPER
    level[1, known] = 20 * np.log10(amplitude[known])
    return level


def _exponential_db(drive: float) -> Float64:
    """Level of 2 (1/2)^m/m! * I_n(b), in logarithms because I_n itself overflows."""
    order = np.arange(HIGHEST_ORDER + 1)
    # The terms of I_n are largest at s = b/2; from s = b on each is less than a quarter of the one before.
    s = np.arange(60 + math.ceil(drive))
    log_factorial = _log_factorials(len(s) + len(order))
    n = order[:, np.newaxis]
    terms = (n + 2 * s) * (math.log(drive) - math.log(2)) - log_factorial[s] - log_factorial[s + n]
    log_bessel = np.logaddexp.reduce(terms, axis=1)
    log_signal = order * math.log(0.5) - log_factorial[order]
    level: Float64 = DB_PER_NEPER * (math.log(2) + log_signal[:, np.newaxis] + log_bessel)
    return level


def _polynomial_db(coefficients: tuple[float, ...], drive: float) -> Float64:
    """Level of the lines given in the notes of this module, for a = 1 and a polynomial of any length."""
    level = np.full(_SHAPE, np.nan)
    log_factorial = _log_factorials(len(coefficients))
    with np.errstate(divide="ignore"):
        log_size = np.log(np.abs(coefficients)) + log_factorial
    log_half_drive = math.log(drive) - math.log(2)
    for m in range(1, min(len(coefficients), HIGHEST_ORDER + 1)):
        for n in range(min(len(coefficients) - m, HIGHEST_ORDER + 1)):
            j = np.arange(n, len(coefficients) - m, 2)
            s = (j - n) // 2
            shares = log_factorial[m] + log_factorial[s] + log_factorial[s + n]
            log_terms = log_size[m + j] - shares + j * log_half_drive
            log_sum = _log_of_sum(np.sign(coefficients)[m + j], log_terms)
            level[m, n] = DB_PER_NEPER * ((1 - m) * math.log(2) + log_sum)
    return level


def _log_of_sum(signs: Float64, log_terms: Float64) -> float:
    """Return log(abs(sum)) of terms given by sign and logarithm; NaN where they cancel or are all zero."""
    largest = float(log_terms.max())
    if math.isinf(largest):
        return math.nan
    terms = np.exp(log_terms - largest)
    total = abs(float((signs * terms).sum()))
    return math.nan if total <= ZERO_ON_PAPER * terms.sum() else largest + math.log(total)


def _log_factorials(count: int) -> Float64:
    """Return log(0!), log(1!) ... ; (count,) float64, or one of them where `count` is less."""
    log_factorials: Float64 = np.concatenate(([0.0], np.cumsum(np.log(np.arange(1, max(count, 1))))))
    return log_factorials


def ways_db(counts: list[int]) -> float:
    """Return 20 lg of the number of ways in which several stations share one product."""
    return 20 * math.log10(math.factorial(sum(counts)) / math.prod(math.factorial(count) for count in counts))


def more_ways_db(counts: list[int]) -> float:
    """Return by how much that is more than for the two tones for which intercept points are given."""
    return ways_db(counts) - ways_db([1, 1] if sum(counts) == 2 else [2, 1])
