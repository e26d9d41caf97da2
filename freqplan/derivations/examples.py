"""An example of every mechanism on a given set: a row that the engine gives, or a plain one where the set has none."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.derivations.rows import case_of_row
from freqplan.derivations.steps import Case
from freqplan.errors import ModelRangeError
from freqplan.mechanisms import (
    Sums,
    catalogue,
    conversions,
    one_signal,
    oscillator_pairs,
    own_if,
    own_oscillator,
)
from freqplan.mixing import Combinations, Patterns, Tuning
from freqplan.plan_tables import Conversion
from freqplan.station_sums import TIMES

if TYPE_CHECKING:
    from freqplan.plan import Plan

ENOUGH = 10
"""Orders up to which an example is looked for, whatever the plan's own."""


@dataclass(frozen=True)
class Example:
    """A case to show a mechanism by.

    Attributes
    ----------
    case : Case
        With its numbers.
    remark : str
        What of it is invented, or lies elsewhere than in the set's own band; empty where nothing does.
    """

    case: Case
    remark: str = ""


def example(plan: Plan, tuning: Tuning, mechanism: str) -> Example:
    """Return a telling example of a mechanism, with the dial near the middle of the band where it is free to choose."""
    found = FINDERS.get(mechanism, _free)
    row, remark, own_plan, side = found(_Bench(plan, tuning), mechanism)
    case = case_of_row(own_plan, side, {"mechanism": mechanism, **row}, title=catalogue()[mechanism].title)
    return Example(case, remark)


@dataclass(frozen=True)
class _Bench:
    plan: Plan
    tuning: Tuning

    @property
    def middle_hz(self) -> int:
        return self.plan.middle_channel_hz

    def inside(self, hertz: Fraction | int | None) -> bool:
        return hertz is not None and self.plan.band.low_hz <= hertz <= self.plan.band.high_hz

    def answer(self, row: Mapping[str, Any], remark: str = "") -> _Answer:
        return row, remark, self.plan, self.tuning

    def text(self, hertz: Fraction | int) -> str:
        return f"{self.plan.rounding.fine(hertz)} {self.plan.rounding.unit}"


_Answer = tuple[Mapping[str, Any], str, "Plan", Tuning]
_Finder = Callable[[_Bench, str], _Answer]


def _free(bench: _Bench, mechanism: str) -> _Answer:
    return bench.answer({"dial_hz": bench.middle_hz})


def _row(sums: Sums, place: int, **more: Any) -> dict[str, Any]:
    return {**{name: values[place] for name, values in sums.columns.items()}, **more}


def _response(bench: _Bench, mechanism: str) -> _Answer:
    """Return the lowest of the responses, both of equal order with the sense that is nearer to the dial first."""
    sums = one_signal.responses(bench.plan.with_changes(orders=(ENOUGH, ENOUGH)), bench.tuning)
    signals = sums.combinations.signal(bench.middle_hz).exact()
    for place in np.flatnonzero(sums.array("mechanism") == mechanism).tolist():
        signal = signals[place]
        if signal is not None and signal > 0:
            return bench.answer(_row(sums, place, dial_hz=bench.middle_hz, signal_hz=signal))
    raise ModelRangeError(
        f"{mechanism}: with the oscillator {bench.tuning.side} this set has none up to order {ENOUGH} at the "
        "middle of its band"
    )


def _spot(bench: _Bench, sums: Sums) -> _Answer:
    """Return the lowest of the spots that lie in the band, else above zero."""
    dials = sums.combinations.own_dial().exact()
    order = np.argsort(sums.order, kind="stable").tolist()
    for place in order:
        if bench.inside(dials[place]):
            return bench.answer(_row(sums, place, dial_hz=dials[place]))
    for place in order:
        dial = dials[place]
        if dial is not None and dial > 0:
            return bench.answer(
                _row(sums, place, dial_hz=dial),
                "None lies in the band of this set; this is where the nearest would be.",
            )
    return {}, "", bench.plan, bench.tuning


def _self_mixing(bench: _Bench, mechanism: str) -> _Answer:
    return _spot(
        bench, one_signal.own_station(bench.plan.with_changes(orders=(ENOUGH, ENOUGH)), bench.tuning)
    )


def _if_harmonic(bench: _Bench, mechanism: str) -> _Answer:
    return _spot(bench, own_if.harmonics(bench.plan, bench.tuning))


def _oscillator_in_if(bench: _Bench, mechanism: str) -> _Answer:
    answer = _spot(bench, own_oscillator.in_the_if(bench.plan, bench.tuning))
    if answer[0]:
        return answer
    other = Tuning("low", bench.tuning.intermediate_hz)
    row, _, plan, tuning = _spot(_Bench(bench.plan, other), own_oscillator.in_the_if(bench.plan, other))
    return (
        row,
        "With the oscillator above the signal it never is; this is for an oscillator below it.",
        plan,
        tuning,
    )


def _on_station(bench: _Bench, mechanism: str) -> _Answer:
    return bench.answer(
        {"dial_hz": bench.middle_hz, "station_hz": bench.tuning.oscillator_hz(bench.middle_hz)}
    )


def _stations(bench: _Bench, mechanism: str) -> _Answer:
    """Return a sum of stations on the dial setting, or on an IF, with stations on channels beside it."""
    middle, step = bench.middle_hz, 2 * bench.plan.band.raster_hz
    _, n, e = bench.tuning.wanted
    if mechanism == "if-spaced-pair":
        pair = (middle + bench.tuning.intermediate_hz, middle)
        return bench.answer({"stations_hz": pair, "kind": "A-B", "dial_hz": None}, _INVENTED)
    if mechanism == "pair-half-if":
        one = 1 if bench.tuning.side == "sum" else bench.tuning.t
        total = 2 * bench.tuning.oscillator_hz(middle) - one * bench.tuning.intermediate_hz
        pair = (total // 2 - step, total - total // 2 + step)
        return bench.answer(
            {"stations_hz": pair, "kind": "A+B", "n": 2, "e": one, "dial_hz": middle}, _INVENTED
        )
    kind = "A-B" if mechanism == "second-order" else "2A-B"
    pair = (2 * middle, middle) if kind == "A-B" else (middle + step, middle + 2 * step)
    total = sum(times * hertz for times, hertz in zip(TIMES[kind], pair, strict=True))
    row = {"stations_hz": pair, "kind": kind, "n": n, "e": e, "dial_hz": middle, "frequency_hz": total}
    return bench.answer(row, _INVENTED)


_INVENTED = "The frequencies of the stations are an example."


def _clock(bench: _Bench, mechanism: str) -> _Answer:
    if bench.plan.clock:
        own, remark = bench.plan.clock[0].frequency_hz, ""
    else:
        own = 4_000_000 if bench.middle_hz > 8_000_000 else 100_000
        remark = f"The plan names no clock; this is for one of {bench.text(own)}."
    m = round(Fraction(bench.middle_hz, own)) or 1
    _, n, e = bench.tuning.wanted
    return bench.answer(
        {"m": m, "n": n, "e": e, "sources_hz": (own,), "lands_on": "dial", "dial_hz": m * own}, remark
    )


def _reference(bench: _Bench, mechanism: str) -> _Answer:
    own = bench.plan.synthesiser
    reference = bench.plan.band.raster_hz if own is None else own.reference_hz
    remark = (
        f"The plan names no synthesiser; this is for a reference of {bench.text(reference)}."
        if own is None
        else ""
    )
    if mechanism == "reference-ripple":
        return bench.answer(
            {
                "m": 1,
                "sources_hz": (reference,),
                "dial_hz": bench.middle_hz,
                "tone_carrier_hz": 38_000 if reference > 15_000 else 0,
            },
            remark,
        )
    _, n, e = bench.tuning.wanted
    return bench.answer(
        {"m": 1, "n": n, "e": e, "q": 1, "sources_hz": (reference,), "dial_hz": bench.middle_hz}, remark
    )


def _later(bench: _Bench, mechanism: str) -> _Answer:
    """Return an example of a set with two conversions; where the plan has one, a second is put behind it."""
    plan, remark = bench.plan, ""
    if len(plan.conversion) == 1:
        second = 455_000 if bench.tuning.intermediate_hz > 2_000_000 else bench.tuning.intermediate_hz // 5
        plan = plan.model_copy(
            update={"conversion": (*plan.conversion, Conversion(intermediate_hz=second, oscillator="high"))}
        )
        remark = (
            f"The set has one conversion; this is for a second IF of {bench.text(second)}, oscillator above."
        )
    if mechanism == "oscillator-product":
        every = plan.model_copy(update={"orders": plan.orders.model_copy(update={"oscillator": ENOUGH})})
        row, aside, *_ = _spot(_Bench(plan, bench.tuning), oscillator_pairs.products(every, bench.tuning))
        return row, f"{remark} {aside}".strip(), plan, bench.tuning
    sums = conversions.second_images(plan, bench.tuning)
    return _row(sums, 0, dial_hz=bench.middle_hz), remark, plan, bench.tuning


def _neighbour(bench: _Bench, mechanism: str) -> _Answer:
    return bench.answer(
        {"offset_hz": 50_000, "decoder_hz": 38_000, "dial_hz": bench.middle_hz},
        "For a station 50 kHz beside the one tuned in.",
    )


def _other_set(bench: _Bench, mechanism: str) -> _Answer:
    """Return another set of the same kind whose oscillator is on the dial, else on the image."""
    own = bench.tuning
    for theirs in (bench.plan.band.low_hz, bench.plan.band.high_hz):
        if bench.inside(own.oscillator_hz(theirs)):
            row = {
                "way": "wanted",
                "harmonic": 1,
                "dial_hz": own.oscillator_hz(theirs),
                "other_dial_hz": theirs,
                "n": own.wanted[1],
                "e": own.wanted[2],
            }
            return bench.answer(row, "For another set of the same kind at an end of its dial.")
    e = -own.t
    image = (
        Combinations.of_patterns(own, Patterns(*(np.array([x]) for x in (1, 1, e))))
        .signal(bench.middle_hz)
        .exact()[0]
    )
    assert image is not None
    theirs = int(own.sigma * (image - own.t * own.intermediate_hz))
    row = {"way": "image", "harmonic": 1, "dial_hz": bench.middle_hz, "other_dial_hz": theirs, "n": 1, "e": e}
    return bench.answer(row, "For another set of the same kind.")


def _off(bench: _Bench, mechanism: str) -> _Answer:
    if mechanism == "oscillator-off":
        return bench.answer(
            {"dial_hz": bench.middle_hz, "ratio": Fraction(99, 100)}, "For an oscillator 1 % low."
        )
    if mechanism == "wrong-side":
        return bench.answer({"dial_hz": bench.middle_hz})
    tolerance = bench.plan.conversion[0].tolerance_hz or bench.plan.if_filter.bandwidth_hz // 6
    real = bench.tuning.intermediate_hz + tolerance
    row = {"dial_hz": bench.middle_hz, "intermediate_hz": real, "nominal_hz": bench.tuning.intermediate_hz}
    return bench.answer(row, f"For a real IF of {bench.text(real)}.")


def _transmitter(bench: _Bench, mechanism: str) -> _Answer:
    return bench.answer({"dial_hz": bench.middle_hz, "m": 2, "signal_hz": Fraction(bench.middle_hz, 2)})


FINDERS: Mapping[str, _Finder] = {
    **{one.id: _response for one in one_signal.FAMILY.mechanisms if one.id != "self-mixing"},
    "self-mixing": _self_mixing,
    "if-harmonic": _if_harmonic,
    "oscillator-in-if": _oscillator_in_if,
    "oscillator-on-station": _on_station,
    **dict.fromkeys(
        ("second-order", "third-order", "third-order-outside", "if-spaced-pair", "pair-half-if"), _stations
    ),
    "internal-clock": _clock,
    "synthesiser-sideband": _reference,
    "reference-ripple": _reference,
    "second-image": _later,
    "oscillator-product": _later,
    "decoder-neighbour": _neighbour,
    "other-receiver": _other_set,
    **dict.fromkeys(("oscillator-off", "wrong-side", "if-off-centre"), _off),
    "transmitter-harmonic": _transmitter,
}
