"""Sets in towns per second, against a plain loop that calls the survey for each, with equal counts.

``pytest tests/benchmarks/test_sweep_speed.py -s``
"""

from __future__ import annotations

import time

import numpy as np

from freqplan import Band, Conversion, FrontEnd, Mixer, Plan, StationList, survey, sweep

TOWNS, STATIONS = 20, 60
IFS_HZ = [10_600_000, 10_650_000, 10_700_000, 10_750_000, 10_800_000]
CIRCUITS = [2, 3]


def plan():
    return Plan(
        title="Speed",
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        front_end=FrontEnd(circuits_before_mixer=3, loaded_q=45.0, gain_db=20.0),
        mixer=Mixer(kind="exponential", oscillator_drive=4.0),
    )


def towns(count=TOWNS):
    rng = np.random.default_rng(1)
    found = {}
    for place in range(count):
        hertz = 87_500_000 + 100_000 * rng.choice(206, STATIONS, replace=False)
        found[f"Town {place}"] = StationList.from_frequencies(
            hertz.tolist(), level_dbuv=rng.uniform(10, 80, STATIONS).tolist()
        )
    return found


def timed(call):
    started = time.perf_counter()
    found = call()
    return found, time.perf_counter() - started


def by_survey(plan, towns, *, everything):
    """Count the ghosts heard of each choice in each town; with `everything` the whole answer is asked for."""
    counts = []
    for stations in towns.values():
        for intermediate_hz in IFS_HZ:
            for side in ("high", "low"):
                for number in CIRCUITS:
                    front = FrontEnd(**plan.front_end.given() | {"circuits_before_mixer": number})
                    own = Plan(**plan.given() | {"front_end": front})
                    own = own.with_changes(oscillator=side, intermediate_hz=intermediate_hz)
                    found = survey(own, stations)
                    if everything:
                        _ = found.heard
                    margins = found.ghosts.floats("margin_db")
                    counts.append(int((margins < 0).sum()))
    return counts


def test_sets_per_second():
    asked = {"intermediates_hz": IFS_HZ, "circuits": CIRCUITS}
    some = towns()
    sweep(plan(), towns=towns(1), **asked)
    found, own_s = timed(lambda: sweep(plan(), towns=some, **asked))
    counts, ghosts_s = timed(lambda: by_survey(plan(), some, everything=False))
    few = dict(list(some.items())[:1])
    _, heard_s = timed(lambda: by_survey(plan(), few, everything=True))
    assert found.rows["ghosts"].ravel().tolist() == counts
    sets = len(found.work)
    print(
        f"\n{sets} sets of {STATIONS} stations: {sets / own_s:.0f} a second, {1000 * own_s / sets:.2f} ms each"
    )
    print(f"a loop that asks surveys for their ghosts takes {ghosts_s / own_s:.2f} times as long")
    print(f"a loop that asks surveys for all that is heard takes {TOWNS * heard_s / own_s:.0f} times as long")
    two, two_s = timed(lambda: sweep(plan(), towns=some, n_jobs=2, **asked))
    assert two.rows.tobytes() == found.rows.tobytes()
    print(f"two processes, started for it: {two_s:.2f} s against {own_s:.2f} s")
