"""What stands in where a plan has nothing to show of a mechanism: stations, clocks and sets said to be examples."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from freqplan.hertz import HZ_IN
from freqplan.mixing import Combinations, Patterns, tunings
from freqplan.plan import HIGHEST_ORDER, Band, Clock, Conversion, Plan, Stereo, Synthesiser
from freqplan.stations import StationList

StandIns: TypeAlias = "Iterator[tuple[str, Plan, StationList | None]]"

STATIONS = "The stations are an example."
NAMED = "strong station"
FEW_STEPS = 4
"""Channels between the stations of an example: far enough for their names, near enough for one picture."""

USUAL_LATER_HZ = 455 * HZ_IN["kHz"]
BESIDE_HZ = 50 * HZ_IN["kHz"]
"""A neighbour in a raster of 50 kHz: 12 kHz from the subcarrier of the decoder."""


def _listed(plan: Plan, *hertz: int) -> StandIns:
    yield STATIONS, plan, StationList.from_frequencies(hertz, [NAMED] * len(hertz))


def _on_the_dial(plan: Plan) -> StandIns:
    """Yield two stations whose third-order sum is the middle channel."""
    step, middle = FEW_STEPS * plan.band.raster_hz, plan.middle_channel_hz
    return _listed(plan, middle + step, middle + 2 * step)


def _of_other_bands(plan: Plan) -> StandIns:
    """Yield two stations below the band whose sum is the middle channel."""
    lower = plan.nearest_channel_hz(plan.band.low_hz) * 2 // 5
    return _listed(plan, plan.middle_channel_hz - lower, lower)


def _an_if_apart(plan: Plan) -> StandIns:
    own_if = plan.conversion[0].intermediate_hz
    low = plan.nearest_channel_hz(plan.middle_channel_hz - own_if // 2)
    return _listed(plan, low + own_if, low)


def _about_half_if(plan: Plan) -> StandIns:
    """Yield two stations on either side of the near half-IF place of the middle channel."""
    (tuning, *_), step = tunings(plan), FEW_STEPS * plan.band.raster_hz
    once = [np.array([part], dtype=np.int64) for part in (2, 2, tuning.t)]
    place = Combinations.of_patterns(tuning, Patterns(*once)).signal(plan.middle_channel_hz).exact()[0]
    return _listed(plan, *(int(place or 0) + side * step for side in (-1, 1)))


def _beside(plan: Plan) -> StandIns:
    if plan.band.modulation == "fm":
        with_decoder = plan if plan.stereo.decoder != "none" else _changed(plan, stereo=Stereo())
        yield (
            STATIONS,
            with_decoder,
            StationList.from_frequencies(
                [plan.middle_channel_hz, plan.middle_channel_hz + BESIDE_HZ], ["wanted", "neighbour"]
            ),
        )


def _of_higher_orders(plan: Plan) -> StandIns:
    remark = f"Up to the orders of the plan there is none: this one is of orders up to {HIGHEST_ORDER}."
    yield remark, plan.with_changes(orders=(HIGHEST_ORDER, HIGHEST_ORDER)), None


def _with_clock(plan: Plan) -> StandIns:
    """Yield the set with a clock of whole kilohertz whose harmonic is the middle channel."""
    kilohertz = HZ_IN["kHz"]
    parts = (times for times in range(14, 1, -1) if plan.middle_channel_hz % (times * kilohertz) == 0)
    hertz = plan.middle_channel_hz // next(parts, 1)
    yield "The clock is an example.", _changed(plan, clock=(Clock(name="clock", frequency_hz=hertz),)), None


def _with_synthesiser(plan: Plan) -> StandIns:
    own = Synthesiser(reference_hz=plan.band.raster_hz)
    yield "The synthesiser is an example.", _changed(plan, synthesiser=own), None


def _with_heard_synthesiser(plan: Plan) -> StandIns:
    if plan.band.modulation == "fm":
        own, decoder = Synthesiser(reference_hz=BESIDE_HZ), Stereo()
        yield "The synthesiser is an example.", _changed(plan, synthesiser=own, stereo=decoder), None


def _with_second_conversion(plan: Plan) -> StandIns:
    first = plan.conversion[0]
    if first.intermediate_hz > 4 * USUAL_LATER_HZ:
        second = Conversion(intermediate_hz=USUAL_LATER_HZ, oscillator="high")
        used = _changed(plan, conversion=(first, second))
        yield "The second conversion is an example.", used, None


def _with_two_oscillators(plan: Plan) -> StandIns:
    """Yield the set, or one with a second conversion, at orders high enough for a product of both oscillators."""
    yield from _of_higher_orders(plan)
    for remark, other, _ in _with_second_conversion(plan):
        yield from ((f"{remark} {more}", used, None) for more, used, _ in _of_higher_orders(other))


def _of_another_band(plan: Plan) -> StandIns:
    """Yield a low-side set whose dial runs over twice its IF, where the oscillator meets the IF."""
    first_hz = plan.conversion[0].intermediate_hz
    band = Band(low_hz=first_hz * 7 // 4, high_hz=first_hz * 5 // 2)
    used = Plan(
        title="Example set", band=band, conversion=(Conversion(intermediate_hz=first_hz, oscillator="low"),)
    )
    yield (
        "This set cannot have it: the numbers are for an example set, low side, tuned over twice its IF.",
        used,
        None,
    )


def _changed(plan: Plan, **values: object) -> Plan:
    return Plan(**(plan.given() | values))


STAND_INS: Mapping[str, Callable[[Plan], StandIns]] = MappingProxyType(
    {
        "self-mixing": _of_higher_orders,
        "fractional-if": _of_higher_orders,
        "oscillator-harmonic": _of_higher_orders,
        "signal-harmonic": _of_higher_orders,
        "half-if": _of_higher_orders,
        "harmonic-mixing": _of_higher_orders,
        "transmitter-harmonic": _of_higher_orders,
        "oscillator-in-if": _of_another_band,
        "second-order": _of_other_bands,
        "third-order": _on_the_dial,
        "third-order-outside": _on_the_dial,
        "if-spaced-pair": _an_if_apart,
        "pair-half-if": _about_half_if,
        "internal-clock": _with_clock,
        "synthesiser-sideband": _with_synthesiser,
        "reference-ripple": _with_heard_synthesiser,
        "second-image": _with_second_conversion,
        "oscillator-product": _with_two_oscillators,
        "decoder-neighbour": _beside,
    }
)
"""What to take in place of a plan, or of its stations, for each mechanism that it may be without."""
