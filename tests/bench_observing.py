"""What somebody notes down at such a bench, and how likely it is that he would, under each row.

`observe` draws every note from the same probabilities that `likelihood` reads off, so that weighing the rows of a bench
by it is exact inference for these benches.
"""

from __future__ import annotations

import numpy as np
from bench_traits import HEARD, PRESENT, WRONG, WRONG_HEARD

PLAIN = ("programme", "speech", "quiet", "noise")
YES_NO = (False, True)
VALUES = {
    "aerial_out": ("goes", "stays"), "width": ("full", "half", "third", "wide"),
    "meter": ("normal", "reversed"), "afc": ("pulls", "pushes"), "pitch": ("still", "moves", "flicks"),
    "pitch_tuned_up": ("rises", "falls"), "by_ear": ("better", "same", "worse"), "single": YES_NO,
    "speech_of": ("aircraft", "amateurs", "other"), "stereo_only": YES_NO, "anti_phase": YES_NO,
    "own_place_too": YES_NO, "notch": YES_NO, "other_set_off_stops": YES_NO, "other_set_too": YES_NO,
    "other_input_too": YES_NO, "drifts": YES_NO, "warm_up_stops": YES_NO, "comes_and_goes": YES_NO,
}  # fmt: skip
"""Keys with a few values, in the order in which they are noted."""
SELDOM = 0.02
"""How often a number or a name is simply mistaken."""


def table(view, key, seen):
    """Probabilities (r, c) of the values of one key."""
    if key == "notch":
        return view.notch(seen["notched"])
    if key == "afc":
        return view.meter()
    own = getattr(view, key, None)
    return own() if own else view.answered(key)


def can_report(bench, key, seen):
    """Whether a key makes sense, given what was noted before."""
    heard = seen["heard"]
    whistle, programme = heard == "whistle", heard == "programme"
    if key in ("meter", "afc"):
        return bench.fm and heard in PLAIN
    if key in ("stereo_only", "anti_phase"):
        return bench.fm and bench.decoder != "none" and heard in ("whistle", "noise")
    return {
        "width": heard in PLAIN, "pitch": whistle, "pitch_tuned_up": whistle,
        "by_ear": seen.get("on_station") is not None, "single": programme, "own_place_too": programme,
        "speech_of": heard == "speech", "notch": len(bench.station_hz) > 0,
    }.get(key, True)  # fmt: skip


# --- noting down ---


def observe(view, rng):
    """Draw the notes of one row; values as `likelihood` takes them."""
    bench = view.bench
    wrong, of_heard = rng.random() < WRONG, rng.random() < WRONG_HEARD
    seen = {"heard": HEARD[_drawn(rng, view.heard()[0], wrong=wrong and of_heard)]}
    seen["everywhere"] = int(rng.choice(3, p=view.everywhere()[0]))
    if rng.random() < (0.3 if seen["everywhere"] == 2 else 0.97):
        reading = rng.uniform(-1, 1) * (bench.reads_within_hz - 1000)
        seen["dial_hz"] = round((view.place_hz[0] + bench.dial_offset_hz + reading) / 1000) * 1000
    if view.on[0] >= 0 and rng.random() < PRESENT["on_station"]:
        seen["on_station"] = int(view.on[0])
    _programmes(view, rng, seen)
    _categories(view, rng, seen, wrong=wrong and not of_heard)
    _numbers(view, rng, seen)
    return seen


def _drawn(rng, shares, *, wrong):
    """Draw a value; where it is to be wrong, any other than the one drawn."""
    value = int(rng.choice(len(shares), p=shares))
    return (value + int(rng.integers(1, len(shares)))) % len(shares) if wrong else value


def _programmes(view, rng, seen):
    """Which stations were recognised: most of one alone, some of several, seldom a wrong one."""
    if seen["heard"] != "programme" or rng.random() >= PRESENT["programme_of"]:
        return
    if rng.random() < SELDOM:
        seen["programme_of"] = (int(rng.integers(len(view.bench.station_hz))),)
        return
    if view.loose[0]:
        if rng.random() < 0.5:
            seen["programme_of"] = (int(rng.integers(len(view.bench.station_hz))),)
        return
    known = [int(station) for station in view.named[0] if station >= 0]
    found = tuple(station for station in known if rng.random() < _recognised(len(known)))
    if found:
        seen["programme_of"] = found


def _recognised(count):
    """How often a programme is recognised, alone and among several."""
    return np.where(count > 1, 0.6, 0.85)


def _categories(view, rng, seen, *, wrong):
    some = seen.get("programme_of", ())
    guess = rng.integers(len(view.bench.station_hz))
    seen["notched"] = some[0] if some and rng.random() < 0.5 else int(guess)
    keys = [key for key in VALUES if can_report(view.bench, key, seen) and rng.random() < PRESENT[key]]
    mistaken = keys[rng.integers(len(keys))] if keys and wrong else None
    for key in keys:
        seen[key] = _drawn(rng, table(view, key, seen)[0], wrong=key == mistaken)


def _numbers(view, rng, seen):
    if seen["heard"] == "whistle":
        heard = view.pitch_khz[0][rng.integers(view.pitch_khz.shape[1])]
        if view.any_pitch[0] or rng.random() < SELDOM:
            heard = rng.uniform(0.3, 5)
        if rng.random() < PRESENT["pitch_khz"] and heard > 0.05:
            seen["pitch_khz"] = round(float(heard * rng.uniform(0.9, 1.1)), 2)
        if rng.random() < PRESENT["pitch_rate"] and view.rows["rate"][0] >= 0:
            rate = (
                rng.uniform(0, 6)
                if view.loose[0] or rng.random() < SELDOM
                else _rate(view.rows["rate"][0], rng)
            )
            seen["pitch_rate"] = round(float(rate), 2)
    elif seen["heard"] in PLAIN and rng.random() < PRESENT["pad"]:
        seen["pad_db"] = float(rng.choice([6.0, 10.0, 20.0]))
        seen["fell_db"] = round(float(_fall_db(view, rng, seen["pad_db"])), 1)
    if seen.get("other_set_off_stops") == 1 and view.rows["other_hz"][0] and rng.random() < 0.5:
        error = rng.uniform(-1, 1) * _other_error_hz(view.bench)
        seen["other_set_dial_hz"] = round((view.rows["other_hz"][0] + error) / 1000) * 1000


def _rate(rate, rng):
    return rate * rng.uniform(0.95, 1.05) + rng.uniform(0, 0.05)


def _fall_db(view, rng, pad_db):
    """What limiter or AGC show: the law within a tenth, or less where they saturate."""
    law, how = view.rows["law"][0], rng.random()
    if view.loose[0] or how < SELDOM:
        return rng.uniform(0, 4 * pad_db)
    if law == 0:
        return rng.uniform(0, 1)
    return law * pad_db * (rng.uniform(0.3, 0.9) if how < 0.1 else rng.uniform(0.9, 1.1))


def _other_error_hz(bench):
    return 100_000 if bench.fm else 9000


# --- weighing ---


def likelihood(view, seen):
    """Probability (density, for numbers) of these notes under each row, whatever the dial reads; (r,).

    What is the same for all rows is left out.
    """
    heard = view.heard()[:, HEARD.index(seen["heard"])]
    keys = [key for key in VALUES if key in seen]
    all_right = one_wrong = np.ones(len(view))
    if keys:
        each = np.array([table(view, key, seen)[:, seen[key]] for key in keys])
        others = np.array([len(VALUES[key]) - 1 for key in keys])[:, None]
        all_right = each.prod(axis=0)
        one_wrong = (all_right * (1 - each) / (others * each)).mean(axis=0)
    heard_wrong = (1 - heard) / (len(HEARD) - 1)
    of_heard = WRONG * WRONG_HEARD
    return _free(view, seen) * (
        heard * ((1 - WRONG) * all_right + (WRONG - of_heard) * one_wrong)
        + heard_wrong * of_heard * all_right
    )


def of_reading(view, seen):
    """Density of the dial reading for every error that the scale may have; (r, d), or (r, 1) of ones without one."""
    if "dial_hz" not in seen:
        return np.ones((len(view), 1))
    miss = view.place_hz[:, None] + view.bench.dial_offsets_hz - seen["dial_hz"]
    return (np.abs(miss) <= view.bench.reads_within_hz) / (2.0 * view.bench.reads_within_hz)


def _free(view, seen):
    """Everything that is not one of a few values."""
    share = view.everywhere()[:, seen["everywhere"]]
    tuned = PRESENT["on_station"]
    if "on_station" in seen:
        share = share * (view.on == seen["on_station"])
    else:
        share = share * np.where(view.on >= 0, 1 - tuned, 1)
    if seen["heard"] == "programme":
        share = share * recognising(view, seen.get("programme_of", ()))
    if seen["heard"] == "whistle":
        share = share * of_pitch(view, seen.get("pitch_khz")) * of_rate(view, seen.get("pitch_rate"))
    if "fell_db" in seen:
        share = share * fallen(view, seen["pad_db"], seen["fell_db"])
    if seen.get("other_set_off_stops") == 1:
        share = share * _other_dial(view, seen.get("other_set_dial_hz"))
    return share


def recognising(view, names):
    count = (view.named >= 0).sum(axis=1)
    each = _recognised(count)
    hits = sum((view.named == name).any(axis=1) for name in names) if names else 0
    of_row = np.where(
        hits == len(names), each ** len(names) * (1 - each) ** (count - len(names)).clip(0), 0.0
    )
    any_one = (len(names) == 1) / len(view.bench.station_hz)
    loose = 0.5 * any_one if names else 0.5
    told = SELDOM * any_one + (1 - SELDOM) * np.where(view.loose, loose, of_row)
    asked = PRESENT["programme_of"]
    return asked * told + (0 if names else 1 - asked)


def of_pitch(view, khz):
    """Pitch within a tenth of that at one of nine tunings, or anything; absent where none is heard."""
    asked, tones = PRESENT["pitch_khz"], view.pitch_khz
    told = (1 - SELDOM) * np.where(view.any_pitch, 1.0, (tones > 0.05).mean(axis=1)) + SELDOM
    if khz is None:
        return 1 - asked * told
    with np.errstate(divide="ignore", invalid="ignore"):
        near = np.abs(khz / tones - 1) <= 0.1 + 0.005 / tones
        dense = np.nan_to_num(np.where(near & (tones > 0.05), 1 / (0.2 * tones), 0.0)).mean(axis=1)
    loose = float(0.27 <= khz <= 5.5) / 4.7
    return asked * np.where(view.any_pitch, loose, (1 - SELDOM) * dense + SELDOM * loose)


def of_rate(view, rate):
    asked, own = PRESENT["pitch_rate"], view.rows["rate"]
    if rate is None:
        return np.where(own >= 0, 1 - asked, 1.0)
    low, high = 0.95 * own - 0.005, 1.05 * own + 0.055
    near = ((low <= rate) & (rate <= high)) / np.maximum(high - low, 0.01)
    return np.where(own >= 0, asked * np.where(view.loose, 1 / 6, (1 - SELDOM) * near + SELDOM / 6), 0.0)


def fallen(view, pad_db, fell_db):
    law, loose = view.rows["law"], (fell_db <= 4 * pad_db + 0.05) / (4 * pad_db)
    expected = np.maximum(law, 1) * pad_db

    def between(low, high):
        return ((low * expected - 0.05 <= fell_db) & (fell_db <= high * expected + 0.05)) / (
            (high - low) * expected
        )

    lawful = (0.1 - SELDOM) * between(0.3, 0.9) + 0.9 * between(0.9, 1.1)
    lawful = np.where(law == 0, (1 - SELDOM) * (fell_db <= 1.05), lawful)
    return np.where(view.loose, loose, SELDOM * loose + lawful)


def _other_dial(view, dial_hz):
    known = view.rows["other_hz"] > 0
    if dial_hz is None:
        return np.where(known, 0.5, 1.0)
    error = _other_error_hz(view.bench)
    return np.where(known & (np.abs(view.rows["other_hz"] - dial_hz) <= error + 500), 0.5 / (2 * error), 0.0)
