"""Whole hertz fit into int64 at the limits the models accept, also where integers are narrow; fractions agree."""

from __future__ import annotations

import sys
from dataclasses import replace
from fractions import Fraction
from functools import partial
from random import Random

import numpy as np
import pytest
from commandline import DEMO

from freqplan import (
    Band,
    Conversion,
    IfFilter,
    Orders,
    Plan,
    StationList,
    channel,
    load_plan,
    load_stations,
    mixing,
    survey,
)
from freqplan.errors import FreqplanError
from freqplan.hertz import HIGHEST_HZ
from freqplan.if_edges import BINARY_PLACES
from freqplan.mechanisms import FAMILIES
from freqplan.mixing import Combinations, Patterns, Tuning, tunings
from freqplan.plan import Clock, Synthesiser
from freqplan.plan_tables import HIGHEST_IF_HARMONIC, HIGHEST_ORDER, MOST_CONVERSIONS

TOP = 2**63
MOST_TAKEN = 3
"""Stations in a sum at most, each of up to `HIGHEST_HZ`."""

BANDS = {
    "high, half and half": (1, HIGHEST_HZ // 2, HIGHEST_HZ // 2, "high"),
    "high, all dial": (HIGHEST_HZ - 2, HIGHEST_HZ - 1, 1, "high"),
    "high, all IF": (1, 2, HIGHEST_HZ - 2, "high"),
    "low": (HIGHEST_HZ - 1, HIGHEST_HZ, HIGHEST_HZ - 2, "low"),
    "sum": (1, HIGHEST_HZ - 1, HIGHEST_HZ, "sum"),
    "unknown": (HIGHEST_HZ // 2 - 1, HIGHEST_HZ // 2, HIGHEST_HZ // 2 - 2, "unknown"),
}
"""Ends of the dial, IF and oscillator side at the edge of what is accepted."""


def at_the_limits(name, conversions=1):
    low, high, intermediate, side = BANDS[name]
    # Of four conversions one way through is enough: each more multiplies them.
    later_side = "unknown" if conversions == 2 else "high"
    later = tuple(
        Conversion(
            intermediate_hz=HIGHEST_HZ - step, tolerance_hz=HIGHEST_HZ - step - 1, oscillator=later_side
        )
        for step in range(conversions - 1)
    )
    return Plan(
        band=Band(low_hz=low, high_hz=high, raster_hz=high - low, modulation="fm", deviation_hz=HIGHEST_HZ),
        conversion=(
            Conversion(intermediate_hz=intermediate, tolerance_hz=intermediate - 1, oscillator=side), *later
        ),
        if_filter=IfFilter(bandwidth_hz=HIGHEST_HZ),
        orders=Orders(signal=HIGHEST_ORDER, oscillator=HIGHEST_ORDER, if_harmonic=HIGHEST_IF_HARMONIC),
        clock=(Clock(name="display", frequency_hz=HIGHEST_HZ),),
        synthesiser=Synthesiser(reference_hz=HIGHEST_HZ // 10),
    )  # fmt: skip


def every_sum(plan):
    for tuning in tunings(plan):
        for family in FAMILIES:
            for make in (family.responses, family.birdies, family.station_spots, family.station_sums):
                if make is not None and len(sums := make(plan, tuning)):
                    yield sums.combinations


def coefficients(some):
    """Each sum once as whole numbers of Python, which never overflow: a, b, c, fixed, slack."""
    parts = (some.a, some.b, some.c, some.fixed_hz, some.slack_hz)
    return set(zip(*(np.broadcast_to(part, len(some)).tolist() for part in parts), strict=True))


def needed(plan, a, b, c, fixed, slack):
    """The largest numerator and cross product of one sum."""
    a, b, c = abs(a), abs(b), abs(c)
    intermediate, tolerance = plan.conversion[0].intermediate_hz, plan.conversion[0].tolerance_hz
    whole = (
        a * plan.band.high_hz,
        b * (intermediate + tolerance),
        c * MOST_TAKEN * HIGHEST_HZ,
        abs(fixed),
        slack,
    )
    num, den = 2 * sum(whole), max(a + c, 1)  # own_range() doubles the middle
    # On the dial a window has the denominator 2 abs(a), and two ends of such are set against each other.
    wide = 2 * num * max(a, 1) + plan.if_filter.bandwidth_hz + 2 * max(c, 1) * plan.band.deviation_hz
    channels = 8 * den * (plan.band.raster_hz + plan.band.first_channel_hz)
    return num, max(num * den, wide * 2 * max(a, 1), 2 * wide + channels)


@pytest.mark.parametrize(
    ("name", "conversions"),
    [
        *((name, count) for name in BANDS for count in (1, 2)),
        ("low", MOST_CONVERSIONS),
        ("sum", MOST_CONVERSIONS),
    ],
)
def test_nothing_reaches_the_end_of_int64_at_the_limits_of_the_models(name, conversions):
    plan = at_the_limits(name, conversions)
    rows = {row for some in every_sum(plan) for row in coefficients(some)}
    assert max(abs(a) for a, *_ in rows) >= HIGHEST_ORDER
    assert max(abs(b) for _, b, *_ in rows) >= HIGHEST_IF_HARMONIC
    nums, products = zip(*(needed(plan, *row) for row in rows), strict=True)
    # What the module `mixing` and DEVELOPERS.md say, and the bound itself.
    assert max(nums) < 2 * 10**16
    assert max(products) < 10**18 < TOP
    assert HIGHEST_HZ << BINARY_PLACES < 10**18


BEYOND = {
    "band": lambda: Band(low_hz=1, high_hz=HIGHEST_HZ + 1),
    "intermediate": lambda: Conversion(intermediate_hz=HIGHEST_HZ + 1),
    "tolerance": lambda: Conversion(intermediate_hz=1, tolerance_hz=HIGHEST_HZ + 1),
    "fixed oscillator": lambda: Conversion(intermediate_hz=1, fixed_oscillator_hz=HIGHEST_HZ + 1),
    "bandwidth": lambda: IfFilter(bandwidth_hz=HIGHEST_HZ + 1),
    "deviation": lambda: Band(low_hz=1, high_hz=2, deviation_hz=HIGHEST_HZ + 1),
    "clock": lambda: Clock(name="display", frequency_hz=HIGHEST_HZ + 1),
    "reference": lambda: Synthesiser(reference_hz=HIGHEST_HZ + 1),
    "signal": lambda: Orders(signal=HIGHEST_ORDER + 1),
    "oscillator": lambda: Orders(oscillator=HIGHEST_ORDER + 1),
    "IF harmonic": lambda: Orders(if_harmonic=HIGHEST_IF_HARMONIC + 1),
    "station": lambda: StationList.from_frequencies([HIGHEST_HZ + 1]),
    "conversions": lambda: at_the_limits("sum", MOST_CONVERSIONS + 1),
    "oscillator above": lambda: Plan(
        band=Band(low_hz=1, high_hz=2), conversion=(Conversion(intermediate_hz=HIGHEST_HZ - 1, oscillator="high"),)
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", BEYOND)
def test_what_lies_beyond_the_limits_is_refused(what):
    with pytest.raises(FreqplanError):
        BEYOND[what]()


def as_fractions(some, dial_hz, above_hz):
    """What the engine must say of each sum: the signal at a setting, the setting with the station on it."""
    for a, b, c, fixed in zip(*(np.broadcast_to(part, len(some)).tolist() for part in (
        some.a, some.b, some.c, some.fixed_hz)), strict=True):  # fmt: skip
        steady = b * some.intermediate_hz + fixed
        yield (
            Fraction(-(a * dial_hz + steady), c) if c else None,
            Fraction(-(steady + c * above_hz), a + c) if a + c else None,
        )


@pytest.mark.parametrize("name", BANDS)
def test_at_the_limits_the_engine_says_what_fractions_say(name):
    plan = at_the_limits(name)
    for some in every_sum(plan):
        for dial_hz in (plan.band.low_hz, plan.band.high_hz):
            told = zip(some.signal(dial_hz).exact(), some.own_dial(above_hz=HIGHEST_HZ).exact(), strict=True)
            assert list(told) == list(as_fractions(some, dial_hz, HIGHEST_HZ))


# --- platforms on which numpy makes narrow integers unless told otherwise -------------------------


class Narrow:
    """numpy as it is where whole numbers have 32 bits by default."""

    def __getattr__(self, name):
        member = getattr(np, name)
        return self._narrowed(member) if name in self.MAKERS else member

    MAKERS = (
        "array", "asarray", "arange", "full", "zeros", "ones", "argsort", "lexsort", "searchsorted", "flatnonzero",
        "bincount", "count_nonzero", "sum",
    )  # fmt: skip

    @staticmethod
    def _narrowed(make):
        def made(*args, **words):
            values = make(*args, **words)
            given = any(isinstance(each, np.ndarray | np.generic) for each in args[:1]) and make in (
                np.array, np.asarray, np.sum
            )  # fmt: skip
            typed = "dtype" in words or any(isinstance(each, type | np.dtype) for each in args)
            if given or typed or not isinstance(values, np.ndarray) or values.dtype != np.int64:
                return values
            fits = not values.size or (abs(int(values.min())) < 2**31 and abs(int(values.max())) < 2**31)
            return values.astype(np.int32) if fits else values

        return made


@pytest.fixture
def narrow(monkeypatch):
    def switch_on():
        for name, module in list(sys.modules.items()):
            if name.startswith("freqplan.") and getattr(module, "np", None) is np:
                monkeypatch.setattr(module, "np", Narrow())

    return switch_on


def answers(plan, stations):
    tables = survey(plan, stations).to_dict(), channel(plan, plan.middle_channel_hz, stations).to_dict()
    return repr(tables)


@pytest.mark.parametrize("name", ["pantry", "workshop"])
def test_narrow_integers_by_default_change_nothing(name, narrow):
    # Of such orders: 25 times 98 MHz is more than 32 bits hold.
    plan = load_plan(DEMO / f"{name}.toml").with_changes(orders=(HIGHEST_ORDER, HIGHEST_ORDER))
    stations = StationList.from_frequencies(load_stations(DEMO / "orvessa.csv").frequency_hz[::40].tolist())
    wide = answers(plan, stations)
    clear_caches()
    narrow()
    assert isinstance(mixing.np, Narrow)
    told = answers(plan, stations)
    clear_caches()
    assert told == wide


def test_a_platform_with_narrow_integers_would_be_noticed():
    made = Narrow()
    assert made.full(2, 2_000_000_000).dtype == np.int32
    assert (made.full(2, 2_000_000_000) * 2).tolist() != [4_000_000_000] * 2
    assert made.full(2, 2_000_000_000, dtype=np.int64).dtype == np.int64


def clear_caches():
    for name, module in list(sys.modules.items()):
        if name.startswith("freqplan."):
            for member in vars(module).values():
                if hasattr(member, "cache_clear"):
                    member.cache_clear()


# --- ten thousand random plans --------------------------------------------------------------------

PLANS, SEED = 10_000, 1
RECEIVED = {"high": (1, 1), "low": (1, -1), "sum": (-1, 1)}
"""How often dial and IF are taken in the oscillator."""


def drawn(random, side):
    """A plan of whole hertz, few of them round, from long wave to the highest bands."""
    low = random.randrange(100_000, 10 ** random.randrange(6, 12))
    high = low + random.randrange(1, low)
    intermediate = random.randrange(1, low) if side != "sum" else high + random.randrange(1, low)
    return Plan(
        band=Band(low_hz=low, high_hz=high, raster_hz=high - low),
        conversion=(
            Conversion(intermediate_hz=intermediate, tolerance_hz=intermediate // 9, oscillator=side),
        ),
    )


def drawn_way(random, side):
    """Any way to receive a signal but the wanted one."""
    while True:
        way = (
            random.randint(1, HIGHEST_ORDER),
            random.randint(-HIGHEST_ORDER, HIGHEST_ORDER),
            random.choice((1, -1)),
        )
        if way != Tuning(side, 1).wanted:
            return way


def root(line):
    """Where a straight line is zero, from two of its points; None where it is level."""
    at_0, at_1 = Fraction(line(0)), Fraction(line(1))
    return None if at_0 == at_1 else at_0 / (at_0 - at_1)


def off_if(dial, signal, *, if_hz, m, n, e, often, times):
    """How far a product lies from the middle of the IF, by the definition."""
    return e * (n * (often * dial + times * if_hz) - m * signal) - if_hz


@pytest.mark.parametrize("side", RECEIVED)
def test_ten_thousand_random_plans_agree_with_fractions(side):
    """A response and a harmonic of each: signal at an end of the dial, setting, its range, offset; all at once."""
    random, (often, times) = Random(SEED), RECEIVED[side]
    every = [drawn(random, side) for _ in range(PLANS // len(RECEIVED) + 1)]
    ways = [drawn_way(random, side) for _ in every]
    dials = [random.choice((plan.band.low_hz, plan.band.high_hz)) for plan in every]
    signals = [random.randrange(1, 3 * plan.band.high_hz) for plan in every]
    ifs = [plan.conversion[0].intermediate_hz for plan in every]

    dial_hz, signal_hz, if_hz = (np.array(some, dtype=np.int64) for some in (dials, signals, ifs))
    way = Patterns(*np.array(ways, dtype=np.int64).T)
    some = replace(Combinations.of_patterns(Tuning(side, 1), way), intermediate_hz=if_hz)
    offs = [
        partial(off_if, if_hz=own, m=m, n=n, e=e, often=often, times=times)
        for own, (m, n, e) in zip(ifs, ways, strict=True)
    ]
    assert some.signal(dial_hz).exact() == [
        root(partial(off, dial)) for off, dial in zip(offs, dials, strict=True)
    ]
    assert some.own_dial().exact() == [root(lambda dial, off=off: off(dial, dial)) for off in offs]
    assert some.offset(dial_hz, signal_hz).tolist() == [
        off(*both) for off, *both in zip(offs, dials, signals, strict=True)
    ]
    k, slacks = [m + 1 for m, _, _ in ways], [plan.conversion[0].tolerance_hz for plan in every]
    zeros = np.zeros_like(if_hz)
    harmonic = Combinations(zeros + 1, -np.array(k, dtype=np.int64), zeros, if_hz)
    low, high = harmonic.own_range(np.array(slacks, dtype=np.int64))
    assert harmonic.own_dial().exact() == [times * own for times, own in zip(k, ifs, strict=True)]
    assert low.exact() == [times * (own - slack) for times, own, slack in zip(k, ifs, slacks, strict=True)]
    assert high.exact() == [times * (own + slack) for times, own, slack in zip(k, ifs, slacks, strict=True)]
