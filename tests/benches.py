"""Invented benches: a receiver, its town, and what its owner cannot know.  One seed, one bench.

Shares no arithmetic with the package; `Plan` and `StationList` are made at the end, to be handed over.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from freqplan.plan import Plan
from freqplan.stations import StationList

FM_HZ, AM_HZ = (87_500_000, 108_000_000), (526_500, 1_606_500)
FIRST_AM_CHANNEL_HZ = 531_000
GRID = np.arange(-4, 5)
"""Real IFs that may occur, and how far scales may be off, in quarters of the most."""


@dataclass(frozen=True)
class Bench:
    """A set on the bench.  Configurations are the pairs of oscillator side and real IF that may be true.

    Attributes
    ----------
    sides, intermediates_hz, likely : (c,) each, +1 or -1, real IF [Hz] and probability of a configuration
    truth : int, the configuration that is real
    """

    fm: bool
    raster_hz: int
    channels_hz: np.ndarray
    nominal_hz: int
    tolerance_hz: int
    plan_side: str
    set_side: str | None
    sides: np.ndarray
    intermediates_hz: np.ndarray
    likely: np.ndarray
    truth: int
    dial_error_hz: int
    reading_error_hz: int | None
    dial_offset_hz: float
    station_hz: np.ndarray
    level_dbuv: np.ndarray | None
    clocks_hz: tuple[int, ...]
    reference_hz: int | None
    second_oscillator_hz: int | None
    decoder: str

    @property
    def band_hz(self):
        return FM_HZ if self.fm else AM_HZ

    @property
    def names(self):
        return tuple(f"Ollerbeck {number}" for number in range(1, len(self.station_hz) + 1))

    @cached_property
    def loudness(self):
        """How much likelier a station is to disturb than another; all alike where no level is known."""
        if self.level_dbuv is None:
            return np.ones(len(self.station_hz))
        return 10 ** ((self.level_dbuv - self.level_dbuv.mean()) / 40)

    @property
    def dial_offsets_hz(self):
        """Errors of the scale that may be, each as likely; (d,)."""
        return self.dial_error_hz * GRID / 4 if self.dial_error_hz else np.zeros(1)

    @property
    def reads_within_hz(self):
        return self.raster_hz if self.reading_error_hz is None else self.reading_error_hz

    def text(self, hertz):
        """A frequency as one writes it in this band."""
        unit_hz, unit = (1_000_000, "MHz") if self.fm else (1000, "kHz")
        whole, rest = divmod(int(hertz), unit_hz)
        digits = str(rest).zfill(len(str(unit_hz)) - 1).rstrip("0")
        return f"{whole}.{digits} {unit}" if digits else f"{whole} {unit}"

    @cached_property
    def plan(self):
        band = {
            "low": self.text(self.band_hz[0]),
            "high": self.text(self.band_hz[1]),
            "raster": self.text(self.raster_hz),
        }
        first = {
            "intermediate": f"{self.nominal_hz} Hz",
            "tolerance": f"{self.tolerance_hz} Hz",
            "oscillator": self.plan_side,
        }
        tables = {"title": "Set on the bench", "band": band, "conversion": [first]}
        if not self.fm:
            band["first_channel"] = self.text(FIRST_AM_CHANNEL_HZ)
        if self.fm:
            tables["stereo"] = {"decoder": self.decoder}
        if self.clocks_hz:
            tables["clock"] = [
                {"name": f"clock {number}", "frequency": f"{hertz} Hz"}
                for number, hertz in enumerate(self.clocks_hz, start=1)
            ]
        if self.reference_hz:
            tables["synthesiser"] = {"reference": f"{self.reference_hz} Hz"}
        if self.second_oscillator_hz:
            tables["conversion"].append(
                {"intermediate": "455 kHz", "fixed_oscillator": f"{self.second_oscillator_hz} Hz"}
            )
        return Plan.from_file_keys(tables)

    @cached_property
    def stations(self):
        return StationList.from_frequencies(
            self.station_hz.tolist(),
            self.names,
            level_dbuv=None if self.level_dbuv is None else self.level_dbuv.tolist(),
        )


def bench(seed):
    """Draw a bench."""
    rng = np.random.default_rng([seed, 1])
    fm = rng.random() < 0.75
    raster = int(rng.choice([100_000, 50_000, 10_000], p=[0.75, 0.2, 0.05])) if fm else 9000
    nominal = _nominal_hz(rng, fm)
    tolerance = int(
        rng.choice([0, 30_000, 60_000, 100_000] if fm else [0, 2000, 4000], p=None if fm else [0.4, 0.3, 0.3])
    )
    clocks, reference, second = _inside(rng, fm, nominal)
    station_hz = _stations_hz(rng, fm, raster)
    levels = np.round(rng.normal(58, 13, len(station_hz)), 1) if rng.random() < 0.6 else None
    dial_error, reading_error = _errors(rng, fm, synthesised=reference is not None)
    return Bench(
        fm=fm, raster_hz=raster, channels_hz=_channels_hz(fm, raster), nominal_hz=nominal,
        tolerance_hz=tolerance, **_configurations(rng, nominal, tolerance), dial_error_hz=dial_error,
        reading_error_hz=reading_error, dial_offset_hz=dial_error * int(rng.choice(GRID)) / 4,
        station_hz=station_hz, level_dbuv=levels, clocks_hz=clocks, reference_hz=reference,
        second_oscillator_hz=second,
        decoder=str(rng.choice(["switching", "filtered", "none"], p=[0.4, 0.45, 0.15])),
    )  # fmt: skip


def _nominal_hz(rng, fm):
    if not fm:
        return int(rng.integers(450, 476)) * 1000
    which = rng.random()
    if which < 0.7:
        return 10_700_000
    if which < 0.85:
        return int(rng.choice([10_600_000, 10_640_000, 10_670_000, 10_730_000, 10_760_000, 10_800_000]))
    return 21_400_000 if which < 0.92 else int(rng.integers(40, 102)) * 100_000


def _inside(rng, fm, nominal):
    """What else oscillates in the set: clocks, the reference of a synthesiser, a second oscillator."""
    clocks = (
        (int(rng.choice([32_768 * 128, 4_000_000, 4_500_000, 7_200_000, 12_000_000])),)
        if rng.random() < 0.2
        else ()
    )
    reference = int(rng.choice([25_000, 50_000, 100_000] if fm else [9000])) if rng.random() < 0.2 else None
    second = nominal + int(rng.choice([-1, 1])) * 455_000 if fm and rng.random() < 0.15 else None
    return clocks, reference, second


def _configurations(rng, nominal, tolerance):
    """Sides and real IFs that may be, with their probabilities, and the one that is real."""
    plan_side = str(rng.choice(["high", "low", "unknown"], p=[0.55, 0.15, 0.3]))
    told = rng.random()
    set_side = None
    if plan_side == "unknown" and told < 0.1:
        set_side = str(rng.choice(["high", "low"]))
    elif plan_side != "unknown" and told < 0.1:
        set_side = "unknown"
    in_force = set_side or plan_side
    sides = {"high": [1], "low": [-1], "unknown": [1, -1]}[in_force]
    steps = GRID if tolerance else np.zeros(1, dtype=np.int64)
    share = np.exp(-((steps / 3) ** 2) / 2)
    likely = np.tile(share / share.sum() / len(sides), len(sides))
    return {
        "plan_side": plan_side, "set_side": set_side, "sides": np.repeat(sides, len(steps)),
        "intermediates_hz": np.tile(nominal + steps * tolerance // 4, len(sides)), "likely": likely,
        "truth": int(rng.choice(len(likely), p=likely)),
    }  # fmt: skip


def _channels_hz(fm, raster):
    low, high = FM_HZ if fm else (FIRST_AM_CHANNEL_HZ, AM_HZ[1])
    return np.arange(low, high + 1, raster, dtype=np.int64)


def _stations_hz(rng, fm, raster):
    """Stations stand on whole or half hundreds of kilohertz, whatever the raster, and on channels on AM."""
    places = _channels_hz(fm, max(raster, 50_000 if rng.random() < 0.3 else 100_000) if fm else raster)
    most = 80 if fm else 40
    count = int(np.exp(rng.uniform(np.log(5), np.log(most))))
    return np.sort(rng.choice(places, min(count, len(places)), replace=False))


def _errors(rng, fm, *, synthesised):
    """How far the scale is off, and how well it is read (None: one raster, as when nothing is said)."""
    if synthesised:
        return 0, None
    unit = 50_000 if fm else 2000
    reading = None if rng.random() < 0.4 else int(unit * rng.integers(1, 5))
    return (0 if rng.random() < 0.3 else int(unit * rng.integers(1, 7))), reading
