"""From transmitter to aerial terminal: field strength in free space, and what a dipole makes of it.

Both are ceilings: hills, houses and a poor aerial make it less, hardly anything makes it more.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64

ONE_KILOWATT_DBUVM = 20 * np.log10(222e3)
"""Field of 1 kW e.r.p. at 1 km in free space, 222 mV/m or 106.9 dB(uV/m): Rec. ITU-R P.525 (from memory), and
exact from 30 ohms times the power times the gain of a half-wave dipole, 1.64."""

LIGHT_M_PER_S = 299_792_458

DIPOLE_OHM = 73.0
"""Of a half-wave dipole at resonance; any antenna handbook."""

DIPOLE_FROM_HZ = 30_000_000
"""Below this nobody has a half-wave dipole, and the ground wave follows other laws."""


def field_dbuvm(erp_kw: Float64, distance_km: Float64) -> Float64:
    """Return the field strength in free space.

    Parameters
    ----------
    erp_kw : (k,) float64 [kW]
        Effective radiated power, over a half-wave dipole.
    distance_km : (k,) float64 [km]
        From the transmitter.

    Returns
    -------
    (k,) float64 [dB(uV/m)]
        NaN where either is NaN.
    """
    field: Float64 = ONE_KILOWATT_DBUVM + 10 * np.log10(erp_kw) - 20 * np.log10(distance_km)
    return field


def dipole_dbuv(field: Float64, frequency_hz: npt.NDArray[np.int64], impedance_ohm: float) -> Float64:
    """Return the level that a half-wave dipole hands over from a field, matched to the terminal.

    Parameters
    ----------
    field : (k,) float64 [dB(uV/m)]
        Field strength.
    frequency_hz : (k,) int64 [Hz]
        Of the carrier.
    impedance_ohm : float [ohm]
        Of the terminal: the same power is a higher voltage at a higher impedance.

    Returns
    -------
    (k,) float64 [dB(uV)]
        At the aerial terminal; NaN below 30 MHz.

    Notes
    -----
    The open dipole has an effective length of wavelength over pi; matched, half its voltage is left (exact for a
    thin half-wave dipole; any antenna handbook).
    """
    metres = LIGHT_M_PER_S / frequency_hz
    level = field + 20 * np.log10(metres / (2 * np.pi)) + 10 * np.log10(impedance_ohm / DIPOLE_OHM)
    return np.where(frequency_hz >= DIPOLE_FROM_HZ, level, np.nan)
