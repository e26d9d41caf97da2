"""Random houses for the tests: small ones, on which every dial setting can be visited, and ones of real sets."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st

from freqplan import Band, Conversion, IfFilter, Orders, Plan


@st.composite
def tiny_plans(draw, most_harmonics=3, intermediates=None):
    """Draw a set whose dial covers a few hertz: its sums are those of a large one, and loops over it are short."""
    low, width = draw(st.integers(3, 40)), draw(st.integers(1, 7))
    intermediate = draw(st.integers(2, 30) if intermediates is None else intermediates)
    possible = ["high"] + ["low"] * (intermediate < low) + ["sum"] * (intermediate > low + width)
    return Plan(
        title=draw(st.sampled_from(["A", "B"])),
        band=Band(low_hz=low, high_hz=low + width, raster_hz=1, modulation="am"),
        conversion=(
            Conversion(
                intermediate_hz=intermediate, oscillator=draw(st.sampled_from([*possible, "unknown"]))
            ),
        ),
        if_filter=IfFilter(bandwidth_hz=draw(st.integers(1, 5))),
        orders=Orders(signal=1, oscillator=draw(st.integers(1, most_harmonics))),
    )


@st.composite
def tiny_houses(draw, most_harmonics=3):
    """Draw two sets; as often as not the oscillator of the first comes into the IF of the second."""
    first = draw(tiny_plans(most_harmonics))
    sent = sorted(own(first, sides_of(first)[0], dial) for dial in (first.band.low_hz, first.band.high_hz))
    intermediates = draw(st.sampled_from([None, st.integers(*sent)]))
    return [first, draw(tiny_plans(most_harmonics, intermediates))]


def sides_of(plan):
    """The oscillator sides to answer for, by the definition."""
    conversion, band = plan.conversion[0], plan.band
    if conversion.oscillator != "unknown":
        return [conversion.oscillator]
    below = ["low"] if conversion.intermediate_hz < band.low_hz else []
    return ["high", *below] + (["sum"] if conversion.intermediate_hz > band.high_hz else [])


def own(plan, side, dial):
    """The oscillator's frequency."""
    intermediate = plan.conversion[0].intermediate_hz
    return {"high": dial + intermediate, "low": dial - intermediate, "sum": intermediate - dial}[side]


def image(plan, side, dial):
    """The image: as far beyond the oscillator as the dial is on this side of it; of a sum converter 2 fI - fT."""
    intermediate = plan.conversion[0].intermediate_hz
    return {
        "high": dial + 2 * intermediate, "low": dial - 2 * intermediate, "sum": 2 * intermediate - dial,
    }[side]  # fmt: skip


def comes_in(way, plan, side, dial, signal):
    """Whether a bare carrier disturbs a set in this way."""
    if way == "wanted":
        return signal == dial
    if way == "image":
        return signal == image(plan, side, dial)
    return abs(signal - plan.conversion[0].intermediate_hz) <= Fraction(plan.if_filter.bandwidth_hz, 2)


def raster(plan, parts):
    """Every setting of a dial in steps of one hertz over `parts`, both ends among them."""
    band = plan.band
    return [
        Fraction(band.low_hz * parts + step, parts)
        for step in range((band.high_hz - band.low_hz) * parts + 1)
    ]
