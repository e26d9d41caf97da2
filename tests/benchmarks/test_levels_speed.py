"""What is heard, ranked, against a plain NumPy grid of the same quantities, in one run; and the memory it takes.

``pytest tests/benchmarks/test_levels_speed.py -s``
"""

from __future__ import annotations

import math
import statistics
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
from by_hand import CHANNELS_HZ, HALF_FILTER_HZ, IF_HZ, town

from freqplan import Band, Conversion, FrontEnd, Mixer, Orders, Plan, StationList, survey

ORDER, CIRCUITS, Q, GAIN_DB, DRIVE = 10, 2, 30.0, 20.0, 3.0
DEVIATION_HZ, DEEMPHASIS_S, FLOOR_DB = 75_000, 50e-6, 80.0
RUNS = 7
SUMS = [
    (m, n, e)
    for m in range(1, ORDER + 1)
    for n in range(-ORDER, ORDER + 1)
    for e in (1, -1)
    if (m, n, e) != (1, 1, 1)
]
SPACINGS_HZ = np.arange(0, 400_001, 25_000)
STEREO_DB = [45, 51, 51, 45, 33, 24.5, 18, 11, 7, 4.5, 2, -2, -7, -11.5, -15, -17.5, -20]
"""Rec. ITU-R BS.412-9, steady interference, from memory."""


def plan():
    return Plan(
        title="Speed",
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=IF_HZ, oscillator="high"),),
        orders=Orders(signal=ORDER, oscillator=ORDER),
        front_end=FrontEnd(circuits_before_mixer=CIRCUITS, loaded_q=Q, gain_db=GAIN_DB),
        mixer=Mixer(kind="exponential", oscillator_drive=DRIVE),
    )


def stations(count=80):
    rng = np.random.default_rng(2)
    hertz = (
        town()
        if count == 80
        else sorted(rng.choice(np.arange(87_500_000, 108_000_000, 10_000), count, replace=False).tolist())
    )
    return StationList.from_frequencies(hertz, level_dbuv=rng.uniform(30, 100, count).tolist())


def below_db(m, n):
    """Return S(m, n) of the exponential device for a signal of one thermal voltage, by the series of I_n."""

    def bessel(order):
        return math.fsum(
            (DRIVE / 2) ** (2 * k + order) / math.factorial(k) / math.factorial(k + order) for k in range(40)
        )

    return 20 * math.log10(0.5 * bessel(1) * 2**m * math.factorial(m) / bessel(abs(n)))


def grid(listed):
    """Return margins of every sum, channel and station, as one plain array each: shape (sums, channels, stations)."""
    dial = np.array(CHANNELS_HZ, dtype=np.int64)[None, :, None]
    hertz, level = listed.frequency_hz[None, None, :], listed.level_dbuv[None, None, :]
    sums = np.array(SUMS, dtype=np.int64)
    m, n, e = (sums[:, column, None, None] for column in range(3))
    figures = np.array([below_db(m, n) for m, n, _ in SUMS])[:, None, None]
    offset = e * (n * (dial + IF_HZ) - m * hertz) - IF_HZ
    ratio_hz = hertz / dial
    loss = np.minimum(10 * CIRCUITS * np.log10(1 + Q**2 * (ratio_hz - 1 / ratio_hz) ** 2), FLOOR_DB)
    reference = 20 * math.log10(25.852e-3 / math.sqrt(2) / 1e-6) - GAIN_DB
    law = m * (level - loss) - figures - (m - 1) * reference
    equivalent = np.where(m == 1, law, np.minimum(law, level - loss))
    noise = 10 * math.log10(1.380649e-23 * 290 / 1e-3 * 2 * HALF_FILTER_HZ) + 90 + 10 * math.log10(75) + 17
    # Tuned in on each channel is the strongest within the filter, if it rises above noise and neighbours.
    behind = np.where(
        np.abs(hertz - dial) <= 10 * HALF_FILTER_HZ, level - behind_filter_db(hertz - dial), -np.inf
    )
    inside = np.abs(hertz - dial) <= HALF_FILTER_HZ
    own = np.where(inside, behind, -np.inf)
    floor = np.maximum(np.where(inside, -np.inf, behind).max(axis=2, keepdims=True), noise)
    heard = own.max(axis=2, keepdims=True) >= floor
    own_hz = listed.frequency_hz[own.argmax(axis=2)][:, :, None]
    own_level = np.where(heard, listed.level_dbuv[own.argmax(axis=2)][:, :, None], -np.inf)
    beat = np.abs(offset - (dial - own_hz))
    filtered = equivalent - behind_filter_db(offset)
    ratio = filtered - (own_level - behind_filter_db(own_hz - dial))
    loudest = np.full(offset.shape, np.nan)
    for carrier in (0, 38_000):
        pitch = np.abs(beat - carrier)
        with np.errstate(divide="ignore", invalid="ignore"):
            share_db = 20 * np.log10(beat / DEVIATION_HZ)
            loud = (
                np.minimum(ratio, 0) + share_db - 10 * np.log10(1 + (2 * np.pi * pitch * DEEMPHASIS_S) ** 2)
            )
        loudest = np.where((pitch > 0) & (pitch < 15_000), np.fmax(loudest, loud), loudest)
    tone = -60 - np.where(ratio >= 0, np.fmax(loudest, 0) + ratio, loudest)
    protection = own_level - equivalent - np.interp(beat, SPACINGS_HZ, STEREO_DB)
    out = noise - filtered
    on_station = np.maximum(np.fmin(tone, protection), out - 30)
    margin = np.where(heard, on_station, floor - filtered)
    # One leaves the dial on a station, or where nobody is tuned in.
    left = np.isin(dial, listed.frequency_hz) | ~heard
    return np.where(left & (np.abs(offset) <= HALF_FILTER_HZ + m * DEVIATION_HZ), margin, np.nan)


def behind_filter_db(offset_hz):
    shape = math.log(99 / (10**0.3 - 1)) / math.log(16 / 9)
    loss = 10 * np.log10(1 + (10**0.3 - 1) * (np.abs(offset_hz) / HALF_FILTER_HZ) ** shape)
    return np.minimum(loss, FLOOR_DB)


def ranked_by_grid(listed):
    margin = grid(listed)
    worst = np.nanmin(np.where(np.isnan(margin), np.inf, margin), axis=1)
    place, who = np.nonzero(np.isfinite(worst))
    order = np.argsort(worst[place, who])
    return [(SUMS[place[i]], int(who[i]), float(worst[place[i], who[i]])) for i in order.tolist()]


def ranked_by_program(listed):
    table = survey(plan(), listed).ghosts
    return table.take(np.argsort(np.nan_to_num(table.array("margin_db").astype(float), nan=np.inf)))


def seconds(call):
    runs = []
    for _ in range(RUNS):
        start = time.perf_counter()
        call()
        runs.append(time.perf_counter() - start)
    return statistics.median(runs[1:])


def test_both_find_the_same_margins():
    listed = stations()
    by_hand = {(*sums, listed.names[who]): margin for sums, who, margin in ranked_by_grid(listed)}
    compared = 0
    for row in ranked_by_program(listed).rows():
        key = (row["m"], row["n"], row["e"], row["station"])
        if row["m"] is None or row["margin_db"] is None or key not in by_hand:
            continue
        # The program also tries exact spots between channels, so it may find a smaller margin, never a larger one.
        assert row["margin_db"] <= by_hand[key] + 0.01
        if row["heard_on_hz"] in CHANNELS_HZ:
            assert abs(row["margin_db"] - by_hand[key]) < 0.01
            compared += 1
    assert compared > 500


def test_ranked_in_a_tenth_of_the_time():
    listed = stations()
    program = seconds(lambda: ranked_by_program(listed))
    clusters = seconds(lambda: survey(plan(), listed).heard)
    card = seconds(lambda: survey(plan(), listed).check_list)
    plain = seconds(lambda: ranked_by_grid(listed))
    print(f"\n206 channels x 80 stations x orders {ORDER},{ORDER}, warm medians; plain grid {plain:.2f} s")
    for name, own in (
        ("ghosts, ranked", program),
        ("heard, clusters joined", clusters),
        ("check list in words", card),
    ):
        print(f"  {name}: {1e3 * own:.1f} ms, the grid takes {plain / own:.0f} times as long")
    assert program < plain / 10
    assert card < plain / 10


MEMORY = """
import re, sys
sys.path.insert(0, {folder!r})
import test_levels_speed as own
most = lambda: re.search("VmHWM:\\s*([0-9]+)", open("/proc/self/status").read())[1]  # kB, of this process alone
before = most()
result = own.survey(own.plan(), own.stations(1000))
result.heard, result.check_list
print(before, most(), len(result.ghosts))
"""


def test_memory_for_a_thousand_stations():
    script = MEMORY.format(folder=str(Path(__file__).parent))
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, check=True, text=True, timeout=300
    )
    before, after, rows = map(int, done.stdout.split())
    print(
        f"\n1,000 stations, {rows} ghosts: {before / 1024:.0f} MB before, at most {after / 1024:.0f} MB in all"
    )
    assert after < 200 * 1024
