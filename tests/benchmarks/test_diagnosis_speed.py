"""A diagnosis with a list of eighty stations against the nested loops that one would write instead, in one run.

``pytest tests/benchmarks/test_diagnosis_speed.py -s``
"""

from __future__ import annotations

import statistics
import time

from by_hand import HIGH_HZ, LOW_HZ, town
from diagnosis_by_hand import Heard, causes_by_loops

from freqplan import Band, Conversion, Evidence, Plan, StationList, Symptom, diagnose

HALF_IF_HZ = 5_350_000


def plan():
    return Plan(
        title="Speed",
        band=Band(low_hz=LOW_HZ, high_hz=HIGH_HZ),
        conversion=(Conversion(intermediate_hz=10_700_000),),
    )


def seconds(call, runs):
    taken = []
    for _ in range(runs):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken[1:] or taken)


def symptoms(count):
    """Half-IF ghosts of as many stations, each with its programme and a pad, as a person would write them down."""
    hertz = [one for one in town() if one - HALF_IF_HZ > LOW_HZ + 1_000_000][:: 80 // (4 * count)][:count]
    return [
        Symptom(
            dial_hz=one - HALF_IF_HZ + 50_000, heard="programme", programme_of=(f"{one} Hz",), aerial_out="goes",
            width="half", pad_db=10.0, fell_db=20.0,
        )
        for one in hertz
    ]  # fmt: skip


def answer(told, stations):
    """Everything of an answer but its screen: causes with their sums, tests, and the page."""
    result = diagnose(plan(), Evidence(symptoms=tuple(told)), stations)
    return result.to_dict(), result.sections


def loops(told):
    hertz = town()
    return [
        causes_by_loops(
            hertz,
            Heard(one.dial_hz, hertz.index(int(one.programme_of[0].split()[0])), one.pad_db, one.fell_db),
        )
        for one in told
    ]


def test_both_name_the_same_cause():
    told = symptoms(4)
    found, _ = answer(told, StationList.from_frequencies(town()))
    for number, by_loops in enumerate(loops(told), 1):
        rows = [row for row in found["causes"] if row["symptom"] == number]
        assert rows[0]["mechanism"] == "half-if" == max(by_loops, key=by_loops.__getitem__)


def test_one_and_four_symptoms_with_eighty_stations():
    stations = StationList.from_frequencies(town())
    by_loops = seconds(lambda: loops(symptoms(1)), 3)
    print(f"\n80 stations, both sides, one symptom: loops {by_loops:.2f} s")
    for count in (1, 4):
        told = symptoms(count)
        observed = Evidence(symptoms=tuple(told))
        weighing = seconds(lambda seen=observed: diagnose(plan(), seen, stations).findings, 15)
        whole = seconds(lambda seen=told: answer(seen, stations), 15)
        times = [count * by_loops / each for each in (weighing, whole)]
        print(
            f"  {count} symptom(s): causes and tests {1e3 * weighing:.1f} ms, the loops {times[0]:.0f} times as long"
        )
        print(f"    with sums, page and JSON {1e3 * whole:.1f} ms, the loops {times[1]:.0f} times as long")


def test_without_a_list_and_with_many_stations():
    print()
    told = symptoms(1)
    print(f"  no list: {1e3 * seconds(lambda: answer(told, None), 15):.1f} ms")
    for count in (20, 200):
        channels = range(LOW_HZ, HIGH_HZ, (HIGH_HZ - LOW_HZ) // count)
        more = StationList.from_frequencies(list(channels)[:count])
        print(f"  {count} stations: {1e3 * seconds(lambda listed=more: answer(told, listed), 7):.1f} ms")
