"""Sets whose dial is wrong for a known reason, for the tests of dial readings; written apart from the package."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from freqplan import Band, Conversion, Plan, Readings

FM_BAND = Band(low_hz=87_500_000, high_hz=108_000_000)
AM_BAND = Band(low_hz=526_500, high_hz=1_606_500, first_channel_hz=531_000, modulation="am")
ERROR_HZ = {"fm": 100_000, "am": 2_000}


def plan_of(modulation: str = "fm", side: str = "high") -> Plan:
    band, intermediate = {"fm": (FM_BAND, 10_700_000), "am": (AM_BAND, 455_000)}[modulation]
    return Plan(band=band, conversion=(Conversion(intermediate_hz=intermediate, oscillator=side),))


def readings(*pairs: tuple[float, float]) -> Readings:
    """Make readings from pairs in MHz."""
    return Readings.from_pairs([(round(reads * 10**6), round(is_ * 10**6)) for reads, is_ in pairs])


@dataclass(frozen=True)
class Faulty:
    """A set with something wrong.

    `q` and `tau` change the circuit, `shift_hz` the pointer, `if_error_hz` the IF; `image` has it received on the side
    of the oscillator that the scale is not made for.
    """

    modulation: str = "fm"
    side: str = "high"
    q: float = 1.0
    tau: float = 0.0
    shift_hz: float = 0.0
    if_error_hz: float = 0.0
    image: bool = False

    @property
    def plan(self) -> Plan:
        return plan_of(self.modulation, self.side)

    def oscillator_hz(self, dial_hz):
        """Return where the oscillator is, from inductance and capacitance in arbitrary units."""
        band, own_if = self.plan.band, self.plan.conversion[0].intermediate_hz
        sign = 1 if self.side == "high" else -1
        nominal = dial_hz + self.shift_hz + sign * own_if
        capacitance = 1 / nominal**2
        trimmer = self.tau / (band.high_hz + sign * own_if) ** 2
        return ((capacitance + trimmer) / self.q**2) ** -0.5

    def plays_hz(self, dial_hz):
        """Return what plays."""
        real = self.plan.conversion[0].intermediate_hz + self.if_error_hz
        above = (self.side == "high") != self.image
        return self.oscillator_hz(dial_hz) + (-real if above else real)

    def readings(self, dial_hz, noise_hz=0) -> Readings:
        dial = np.round(np.asarray(dial_hz)).astype(np.int64)
        heard = np.round(self.plays_hz(dial.astype(float)) + noise_hz).astype(np.int64)
        return Readings(dial, heard)
