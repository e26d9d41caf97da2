"""Random receivers and station lists for the tests of laws, all of them whole hertz and most of them odd ones."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st

from freqplan import Band, Conversion, IfFilter, Orders, Plan, StationList

KHZ, MHZ = 1000, 1_000_000
MOST_CHANNELS = 60
"""Few channels, so that a nested loop can visit each of them."""


@dataclass(frozen=True)
class Kind:
    """What plans of one kind are drawn from; hertz."""

    low_hz: tuple[int, int]
    width_hz: tuple[int, int]
    intermediate_hz: tuple[int, int]
    modulation: str
    bandwidth_hz: tuple[int, int]
    sides: tuple[str, ...] = ("high", "low", "unknown")


FM = Kind((60 * MHZ, 110 * MHZ), (MHZ, 25 * MHZ), (4 * MHZ, 45 * MHZ), "fm", (80 * KHZ, 300 * KHZ))
AM = Kind((150 * KHZ, 900 * KHZ), (80 * KHZ, 1200 * KHZ), (60 * KHZ, 500 * KHZ), "am", (3 * KHZ, 12 * KHZ))
AIRBAND = Kind((108 * MHZ, 118 * MHZ), (MHZ, 19 * MHZ), (9 * MHZ, 46 * MHZ), "am", (6 * KHZ, 40 * KHZ))
SHORT_WAVE = Kind((2 * MHZ, 20 * MHZ), (200 * KHZ, 8 * MHZ), (400 * KHZ, 2 * MHZ), "am", (3 * KHZ, 12 * KHZ))
UP_CONVERTING = Kind(
    (100 * KHZ, 20 * MHZ), (MHZ, 10 * MHZ), (31 * MHZ, 90 * MHZ), "am", (3 * KHZ, 12 * KHZ),
    ("high", "sum", "unknown"),
)  # fmt: skip
CLOSE_BELOW = Kind(
    (31 * MHZ, 40 * MHZ), (MHZ, 25 * MHZ), (21 * MHZ, 30 * MHZ), "fm", (80 * KHZ, 300 * KHZ), ("low",)
)
"""Low side with fI < fT < 2 fI: the oscillator lies below the IF, so rows with n < 0 exist."""
KINDS = (FM, AM, AIRBAND, SHORT_WAVE, UP_CONVERTING, CLOSE_BELOW)


def within(ends: tuple[int, int]) -> st.SearchStrategy[int]:
    return st.integers(*ends)


@st.composite
def plans(draw, kinds=KINDS, sides=None, most_order=4, tolerance=True):
    """Draw a plan; `sides` limits the oscillator sides, `tolerance` False keeps the IF exact."""
    kind = draw(st.sampled_from(kinds))
    low, width = draw(within(kind.low_hz)), draw(within(kind.width_hz))
    intermediate = draw(within(kind.intermediate_hz))
    offered = [side for side in kind.sides if sides is None or side in sides]
    if intermediate >= low:
        offered = [side for side in offered if side != "low"]
    side = draw(st.sampled_from(offered or ["high"]))
    raster = draw(st.integers(width // MOST_CHANNELS + 1, width))
    band = Band(
        low_hz=low,
        high_hz=low + width,
        raster_hz=raster,
        first_channel_hz=low + draw(st.integers(-min(low, width), width)),
        modulation=kind.modulation,
        deviation_hz=draw(st.integers(0, 80 * KHZ)) if kind.modulation == "fm" else 0,
    )
    spread = draw(st.sampled_from([0, 1, intermediate // 350, intermediate // 40])) if tolerance else 0
    orders = {name: draw(st.integers(1, most_order)) for name in ("signal", "oscillator")}
    return Plan(
        band=band,
        conversion=(Conversion(intermediate_hz=intermediate, tolerance_hz=spread, oscillator=side),),
        # Even filters have their edges on whole hertz, where "<" and "<=" differ; odd ones half a hertz beside.
        if_filter=IfFilter(bandwidth_hz=draw(within(kind.bandwidth_hz)) // 2 * 2 + draw(st.integers(0, 1))),
        orders=Orders(**orders, if_harmonic=draw(st.integers(1, 20))),
    )


def dials(plan: Plan) -> st.SearchStrategy[int]:
    """Draw a dial setting: any, an end of the band, or a channel."""
    band = plan.band
    channels = st.integers(plan.first_channel_index, plan.last_channel_index).map(
        lambda k: band.first_channel_hz + k * band.raster_hz
    )
    return st.one_of(
        st.integers(band.low_hz, band.high_hz), st.sampled_from([band.low_hz, band.high_hz]), channels
    )


@st.composite
def frequencies(draw, plan: Plan, dial_hz: int | None = None):
    """Draw a station's frequency: anywhere, in the band, or about where some product meets the IF.

    With `dial_hz` the product meets it there, else at a dial setting that is drawn as well.
    """
    band, intermediate = plan.band, plan.conversion[0].intermediate_hz
    lowest = 20 * (plan.if_filter.bandwidth_hz // 2 + band.deviation_hz)
    where = draw(st.integers(0, 4))
    if where == 0:
        return draw(st.integers(lowest, 4 * (band.high_hz + intermediate)))
    if where == 1:
        return draw(st.integers(band.low_hz, band.high_hz))
    m, n, e = draw(st.integers(1, 2 * where - 2)), draw(st.integers(0, 4)), draw(st.sampled_from([1, -1]))
    side, dial = draw(st.sampled_from(plan.sides)), draw(dials(plan)) if dial_hz is None else dial_hz
    own = {"high": dial + intermediate, "low": dial - intermediate, "sum": intermediate - dial}[side]
    return max(lowest, (n * own - e * intermediate + draw(offsets(plan, m))) // m)


def offsets(plan: Plan, m: int) -> st.SearchStrategy[int]:
    """Draw an offset in the IF: anywhere about the window, or on one of its edges and the hertz beside them."""
    half = plan.if_filter.bandwidth_hz // 2
    edges = (half, half + m * plan.band.deviation_hz)
    on_edge = [sign * edge + step for sign in (1, -1) for edge in edges for step in (-1, 0, 1)]
    return st.one_of(st.integers(-2 * edges[1], 2 * edges[1]), st.sampled_from(on_edge))


@st.composite
def station_lists(draw, plan: Plan, most: int = 8, distinct: bool = True, dial_hz: int | None = None):
    """Draw a station list for `plan`; with `distinct` false some share a name or a frequency."""
    hertz = draw(st.lists(frequencies(plan, dial_hz), min_size=1, max_size=most))
    # Neighbours, so that more than one station meets the same window.
    hertz += [
        hz + plan.if_filter.bandwidth_hz // 3 for hz in draw(st.lists(st.sampled_from(hertz), max_size=2))
    ]
    if distinct:
        hertz = list(dict.fromkeys(hertz))
        return StationList.from_frequencies(hertz, [f"S{place}" for place in range(len(hertz))])
    hertz += draw(st.lists(st.sampled_from(hertz), max_size=3))
    names = draw(st.lists(st.sampled_from("ABCDEFGH"), min_size=len(hertz), max_size=len(hertz)))
    return StationList.from_frequencies(hertz, names)


@st.composite
def plans_with_stations(draw, distinct=True, most=8, **limits):
    """Draw a plan and a station list for it."""
    plan = draw(plans(**limits))
    return plan, draw(station_lists(plan, distinct=distinct, most=most))


@st.composite
def plans_with_dial(draw, **limits):
    """Draw a plan and a dial setting in its band."""
    plan = draw(plans(**limits))
    return plan, draw(dials(plan))
