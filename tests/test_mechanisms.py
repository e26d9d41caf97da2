"""Rows of the catalogue, each family against plain loops: which sums there are, what they come to, how they behave."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from freqplan import Band, Conversion, Orders, Plan
from freqplan.mechanisms import (
    FAMILIES,
    catalogue,
    explained,
    one_signal,
    other_sets,
    own_if,
    own_oscillator,
    several_signals,
)
from freqplan.mechanisms.kinds import Sums, joined
from freqplan.mixing import Combinations, Tuning

IF_HZ, SECOND_HZ, DIAL_HZ, SIGNAL_HZ = 10_700_009, 455_003, 98_100_007, 119_500_013
SIDES = ("high", "low", "sum")
W = {"high": 1, "low": -1, "sum": 1}
OSCILLATOR_HZ = {"high": DIAL_HZ + IF_HZ, "low": DIAL_HZ - IF_HZ, "sum": IF_HZ - DIAL_HZ}
WANTED = {"high": (1, 1), "low": (1, -1), "sum": (-1, -1)}
MOST_M, MOST_N, MOST_K = 4, 3, 4

pytestmark = pytest.mark.parametrize("side", SIDES)


def plan_of(side, *later):
    low_hz, high_hz = (1_600_000, 9_000_000) if side == "sum" else (87_500_000, 108_000_000)
    return Plan(
        band=Band(low_hz=low_hz, high_hz=high_hz),
        conversion=(Conversion(intermediate_hz=IF_HZ, oscillator=side), *later),
        orders=Orders(signal=MOST_M, oscillator=MOST_N, if_harmonic=MOST_K),
    )


def rows_of(sums):
    """Every row by its columns, with its order and what its sum comes to at one dial setting and signal."""
    offset = sums.combinations.offset(DIAL_HZ, SIGNAL_HZ)
    columns = {**{name: sums.array(name) for name in sums.columns}, "order": sums.order, "offset_hz": offset}
    assert {len(values) for values in columns.values()} == {len(sums)}
    whole = {
        part.dtype for part in (sums.combinations.a, sums.combinations.b, sums.combinations.c, sums.order)
    }
    assert whole == {np.dtype(np.int64)}
    assert {values.dtype for values in columns.values()} <= {np.dtype(np.int64), np.dtype(object)}
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def products(side):
    """Every product of one signal and the oscillator, lowest order first, named as on paper."""
    every = [
        (m, n, e) for m in range(1, MOST_M + 1) for n in range(-MOST_N, MOST_N + 1) for e in (1, -1)
        if (m, n, e) != (1, *WANTED[side])
    ]  # fmt: skip
    for m, n, e in sorted(every, key=lambda one: (one[0] + abs(one[1]), one[0], one[1], -one[2])):
        yield {
            "mechanism": name_of(m, n),
            "oscillator": side,
            "m": m,
            "n": n,
            "e": e,
            "tuning_slope": e * n * W[side],
            "beat_rate": abs(e * n * W[side] - 1),
            "level_law": m,
            "order": m + abs(n),
            "offset_hz": e * (n * OSCILLATOR_HZ[side] - m * SIGNAL_HZ) - IF_HZ,
        }


def name_of(m, n):
    if n <= 0:
        return "if-breakthrough" if n == 0 else "harmonic-mixing"
    if m == n:
        return {1: "image", 2: "half-if"}.get(n, "fractional-if")
    return "oscillator-harmonic" if m == 1 else "signal-harmonic" if n == 1 else "harmonic-mixing"


def test_products_of_one_signal(side):
    plan, tuning = plan_of(side), Tuning(side, IF_HZ)
    found = one_signal.responses(plan, tuning)
    assert rows_of(found) == list(products(side))
    assert one_signal.responses(plan, tuning) is found
    assert not any(found.array(name).flags.writeable for name in found.columns)


def test_the_station_tuned_in_makes_the_same_products_but_for_those_that_stand_still(side):
    # With fX = fT, e (n sigma - m) = 0 leaves no dial setting to solve for.
    moving = [row for row in products(side) if row["n"] * (-1 if side == "sum" else 1) != row["m"]]
    found = one_signal.own_station(plan_of(side), Tuning(side, IF_HZ))
    assert rows_of(found) == [{**row, "mechanism": "self-mixing"} for row in moving]


def test_harmonics_of_each_if(side):
    second = Conversion(intermediate_hz=SECOND_HZ, oscillator="low", tolerance_hz=700)
    plain = {"mechanism": "if-harmonic", "oscillator": side, "level_law": 0}
    first = [
        {**plain, "k": k, "beat_rate": k, "order": k, "offset_hz": DIAL_HZ - k * IF_HZ}
        for k in range(2, MOST_K + 1)
    ]
    assert rows_of(own_if.harmonics(plan_of(side), Tuning(side, IF_HZ))) == first
    both = own_if.harmonics(plan_of(side, second), Tuning(side, IF_HZ))
    assert rows_of(both) == [{**row, "name": None, "sources_hz": None} for row in first] + [
        {
            **row,
            "name": "conversion 2",
            "sources_hz": (SECOND_HZ,),
            "offset_hz": DIAL_HZ - row["k"] * SECOND_HZ,
        }
        for row in first
    ]
    assert both.combinations.slack_hz.tolist() == [0] * len(first) + [k * 700 for k in range(2, MOST_K + 1)]


def test_the_oscillator_alone(side):
    plan, tuning, own_hz = plan_of(side), Tuning(side, IF_HZ), OSCILLATOR_HZ[side]
    assert rows_of(own_oscillator.in_the_if(plan, tuning)) == [
        {
            "mechanism": "oscillator-in-if",
            "oscillator": side,
            "n": n,
            "level_law": 0,
            "order": n,
            "offset_hz": n * own_hz - IF_HZ,
        }
        for n in range(1, MOST_N + 1)
    ]
    assert rows_of(own_oscillator.on_a_station(plan, tuning)) == [
        {
            "mechanism": "oscillator-on-station",
            "oscillator": side,
            "order": 5,
            "offset_hz": own_hz - SIGNAL_HZ,
        }
    ]


def receptions(side, most_n):
    """How each kind of sum is received: the sum in the place of one signal."""
    kinds = [("A-B", 2, False), ("A+B", 2, False), ("2A-B", 3, False), ("A+B-C", 3, False)]
    for kind, order, outside in [*kinds, *((kind, order, True) for kind, order, _ in kinds if order == 3)]:
        for n in range(-most_n, most_n + 1):
            for e in (1, -1) if n else (-1,):
                mechanism = (
                    "third-order-outside" if outside else "second-order" if order == 2 else "third-order"
                )
                pair = {("A-B", 0): "if-spaced-pair", ("A+B", 2): "pair-half-if"}
                wanted = (n, e) == WANTED[side]
                place = "dial" if wanted else {0: "if", 1: "image"}.get(n, "other")
                yield {
                    "kind": kind,
                    "mechanism": pair.get((kind, n), mechanism),
                    "oscillator": side,
                    "lands_on": "half-if" if (kind, n) == ("A+B", 2) else place,
                    "n": n,
                    "e": e,
                    "tuning_slope": e * n * W[side],
                    "beat_rate": abs(e * n - W[side]),
                    "level_law": 1 if outside else order,
                    "order": order + abs(n),
                    "offset_hz": e * (n * OSCILLATOR_HZ[side] - SIGNAL_HZ) - IF_HZ,
                }


@pytest.mark.parametrize("most_n", [1, 3])
def test_sums_of_stations_are_received_like_one_signal(side, most_n):
    plan = plan_of(side).model_copy(update={"orders": Orders(signal=1, oscillator=most_n)})
    assert rows_of(several_signals.receptions(plan, Tuning(side, IF_HZ))) == list(
        receptions(side, max(most_n, 2))
    )


@pytest.mark.parametrize("culprit", SIDES)
def test_the_oscillator_of_another_set_comes_in_three_ways(side, culprit):
    sigma, t = {"high": (1, 1), "low": (1, -1), "sum": (-1, 1)}[culprit]
    theirs_hz = sigma * SIGNAL_HZ + t * SECOND_HZ
    own_n, own_e = WANTED[side]
    ways = {"wanted": (own_n, own_e), "image": (1, 1 if side == "low" else -1), "if": (0, -1)}
    assert rows_of(other_sets.between(Tuning(culprit, SECOND_HZ), Tuning(side, IF_HZ), 3)) == [
        {
            "mechanism": "other-receiver",
            "culprit_oscillator": culprit,
            "victim_oscillator": side,
            "way": way,
            "harmonic": h,
            "tuning_slope": e * n * W[side],
            "beat_rate": abs(e * n * W[side] - 1),
            "other_beat_rate": h,
            "level_law": 1,
            "order": 3 * h + place,
            "offset_hz": e * (n * OSCILLATOR_HZ[side] - h * theirs_hz) - IF_HZ,
        }
        for place, (way, (n, e)) in enumerate(ways.items())
        for h in (1, 2, 3)
    ]


def test_tables_are_put_together_and_taken_apart(side):
    plan, tuning = plan_of(side), Tuning(side, IF_HZ)
    one = own_if.harmonics(plan, tuning)
    other = own_if.harmonics(
        plan_of(side, Conversion(intermediate_hz=SECOND_HZ, oscillator="low", tolerance_hz=9)), tuning
    )
    other = Sums(other.combinations, {name: other.columns[name] for name in one.columns}, other.order)
    whole = joined([one, one.take(np.zeros(0, dtype=np.int64)), other], IF_HZ)
    assert rows_of(whole) == rows_of(one) + rows_of(other)
    assert whole.combinations.slack_hz.tolist() == [0] * len(one) + other.combinations.slack_hz.tolist()
    assert whole.combinations.intermediate_hz == IF_HZ
    assert rows_of(whole.take(np.array([4, 0]))) == [rows_of(whole)[4], rows_of(whole)[0]]
    assert rows_of(joined([one], IF_HZ)) == rows_of(one)
    single = Sums(Combinations(*np.ones((3, 1), dtype=np.int64), IF_HZ, 7, 3), {}, np.array([2]))
    both = joined([single, single], 5)
    assert (both.combinations.fixed_hz.tolist(), both.combinations.slack_hz.tolist()) == ([7, 7], [3, 3])
    assert both.combinations.intermediate_hz == 5


def test_of_no_parts_comes_an_empty_table(side):
    empty = joined(
        [own_if.harmonics(plan_of(side), Tuning(side, IF_HZ)).take(np.zeros(0, dtype=np.int64))], IF_HZ
    )
    assert (len(empty), dict(empty.columns), empty.combinations.intermediate_hz) == (0, {}, IF_HZ)
    assert {part.dtype for part in (empty.combinations.a, empty.order)} == {np.dtype(np.int64)}
    assert len(empty.combinations.b) == len(empty.combinations.c) == 0


def test_what_nothing_weakens_is_as_strong_as_mixer_and_front_end_let_it_be(side):
    plain = own_if.harmonics(plan_of(side), Tuning(side, IF_HZ))
    assert plain.below_db.tolist() == [0.0] * len(plain)
    weaker = Sums(plain.combinations, {**plain.columns, "below_db": np.array([1, 2, 3])}, plain.order)
    assert weaker.below_db.tolist() == [1.0, 2.0, 3.0]
    assert weaker.below_db.dtype == np.float64


def test_a_table_shows_columns_order_and_what_is_added(side):
    sums = own_if.harmonics(plan_of(side), Tuning(side, IF_HZ))
    table = sums.findings("Harmonics", lands_on=np.array(["x"] * len(sums), object))
    assert table.title == "Harmonics"
    assert table.values("order") == [2, 3, 4]
    assert table.values("lands_on") == ["x", "x", "x"]
    assert table.values("k") == [2, 3, 4]


def test_words_of_the_catalogue_come_once_in_its_order(side):
    everything = catalogue()
    assert [one.id for family in FAMILIES for one in family.mechanisms] == list(everything)
    table = explained(["if-harmonic", "image", "if-harmonic", side])
    assert table.title == "Mechanisms"
    assert [row["mechanism"] for row in table.rows()] == ["image", "if-harmonic"]
    for row in table.rows():
        mechanism = everything[row["mechanism"]]
        told = {field.name for field in fields(mechanism)} - {"id", "check"}
        assert {name: row[name] for name in told} == {name: getattr(mechanism, name) for name in told}
    assert explained(everything, FAMILIES[1:2]).values("mechanism") == ["if-harmonic", "if-oscillation"]
    assert repr(FAMILIES[1]) == "<if-harmonic, if-oscillation>"
