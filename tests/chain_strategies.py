"""Random receivers with clocks, several conversions and synthesisers, and a second model of them in plain fractions."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

from hypothesis import strategies as st
from strategies import AIRBAND, AM, FM, KHZ, SHORT_WAVE, UP_CONVERTING, plans

from freqplan import Clock, Conversion, Plan

KINDS = (FM, AM, AIRBAND, SHORT_WAVE, UP_CONVERTING)


@st.composite
def plans_with_clocks(draw, **limits):
    """Draw a plan with one or two clocks, none so slow that a nested loop could not follow its harmonics."""
    plan = draw(plans(**{"kinds": KINDS, "most_order": 3} | limits))
    highest = 4 * (plan.band.high_hz + plan.conversion[0].intermediate_hz)
    some = st.integers(highest // 60, highest // 5)
    # Close to a fraction of the IF, so that harmonics fall on it too.
    close = st.builds(
        lambda p, beside: max(highest // 60, plan.conversion[0].intermediate_hz // p + beside),
        st.integers(1, 5), st.integers(-8 * KHZ, 8 * KHZ),
    )  # fmt: skip
    hertz = draw(st.lists(some | close, min_size=1, max_size=2))
    clocks = tuple(Clock(name=f"clock {place}", frequency_hz=hz) for place, hz in enumerate(hertz))
    return Plan(**plan.given() | {"clock": clocks})


@st.composite
def plans_with_conversions(draw, fixed=True, open_sides=True, most=2, **limits):
    """Draw a plan with one or two more conversions; their oscillators follow from the IFs, or are `fixed`."""
    plan = draw(plans(**{"kinds": KINDS, "most_order": 3} | limits))
    before, later = plan.conversion[0], []
    for _ in range(draw(st.integers(1, most))):
        before = draw(conversions(before, fixed=fixed, open_sides=open_sides))
        later.append(before)
    # Behind the last mixer stands the IF filter of the plan.
    last = Conversion(
        **{name: value for name, value in later[-1].given().items() if not name.startswith("bandwidth")}
    )
    return Plan(**plan.given() | {"conversion": (plan.conversion[0], *later[:-1], last)})


@st.composite
def conversions(draw, before, *, fixed, open_sides):
    """Draw a conversion behind another."""
    intermediate = draw(st.integers(20 * KHZ, 3 * before.intermediate_hz // 2))
    needed = oscillators(before.intermediate_hz, intermediate)
    side = draw(st.sampled_from(sorted(side for side, hertz in needed.items() if hertz > 0)))
    tolerance = draw(st.sampled_from([0, 1, intermediate // 300]))
    given = {}
    if fixed and draw(st.booleans()):
        slack = before.tolerance_hz + tolerance
        given["fixed_oscillator_hz"] = max(1, needed[side] + draw(st.integers(-slack, slack)))
    told = "unknown" if open_sides and draw(st.booleans()) else side
    if draw(st.booleans()):
        given["bandwidth_hz"] = draw(st.integers(2 * KHZ, 400 * KHZ))
    return Conversion(intermediate_hz=intermediate, tolerance_hz=tolerance, oscillator=told, **given)


def oscillators(before, after):
    """What takes one IF to the next, by side; a negative one does not exist."""
    return {"high": before + after, "low": before - after, "sum": after - before}


# --- a second model -----------------------------------------------------------------------------


def chosen_sides(plan):
    """Yield the sides of the later oscillators, in every combination that a plan leaves open."""
    choices = []
    for before, after in zip(plan.conversion, plan.conversion[1:], strict=False):
        needed = oscillators(before.intermediate_hz, after.intermediate_hz)
        fixed = after.fixed_oscillator_hz
        if after.oscillator != "unknown":
            choices.append([after.oscillator])
        elif fixed is None:
            choices.append([side for side, hertz in needed.items() if hertz > 0])
        elif fixed in needed.values():
            choices.append([side for side, hertz in needed.items() if hertz == fixed])
        else:
            slack = before.tolerance_hz + after.tolerance_hz
            choices.append([s for s, hertz in needed.items() if hertz > 0 and abs(hertz - fixed) <= slack])
    return product(*choices)


def own(plan, side, sides, number, dial, ifs):
    """Oscillator `number`, its set on real IFs `ifs`."""
    if number == 1:
        return {"high": dial + ifs[0], "low": dial - ifs[0], "sum": ifs[0] - dial}[side]
    fixed = plan.conversion[number - 1].fixed_oscillator_hz
    if fixed is not None:
        return fixed
    return oscillators(ifs[number - 2], ifs[number - 1])[sides[number - 2]]


def nominal(plan):
    return [conversion.intermediate_hz for conversion in plan.conversion]


def corners(plan):
    """The real IFs at their outermost, in every combination, the nominal ones first."""
    ends = [(c.intermediate_hz - c.tolerance_hz, c.intermediate_hz + c.tolerance_hz) for c in plan.conversion]
    return [nominal(plan), *map(list, product(*ends))]


def zero_of(line):
    at_0, at_1 = Fraction(line(0)), Fraction(line(1))
    return None if at_0 == at_1 else at_0 / (at_0 - at_1)


def spots(plan, offset):
    """The dial setting at which an offset (dial, IFs) is zero: nominal, lowest and highest; None where it is level."""
    found = [zero_of(lambda dial, ifs=ifs: offset(dial, ifs)) for ifs in corners(plan)]
    return None if found[0] is None else (found[0], min(found), max(found))


def row_where(plan, offset):
    """The columns of place of a birdie, or None where its range does not touch the band."""
    found, band = spots(plan, offset), plan.band
    if found is None or found[1] > band.high_hz or found[2] < band.low_hz:
        return None
    return {
        "dial_hz": found[0],
        "dial_low_hz": max(found[1], band.low_hz),
        "dial_high_hz": min(found[2], band.high_hz),
    }


def half_behind(plan, number):
    """Half the narrowest filter that a signal on IF `number` still has to pass."""
    widths = [plan.if_filter.bandwidth_hz]
    widths += [c.bandwidth_hz for c in plan.conversion[number - 1 :] if c.bandwidth_hz is not None]
    return Fraction(min(widths), 2)


def place_name(number):
    return "if" if number == 1 else f"if-{number}"
