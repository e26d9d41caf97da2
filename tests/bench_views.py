"""Rows as they show at the bench: who is tuned in there, the beat, and the probability of every observation."""

from __future__ import annotations

import numpy as np
from bench_rows import KIND
from bench_sums import MECHANISMS
from bench_traits import (
    ANTI_PHASE,
    EVERYWHERE,
    NOT_AT_HOME,
    PITCH,
    REVERSED,
    SHOWS,
    SPEECH_OF,
    STAYS,
    STEREO,
    TRUE,
    WIDTH,
)

from freqplan.diagnosis.priors import NONE

STEPS = np.linspace(-1.0, 1.0, 9)
SPEAKERS = ("aircraft", "amateurs", "other")
_WHO = np.zeros(len(KIND), dtype=int)
_WHO[[KIND[name] for name in SPEAKERS]] = 1, 2, 3

READY_MADE = np.isin(MECHANISMS, ("third-order-outside", "transmitter-harmonic", "second-transmitter"))
"""What is made outside the set and received on the dial setting like any station."""


class View:
    """Columns of rows (r,), and what follows from them on this bench."""

    def __init__(self, bench, mechanism, rows):
        self.bench, self.mechanism, self.rows = bench, mechanism, rows
        self.spot_hz = rows["num"] / rows["den"]
        self.on = self._on_station()
        home = bench.station_hz[np.maximum(self.on, 0)]
        self.place_hz = np.where(self.on >= 0, home, self.spot_hz)
        self.loose = mechanism == MECHANISMS.index(NONE)
        self.named = np.stack([rows[name] for name in "abc"], axis=1)
        self._beat(home)

    def __len__(self):
        return len(self.spot_hz)

    def _on_station(self):
        """The listed station to which one is tuned at the spot, or -1."""
        hertz = self.bench.station_hz
        right = np.searchsorted(hertz, self.spot_hz).clip(1, len(hertz) - 1)
        near = np.where(self.spot_hz - hertz[right - 1] <= hertz[right] - self.spot_hz, right - 1, right)
        return np.where(np.abs(hertz[near] - self.spot_hz) <= (75_000 if self.bench.fm else 4500), near, -1)

    def _beat(self, home):
        """Pitch [kHz], NaN where no tone is heard, at nine tunings about the station; (r, 9)."""
        rows, bench = self.rows, self.bench
        slack_hz = 0 if bench.reference_hz else 8000 if bench.fm else 1000
        slope = np.maximum(np.maximum(np.abs(rows["rho"]), rows["beat"]), 1)
        self.offset_hz = slope * (home - self.spot_hz)
        rate = np.maximum(rows["rate"], 0)
        away = np.abs(np.abs(self.offset_hz)[:, None] + (rate * slack_hz)[:, None] * STEPS)
        away = np.where(rows["tone_hz"][:, None] > 0, rows["tone_hz"][:, None], away)
        if bench.fm:
            tone = np.where(away < 15_000, away, np.nan)
            if bench.decoder != "none":
                folded = (away > 23_000) & (away < 53_000)
                tone = np.where(folded, np.abs(away - 38_000), tone)
        else:
            tone = np.where(away < 5000, away, np.nan)
        tone[rows["tone_hz"] == -1] = np.nan
        self.pitch_khz = tone / 1000
        self.folds = (away > 23_000).all(axis=1) & ~np.isnan(tone).all(axis=1) & (rows["tone_hz"] == 0)
        self.any_pitch = rows["tone_hz"] == -1

    # Each of these gives (r, c) probabilities of the values of one key, in the order of `VALUES`.

    def heard(self):
        audible = self.any_pitch | ~np.isnan(self.pitch_khz).all(axis=1)
        return SHOWS[self.rows["kind"], np.where(self.on < 0, 0, np.where(audible, 1, 2))]

    def everywhere(self):
        """Whether it is said to be everywhere: nothing said, no, yes."""
        share = np.where(self.loose, 0.15, EVERYWHERE[self.rows["every"]])
        return np.stack([0.15 * share + 0.75 * (1 - share), 0.25 * (1 - share), 0.85 * share], axis=1)

    def aerial_out(self):
        return _coin(STAYS[self.mechanism])

    def width(self):
        return np.where(self.loose[:, None], 0.25, WIDTH[self.rows["width"]])

    def meter(self):
        sign = np.sign(self.rows["rho"])
        told = np.where(sign < 0, 0.95, np.where(sign > 0, 0.05, 0.3))
        own = REVERSED[self.mechanism]
        return _coin(np.where(own >= 0, own, told))

    def pitch(self):
        rate = self.rows["rate"]
        row = np.where(rate <= 0, 0, np.where(rate <= 2, 1, 2))
        return np.where(self.loose[:, None], 1 / 3, PITCH[row])

    def pitch_tuned_up(self):
        """A beat rises where tuning up takes the product farther from the wanted carrier."""
        rows = self.rows
        # Tuned up by 1, the product moves rho - 1 more than the wanted carrier; its offset now is `offset` by rho.
        moves = np.sign(self.offset_hz) * np.sign(rows["rho"]) * np.sign(rows["rho"] - 1)
        return _coin(np.where(self.loose | (moves == 0), 0.5, np.where(moves < 0, 0.93, 0.07)))

    def by_ear(self):
        """Better, same or worse after the pad, against the wanted station."""
        right = np.select([self.rows["law"] >= 2, self.rows["law"] == 1], [0, 1], 2)
        table = np.array([[0.88, 0.1, 0.02], [0.06, 0.88, 0.06], [0.02, 0.1, 0.88]])
        return np.where(self.loose[:, None], 1 / 3, table[right])

    def single(self):
        count = (self.named >= 0).sum(axis=1)
        return _coin(np.where(self.loose, 0.5, np.where(count > 1, 0.25, 0.9)))

    def speech_of(self):
        return SPEECH_OF[_WHO[self.rows["kind"]]]

    def stereo_only(self):
        return _coin(np.where(self.folds, 0.85, STEREO[self.mechanism]))

    def anti_phase(self):
        return _coin(np.where(self.folds, 0.85, ANTI_PHASE[self.mechanism]))

    def own_place_too(self):
        listed = (self.named >= 0).any(axis=1) & (NOT_AT_HOME[self.mechanism] < 1)
        return _coin(np.where(self.loose, 0.5, np.where(listed, 0.92, 0.07)))

    def notch(self, on):
        """Whether a notch on that station stops it: not what arrives ready-made on the dial setting."""
        stops = (self.named == on).any(axis=1) & ~READY_MADE[self.mechanism]
        return _coin(np.where(self.loose, 0.5, np.where(stops, 0.95, 0.05)))

    def answered(self, key):
        return _coin(TRUE[key][self.mechanism])


def _coin(second):
    return np.stack([1 - second, second], axis=1)
