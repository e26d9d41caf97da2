"""The heading: the set and what its report was answered for, a line each, and where IF and side come from."""

from __future__ import annotations

from collections.abc import Iterator

from freqplan.explanation import IF_OFF, WRONG_SIDE
from freqplan.plan import Conversion, FrontEnd, Mixer, Plan
from freqplan.plan_reading import hertz_text
from freqplan.reports.gathered import Gathered
from freqplan.reports.views import Entry
from freqplan.words import span

SIDES = {
    "high": "high: above the signal",
    "low": "low: below the signal",
    "sum": "sum: it falls as the dial rises",
    "unknown": "not known",
}
KNOWN_BY = {
    None: "says the evidence",
    "nominal": "as printed, says the evidence",
    "dot": "by the colour dot of the filter, says the evidence",
    "measured": "measured, says the evidence",
}
"""Where the evidence has an IF from."""

BY_HAND = "given for this report in place of the plan's"
INTERMEDIATE, OSCILLATOR = "--intermediate", "--oscillator"


def entries(found: Gathered) -> Iterator[Entry]:
    """Yield the lines of the heading."""
    plan = found.survey.plan
    yield Entry("Band", (_band(plan),))
    yield Entry("IF", tuple(_intermediate(found)))
    yield Entry("Oscillator", tuple(_oscillator(found)))
    yield Entry("Stations", (_stations(found),))
    yield Entry("IF filter", (_filter(plan),))
    if plan.band.modulation == "fm":
        yield Entry("Stereo decoder", (_decoder(plan),))
    yield Entry("Front end", (_front_end(plan.front_end),))
    yield Entry("Mixer", (_mixer(plan.mixer),))
    yield from _more(plan)


def _band(plan: Plan) -> str:
    band, rounding = plan.band, plan.rounding
    deviation = f", deviation {hertz_text(band.deviation_hz)}" if band.modulation == "fm" else ""
    return (
        f"{span(band.low_hz, band.high_hz, rounding)} {rounding.unit}, a channel every {hertz_text(band.raster_hz)}; "
        f"{band.modulation.upper()}{deviation}; ITU Region {plan.region}"
    )


def _intermediate(found: Gathered) -> Iterator[str]:
    """Yield the IF that everything is answered for with its source, and what speaks for another one."""
    plan, asked = found.survey.plan, found.asked
    rounding, first = plan.rounding, plan.conversion[0]
    stated = None if asked.evidence is None else asked.evidence.set
    yield f"{_with_tolerance(plan, first)}, {_source_of_intermediate(found)}"
    planned = asked.plan.conversion[0]
    if stated and stated.intermediate_hz is not None:
        as_stated = (
            f"{rounding.fine(stated.intermediate_hz)} {rounding.unit}, {KNOWN_BY[stated.intermediate_known]}"
        )
        if first.intermediate_hz != stated.intermediate_hz:
            yield f"{as_stated}: the later conversions do not go with it, so only the diagnosis reckons with it"
        elif planned.intermediate_hz != first.intermediate_hz:
            yield f"the plan says {_with_tolerance(plan, planned)}"
    if found.diagnosis is not None:
        likeliest_hz = found.diagnosis.heading["intermediate_hz"]
        if likeliest_hz is not None and likeliest_hz != found.diagnosis.scene.intermediate_hz:
            yield f"{rounding.fine(likeliest_hz)} {rounding.unit}, if the first cause of the diagnosis is the right one"
    yield from _by_readings(found, IF_OFF)
    for later in plan.conversion[1:]:
        fixed = later.fixed_oscillator_hz
        by = f", its oscillator on {hertz_text(fixed)}" if fixed is not None else ""
        yield f"then {hertz_text(later.intermediate_hz)}{by}"


def _with_tolerance(plan: Plan, one: Conversion) -> str:
    rounding = plan.rounding
    tolerance = f" ± {rounding.fine(one.tolerance_hz)}" if one.tolerance_hz else ""
    return f"{rounding.fine(one.intermediate_hz)}{tolerance} {rounding.unit}"


def _source_of_intermediate(found: Gathered) -> str:
    asked, used_hz = found.asked, found.survey.plan.conversion[0].intermediate_hz
    stated = None if asked.evidence is None else asked.evidence.set
    if stated and stated.intermediate_hz == used_hz:
        return KNOWN_BY[stated.intermediate_known]
    source = BY_HAND if INTERMEDIATE in asked.changed else "from the plan"
    if stated and stated.intermediate_hz is None and stated.intermediate_known:
        return f"{source}; {KNOWN_BY[stated.intermediate_known]}"
    return source


def _oscillator(found: Gathered) -> Iterator[str]:
    """Yield the side that everything is answered for, why, and how likely each is where it is not known."""
    asked, plan = found.asked, found.survey.plan
    side, planned = plan.conversion[0].oscillator, asked.plan.conversion[0].oscillator
    stated = None if asked.evidence is None else asked.evidence.set.oscillator
    if stated is not None:
        source = "says the evidence" + (f"; the plan says {planned}" if planned != stated else "")
    elif OSCILLATOR in asked.changed:
        source = BY_HAND
    else:
        source = "from the plan"
    silent = side == "unknown" and asked.plan.conversion[0].defaulted("oscillator") and stated is None
    yield SIDES[side] if silent else f"{SIDES[side]}, {source}"
    if side == "unknown":
        yield f"answered for {' and '.join(plan.sides)}"
    if found.diagnosis is not None and len(found.diagnosis.scene.sides) > 1:
        shares = found.diagnosis.heading["oscillator_sides"].items()
        yield f"by what was observed {', '.join(f'{name} {100 * share:.0f} %' for name, share in shares)}"
    yield from _by_readings(found, WRONG_SIDE)


def _by_readings(found: Gathered, kind: str) -> Iterator[str]:
    """Yield what dial readings say, if their first explanation is of a kind."""
    if found.dial is None:
        return
    first = next(found.dial.explanations.rows(), None)
    if first is not None and first["kind"] == kind:
        settled = "undecided" if found.dial.undecided else first["verdict"]
        yield f"by the dial readings {first['how_much']} ({settled})"


def _stations(found: Gathered) -> str:
    stations = found.survey.stations
    if stations is None:
        return "none: ranges are given instead of ghosts"
    return f"{len(stations)}{f' from {stations.source}' if stations.source else ''}"


def _filter(plan: Plan) -> str:
    own = plan.if_filter
    skirts = ""
    if own.bandwidth_20db_hz is not None:
        skirts = f", {hertz_text(own.bandwidth_20db_hz)} between the -20 dB points"
    default = " (by default)" if plan.defaulted("if_filter") and plan.conversion[-1].filter is None else ""
    return f"{hertz_text(own.bandwidth_hz)} between the -3 dB points{skirts}{default}"


def _decoder(plan: Plan) -> str:
    default = " (by default)" if plan.stereo.defaulted("decoder") else ""
    deemphasis = f"de-emphasis {plan.stereo.deemphasis_us:g} us"
    return f"{plan.stereo.decoder}{default}, {deemphasis}"


def _front_end(own: FrontEnd | None) -> str:
    if own is None:
        return "nothing known: what depends on levels has none"
    if own.response is not None:
        dial = f", the dial on {hertz_text(own.response_dial_hz)}" if own.response_dial_hz is not None else ""
        parts = [f"measured response {own.response}{dial}"]
    else:
        parts = [
            f"tuned circuits: {own.circuits_before_rf_stage} before the RF stage, {own.circuits_before_mixer} before "
            "the mixer",
            f"loaded Q {own.loaded_q:g}" if own.loaded_q is not None else "Q not known",
            f"at most {own.floor_db:g} dB",
            f"detuned by {hertz_text(own.detuning_hz)}" if own.detuning_hz else "",
        ]
    gain = f"gain {own.gain_db:g} dB" if own.gain_db is not None else "gain not known"
    return ", ".join(part for part in (*parts, gain, f"{own.impedance_ohm:g} ohm") if part)


def _mixer(own: Mixer) -> str:
    parts: list[str] = [own.kind]
    if own.reference_dbm is not None:
        parts.append(f"at {own.reference_dbm:g} dBm")
    if own.suppression:
        parts.append(", ".join(f"({one.m},{one.n}) {one.db:g} dB" for one in own.suppression))
    if own.oscillator_drive is not None:
        parts.append(f"oscillator drive {own.oscillator_drive:g}")
    if own.unbalance is not None:
        parts.append(f"unbalance {own.unbalance:g}")
    if own.coefficients is not None:
        parts.append(f"coefficients {' '.join(f'{one:g}' for one in own.coefficients)}")
    return "; ".join(parts)


def _more(plan: Plan) -> Iterator[Entry]:
    """Yield lines for what few sets have, or few plans tell."""
    stage, synthesiser = plan.rf_stage, plan.synthesiser
    if stage is not None:
        points = (("IIP2", stage.iip2_dbm), ("IIP3", stage.iip3_dbm))
        told = ", ".join(f"{name} {level:g} dBm" for name, level in points if level is not None)
        yield Entry("RF stage", (told or "no intercept points known",))
    if plan.clock:
        clocks = (f"{one.name} {hertz_text(one.frequency_hz)}" for one in plan.clock)
        yield Entry("Clocks", (", ".join(clocks),))
    if synthesiser is not None:
        sidebands = synthesiser.sidebands_db
        down = f", sidebands {sidebands:g} dB down" if sidebands is not None else ""
        yield Entry("Synthesiser", (f"reference {hertz_text(synthesiser.reference_hz)}{down}",))
    orders = plan.orders
    yield Entry(
        "Followed",
        (
            f"orders up to {orders.signal} of the signal and {orders.oscillator} of the oscillator, IF harmonics up to "
            f"{orders.if_harmonic}",
        ),
    )
