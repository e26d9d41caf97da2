"""What every result says about itself: what was assumed, what was left out, what can hurt."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from freqplan.chains import chains
from freqplan.level_remarks import about_levels
from freqplan.mechanisms import one_signal
from freqplan.mechanisms.clocks import MOST_HARMONIC, cut_short
from freqplan.mechanisms.synthesiser import MOST_SIDEBANDS
from freqplan.mixing import Tuning, tunings
from freqplan.neighbours import has_decoder
from freqplan.oscillators import oscillator_range
from freqplan.plan_reading import hertz_text
from freqplan.responses import signal_ranges
from freqplan.services import cautions_for, services_in

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

BENCH_CAUTION = (
    "Test signals go by cable and through a pad into the aerial socket, never to an aerial. A set without a mains "
    "transformer can have a live chassis: isolating transformer first."
)

PILOTS = (
    "In the stereo decoder every station counts with its pilot and without its programme. The pilot of the one "
    "tuned in makes the same tones as the other's: those by pilots sway, up to 6 dB louder than told."
)


def assumptions(plan: Plan, stations: StationList | None, *, card: bool) -> tuple[str, ...]:
    """Return the defaults in force and the limits of the computation, one sentence each.

    Parameters
    ----------
    plan : Plan
        The receiver.
    stations : StationList or None
        Who is on the air.
    card : bool
        Whether there is a list of frequencies to check, whose order is to be explained.
    """
    return tuple(_assumptions(plan, stations, card))


def _assumptions(plan: Plan, stations: StationList | None, card: bool) -> Iterator[str]:
    if plan.conversion[0].oscillator == "unknown":
        alone = (
            "; below the signal it would be zero or negative on part of the dial"
            if len(plan.sides) == 1
            else ""
        )
        yield f"Oscillator side not given: answered for {' and '.join(plan.sides)}{alone}."
    yield from about_the_plan(plan)
    yield from _about_conversions(plan)
    if stations is None:
        yield "No station list: ranges are given instead of ghosts."
    yield from about_levels(plan, stations, card=card)
    if stations is not None:
        yield from _about(plan, stations)
        if card:
            yield "Ranges without a listed station come last in that list, but for the image and the IF itself."
        yield "Of sums of stations A+B, A-B, 2A-B and A+B-C above zero are computed."
        if has_decoder(plan):
            yield PILOTS
    yield from _about_clocks(plan)
    yield "Other sets in the house are not computed here, but by the command receivers."
    yield about_the_region(plan)


def about_the_plan(plan: Plan) -> Iterator[str]:
    """Yield what is taken from the plan, and what it was silent about."""
    if plan.defaults:
        yield f"Not stated in the plan, so taken by default: {'; '.join(plan.defaults)}."
    yield "The oscillator follows the dial exactly and the wanted station is on the dial setting."


def about_the_region(plan: Plan) -> str:
    """Return for which ITU Region services are named, and whether the plan states it."""
    silent = " The plan states no region." if plan.defaulted("region") else ""
    return f"Services are named as in ITU Region {plan.region}.{silent}"


def _about_conversions(plan: Plan) -> Iterator[str]:
    """Yield how the later oscillators were taken, and which images have no level for want of a filter."""
    if len(plan.conversion) == 1:
        return
    later = dict.fromkeys(
        f"oscillator {one.number} {one.side} on {hertz_text(one.oscillator_hz)}"
        for chain in chains(plan)
        for one in chain
    )
    yield f"Later conversions: {', '.join(later)}; they do not tune."
    opened = dict.fromkeys(str(one.number) for chain in chains(plan) for one in chain if one.is_open)
    if opened:
        yield f"Side of oscillator {' and '.join(opened)} not given, and no fixed one tells it: answered for each."
    without = [str(place) for place, one in enumerate(plan.conversion[:-1], start=1) if one.filter is None]
    if without:
        yield (
            f"The filter behind mixer {' and '.join(without)} is not given (bandwidth in its [[conversion]]): "
            "the image of the conversion after it has no level."
        )


def _about_clocks(plan: Plan) -> Iterator[str]:
    """Yield what is known of clocks and synthesiser besides where they fall."""
    if plan.clock or len(plan.conversion) > 1:
        yield "Clocks and later oscillators have no level: whether a spot is heard, the ear decides."
    cut = cut_short(plan, tunings(plan))
    if cut:
        yield f"Harmonics of {', '.join(cut)} are followed up to the {MOST_HARMONIC:,}th."
    if plan.synthesiser is not None:
        yield (
            f"Sidebands of the synthesiser are followed up to the {MOST_SIDEBANDS}th; a level is known of the first at "
            "most."
        )


def _about(plan: Plan, stations: StationList) -> Iterator[str]:
    hertz, band = stations.frequency_hz, plan.band
    if not ((band.low_hz <= hertz) & (hertz <= band.high_hz)).any():
        yield f"None of the {len(stations)} listed stations lies inside the band: check the unit of the list."


def cautions(plan: Plan, sides: Sequence[Tuning]) -> tuple[str, ...]:
    """Return the cautions that fit this plan: its own, the bench's, and those of services near it.

    Those are the services that its oscillator can disturb, that live in its band, and that come in by image or
    half-IF: somebody will listen there, or look for the place with a generator.
    """
    ranges: list[tuple[Fraction | int, Fraction | int]] = [oscillator_range(plan, tuning) for tuning in sides]
    ranges += [(plan.band.low_hz, plan.band.high_hz), *_received(plan, sides)]
    near = [service for ends in ranges for service in services_in(*ends, region=plan.region)]
    return tuple(dict.fromkeys((*plan.cautions, *cautions_for(near), BENCH_CAUTION)))


def _received(plan: Plan, sides: Sequence[Tuning]) -> Iterator[tuple[Fraction | int, Fraction | int]]:
    """Yield the ranges of image and half-IF responses over the dial [Hz]."""
    for tuning in sides:
        every = one_signal.responses(plan, tuning)
        named = every.array("mechanism")
        asked = (named == one_signal.IMAGE.id) | (named == one_signal.HALF_IF.id)
        _, low, high = signal_ranges(plan, every.take(asked))
        for start, stop in zip(low.exact(), high.exact(), strict=True):
            if start is not None and stop is not None:
                yield start, stop
