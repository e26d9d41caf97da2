"""A second, slow model of what is heard, one station and one setting at a time, written from the formulas.

It shares no code with the package: plans and station lists are read, nothing of theirs is called.  Frequencies are
whole hertz or fractions; an unknown level is NaN.
"""

from __future__ import annotations

import cmath
import itertools
import math
from dataclasses import dataclass
from fractions import Fraction

from test_brute_force import channels, families, meeting, nearest, off_if, sides_of, window

UNKNOWN = math.nan
CLOSE_DB = 1e-6
"""Two ways through the same formulas part by rounding only."""

WANTED = {"high": (1, 1, 1), "low": (1, 1, -1), "sum": (1, -1, -1)}
FULL_SCALE_PART_DB = {"fm": -60.0, "am": -40.0}
MASKED_DB, ABOVE_NOISE_DB, FILTER_FLOOR_DB = 30.0, 17.0, 80.0
DECODER_CARRIERS = {
    "none": [(0, 1)],
    "filtered": [(0, 1), (38_000, 1)],
    "switching": [(0, 1), (38_000, 1), (114_000, 3), (190_000, 5)],
}
# Rec. ITU-R BS.412-9, steady interference, from memory: kHz, stereo dB, mono dB.
PROTECTION = [
    (0, 45, 36), (25, 51, 31), (50, 51, 24), (75, 45, 16), (100, 33, 12), (125, 24.5, 9.5), (150, 18, 8),
    (175, 11, 7), (200, 7, 6), (225, 4.5, 4.5), (250, 2, 2), (275, -2, -2), (300, -7, -7), (325, -11.5, -11.5),
    (350, -15, -15), (375, -17.5, -17.5), (400, -20, -20),
]  # fmt: skip


FM_BANDS_HZ = [(65_900_000, 74_000_000), (87_500_000, 108_000_000)]


@dataclass(frozen=True)
class Station:
    """One entry of the list, with its level at the aerial [dB(uV)]."""

    name: str
    hertz: int
    dbuv: float


@dataclass(frozen=True)
class Heard:
    """What the model says of one station on one setting of the dial."""

    setting: int
    offset: int
    wanted: str | None
    level_dbuv: float
    rejection_db: float
    ratio_db: float
    pitch_hz: int | None
    loudness_db: float
    protection_margin_db: float
    margin_db: float
    heard: str | None


def is_known(value):
    return not math.isnan(value)


def least_known(*values):
    return min((value for value in values if is_known(value)), default=UNKNOWN)


def lg(value):
    return 20 * math.log10(value)


# --- stations -----------------------------------------------------------------------------------


def listed(plan, stations):
    columns = (stations.frequency_hz, stations.level_dbuv, stations.erp_kw, stations.distance_km)
    rows = zip(stations.names, *(column.tolist() for column in columns), strict=True)
    return [Station(name, hertz, at_aerial(plan, hertz, *rest)) for name, hertz, *rest in rows]


def at_aerial(plan, hertz, dbuv, erp_kw, distance_km):
    """The level listed, or that of a matched dipole in 222 mV/m of one kilowatt at one kilometre, from 30 MHz up."""
    if is_known(dbuv) or hertz < 30_000_000:
        return dbuv
    field_uv_per_m = 222e3 * math.sqrt(erp_kw) / distance_km
    matched = lg(field_uv_per_m * 299_792_458 / hertz / math.tau)
    return matched + 10 * math.log10(plan.front_end.impedance_ohm / 73)


def tuned_in(plan, stations, setting):
    """Who is tuned in, whether unknown levels leave that open, and what else fills the IF."""
    half, skirts = Fraction(plan.if_filter.bandwidth_hz, 2), plan.if_filter.bandwidth_20db_hz
    skirts = Fraction(skirts or 16 * plan.if_filter.bandwidth_hz // 9, 2)
    inside, beside = [], []
    for one in stations:
        away = abs(one.hertz - setting)
        if away <= 10 * half:
            (inside if away <= half else beside).append((away, one))
    behind = {one: one.dbuv - filter_db(plan, away) for away, one in (*inside, *beside)}
    floor = max([sensitivity_dbuv(plan), *(behind[one] for _, one in beside if is_known(one.dbuv))])
    if any(not is_known(one.dbuv) for _, one in inside):
        return min(inside, key=lambda pair: pair[0])[1], True, floor
    best = min(inside, key=lambda pair: (-behind[pair[1]], pair[0]), default=None)
    if best is not None and behind[best[1]] >= floor:
        return best[1], False, floor
    is_open = any(not is_known(one.dbuv) and away <= skirts for away, one in beside)
    return None, False, UNKNOWN if is_open else floor


def against_dbuv(plan, stations, setting):
    """Level of the station tuned in where it is known; else the plan's usual one."""
    wanted, is_open, _ = tuned_in(plan, stations, setting)
    return plan.front_end.wanted_dbuv if wanted is None or is_open else wanted.dbuv


# --- levels -------------------------------------------------------------------------------------


def lost_db(plan, signal, dial):
    """Loss before the mixer: N circuits tuned to the dial setting and the detuning, never more than the floor."""
    own = plan.front_end
    count = own.circuits_before_rf_stage + own.circuits_before_mixer
    if not count:
        return 0.0
    ratio = signal / (dial + own.detuning_hz)
    return min(own.floor_db, 10 * count * math.log10(1 + (own.loaded_q * (ratio - 1 / ratio)) ** 2))


def suppression_db(mixer, m, n):
    """S(m, n): a table, a wave of +1 and -1, or the square of a sum of two cosines; all else is unknown."""
    n = abs(n)
    if (m, n) == (1, 1):
        return 0.0
    if mixer.kind == "measured":
        return next((row.db for row in mixer.suppression if (row.m, row.n) == (m, n)), UNKNOWN)
    if mixer.kind == "switching" and m == 1:
        line, first = (fourier(mixer.unbalance or 0, number) for number in (n, 1))
        return lg(first / line) if line > 1e-9 else UNKNOWN
    if mixer.kind == "square-law" and (m, n) == (2, 0):
        # (cos a + b cos c)^2 holds 1/2 cos 2a and b cos(a - c).
        return lg(2 * mixer.oscillator_drive)
    return UNKNOWN


def fourier(unbalance, n):
    """The n-th coefficient of a wave that is +1 for the share (1 + u)/2 of its period, else -1."""
    share = (1 + unbalance) / 2
    if n == 0:
        return 2 * share - 1
    turn = -2j * math.pi * n
    return abs(2 * (cmath.exp(turn * share) - 1) / turn)


def reference_dbuv(plan):
    mixer = plan.mixer
    if mixer.kind == "measured" and mixer.reference_dbm is not None:
        return dbuv(mixer.reference_dbm, plan)
    return lg(1e6 / math.sqrt(2)) if mixer.kind == "square-law" else UNKNOWN


def dbuv(dbm, plan):
    """U = sqrt(P R) in microvolts."""
    return lg(1e6 * math.sqrt(1e-3 * 10 ** (dbm / 10) * plan.front_end.impedance_ohm))


def mixer_db(plan, m, n):
    gain = UNKNOWN if plan.front_end.gain_db is None else plan.front_end.gain_db
    above = (m - 1) * (reference_dbuv(plan) - gain) if m > 1 else 0.0
    return suppression_db(plan.mixer, m, n) + above


def equivalent_dbuv(plan, m, n, signal, dial, level):
    at_mixer = level - lost_db(plan, signal, dial)
    law = m * at_mixer - mixer_db(plan, m, n)
    # A product of a harmonic is never stronger than the station itself.
    capped = min(law, at_mixer) if m > 1 and is_known(law) else law
    return capped + lost_db(plan, dial, dial)


def rejection_db(plan, m, n, signal, dial, wanted_dbuv):
    own = mixer_db(plan, m, n) - (m - 1) * wanted_dbuv - lost_db(plan, dial, dial)
    return own / m + lost_db(plan, signal, dial)


def sensitivity_dbuv(plan):
    own = plan.front_end
    if own.sensitivity_dbuv is not None:
        return own.sensitivity_dbuv
    noise_w = 1.380649e-23 * 290 * plan.if_filter.bandwidth_hz
    return dbuv(10 * math.log10(noise_w * 1000), plan) + ABOVE_NOISE_DB


def filter_db(plan, offset):
    own = plan.if_filter
    skirt = own.bandwidth_20db_hz or 16 * own.bandwidth_hz // 9
    edge, power = 10**0.3 - 1, math.log(99 / (10**0.3 - 1)) / math.log(skirt / own.bandwidth_hz)
    return min(FILTER_FLOOR_DB, 10 * math.log10(1 + edge * (2 * abs(offset) / own.bandwidth_hz) ** power))


# --- what it sounds like ------------------------------------------------------------------------


def loudest(plan, beat, ratio):
    """Pitch and loudness of the loudest tone; None and NaN where there is none."""
    if plan.band.modulation == "am":
        ratio = -abs(ratio)
        ratio = min(ratio, -1e-9) if is_known(ratio) else ratio
    if not ratio < 0:
        return None, UNKNOWN
    tones = am_tones(plan, beat, ratio) if plan.band.modulation == "am" else fm_tones(plan, beat, ratio)
    return max(tones, key=lambda tone: tone[1], default=(None, UNKNOWN))


def sound(plan, beat, ratio):
    """Loudness of what is heard by the ratio: the tone, on AM the programme; from 0 dB upwards it grows on with it."""
    if plan.band.modulation == "am":
        return ratio if beat < 15_000 else UNKNOWN
    if not ratio >= 0:
        return loudest(plan, beat, ratio)[1]
    _, at_the_limit = loudest(plan, beat, -1e-9)
    return ratio + (max(at_the_limit, 0.0) if is_known(at_the_limit) else 0.0)


def am_tones(plan, beat, ratio):
    return [(beat, ratio)] if 50 <= beat < 15_000 else []


def is_broadcast(plan):
    return plan.band.modulation == "fm" and plan.band.deviation_hz in (50_000, 75_000)


def decoder(plan):
    """A decoder that the plan does not state is there on sets of FM broadcasting only."""
    return plan.stereo.decoder if is_broadcast(plan) or "decoder" in plan.stereo.model_fields_set else "none"


def fm_tones(plan, beat, ratio):
    """r*d of deviation, g times in a zone of the decoder, through the de-emphasis."""
    for carrier, part in DECODER_CARRIERS[decoder(plan)]:
        pitch = abs(beat - carrier)
        if 0 < pitch < 15_000:
            turn = math.tau * pitch * plan.stereo.deemphasis_us * 1e-6
            share = beat / part / plan.band.deviation_hz
            yield pitch, ratio + lg(share) - 10 * math.log10(1 + turn**2)


def protection_db(plan, beat, source):
    """Linear between the rows of the table, beyond its end as at the end; between stations of FM broadcasting only."""
    own = plan.band.low_hz <= source <= plan.band.high_hz
    if not is_broadcast(plan) or not (own or any(low <= source <= high for low, high in FM_BANDS_HZ)):
        return UNKNOWN
    beat = min(beat, PROTECTION[-1][0] * 1000)
    column = 2 if decoder(plan) == "none" else 1
    for low, high in itertools.pairwise(PROTECTION):
        if low[0] * 1000 <= beat <= high[0] * 1000:
            part = Fraction(beat - low[0] * 1000, (high[0] - low[0]) * 1000)
            return float(low[column] + part * Fraction(high[column] - low[column]))
    return UNKNOWN


def hear(plan, stations, side, product, station, setting):
    """How one station is heard by one product with the dial on one setting."""
    m, n, e = product
    intermediate = plan.conversion[0].intermediate_hz
    offset = off_if(side, m, n, e, setting, station.hertz, intermediate)
    level = equivalent_dbuv(plan, m, n, station.hertz, setting, station.dbuv)
    rejection = rejection_db(plan, m, n, station.hertz, setting, against_dbuv(plan, stations, setting))
    return hear_level(plan, stations, side, setting, offset, level, rejection, [station.hertz])


def hear_level(plan, stations, side, setting, offset, level, rejection, sources):
    """How a product is heard that is as strong as a wanted station of some level; of the frequencies that make it."""
    intermediate = plan.conversion[0].intermediate_hz
    wanted, is_open, floor = tuned_in(plan, stations, setting)
    noise = sensitivity_dbuv(plan) - (level - filter_db(plan, offset))
    sits_in = 2 * abs(offset) <= plan.if_filter.bandwidth_hz
    if wanted is None:
        margin = floor - (level - filter_db(plan, offset))
        margin = noise if not is_known(margin) and noise >= 0 else margin
        word = judged(margin, "ghost" if sits_in else "noise")
        return Heard(setting, offset, None, level, rejection, UNKNOWN, None, UNKNOWN, UNKNOWN, margin, word)
    own = off_if(side, *WANTED[side], setting, wanted.hertz, intermediate)
    beat = abs(offset - own)
    own_dbuv = UNKNOWN if is_open else wanted.dbuv
    ratio = level - filter_db(plan, offset) - (own_dbuv - filter_db(plan, own))
    pitch, loudness = loudest(plan, beat, ratio)
    needed = [protection_db(plan, beat, source) for source in sources]
    protection = own_dbuv - level - needed[0] if all(map(is_known, needed)) else UNKNOWN
    tone = FULL_SCALE_PART_DB[plan.band.modulation] - sound(plan, beat, ratio)
    by_ratio = least_known(tone, protection)
    by_ratio = by_ratio if is_known(by_ratio) else -ratio  # a bare carrier is silent until it takes over
    margin = on_a_station(by_ratio, noise - MASKED_DB)
    kind = "ghost" if ratio >= 0 else "whistle" if pitch is not None and tone < 0 else "noise"
    if plan.band.modulation == "am" and beat < 50:
        kind = "ghost"
    return Heard(
        setting, offset, wanted.name, level, rejection, ratio, pitch, loudness, protection, margin,
        judged(margin, kind),
    )  # fmt: skip


def on_a_station(by_ratio, masked):
    """Masked by noise whatever the ratio says; where that says nothing, only being masked is known."""
    if is_known(by_ratio):
        return max(by_ratio, masked)
    return masked if masked >= 0 else UNKNOWN


def judged(margin, kind):
    if not is_known(margin):
        return None
    return "nothing" if margin >= 0 else kind


# --- the whole dial, and one place of it --------------------------------------------------------


def settings(plan, stations, side, product, station):
    """Where somebody leaves the dial: on stations; on channels and the spot (or the end of the scale next to it) where
    nobody is tuned in; and where there is none of these, on the spot."""
    m, n, e = product
    intermediate, band = plan.conversion[0].intermediate_hz, plan.band
    spot = meeting(side, m, n, e, station.hertz, intermediate)
    close = nearest(plan, band.low_hz) if spot is None else math.floor(spot + Fraction(1, 2))
    close = min(max(close, band.low_hz), band.high_hz)
    free = [hz for hz in channels(plan) if tuned_in(plan, stations, hz)[0] is None]
    own = [one.hertz for one in stations if band.low_hz <= one.hertz <= band.high_hz]
    found = [
        hz
        for hz in {*free, *own}
        if abs(off_if(side, m, n, e, hz, station.hertz, intermediate)) <= window(plan, m)
    ]
    if tuned_in(plan, stations, close)[0] is None or not found:
        found.append(close)
    return found


def met(plan, side, product, station):
    """Whether a station comes inside the window somewhere on the dial."""
    ends = (plan.band.low_hz, plan.band.high_hz)
    low, high = sorted(
        off_if(side, *product, dial, station.hertz, plan.conversion[0].intermediate_hz) for dial in ends
    )
    return low <= window(plan, product[0]) and high >= -window(plan, product[0])


def every_ghost(plan, stations):
    """For each oscillator side, product and station that meets it: what is heard on each setting."""
    for side in sides_of(plan):
        for product in families(plan, side):
            for station in stations:
                if met(plan, side, product, station):
                    places = settings(plan, stations, side, product, station)
                    found = [hear(plan, stations, side, product, station, hz) for hz in places]
                    yield (side, *product, station.name), found
