"""Oscillator above or below the signal, this IF or that: the same questions put to each choice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar

from freqplan.arguments import checked
from freqplan.birdies import birdies
from freqplan.choices import Choice
from freqplan.errors import PlanError
from freqplan.findings import Findings
from freqplan.hertz import whole_hertz
from freqplan.level_remarks import about_levels
from freqplan.mechanisms import one_signal
from freqplan.mixing import Tuning
from freqplan.oscillators import oscillators, who_lives_in
from freqplan.ranking import checked_weights, ranking, rejection_unknown
from freqplan.remarks import about_the_plan, about_the_region
from freqplan.results import Result
from freqplan.services import AERONAUTICAL_HZ
from freqplan.spans import shared
from freqplan.terms import WIDEST_TUNING
from freqplan.words import dial_span, span

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

PLAN_COLUMNS = (
    "intermediate_hz", "oscillator", "oscillator_low_hz", "oscillator_high_hz", "oscillator_ratio",
    "capacitance_ratio", "image_low_hz", "image_high_hz", "services", "in_band_image_dial", "half_if_near_dial",
    "half_if_far_dial", "fractional_if_dial", "if_harmonics_hz", "self_mixing_hz", "oscillator_in_band_hz",
    "oscillator_in_aeronautical_hz", "radiates_into", "harmonics_on_safety", "harmonics_fall_on",
    "needed_rejection_db", "image_rejection_db", "heard_ghosts", "heard_whistles", "heard_noise", "heard_unknown",
    "worst", "worst_on_hz", "worst_margin_db", "concerns",
)  # fmt: skip
IN_BAND_COLUMNS = (
    "intermediate_hz", "oscillator", "mechanism", "m", "n", "e", "dial_low_hz", "dial_high_hz", "tuning_slope",
    "level_law",
)  # fmt: skip
HARMONIC_COLUMNS = (
    "intermediate_hz",
    "oscillator",
    "harmonic",
    "low_hz",
    "high_hz",
    "on_safety_hz",
    "services",
)
SHOWN = 8


@dataclass(frozen=True)
class Comparison(Result):
    """Choices of oscillator side and IF, side by side.

    Attributes
    ----------
    plans : Findings
        One row per (IF, side).
    in_band : Findings
        By what, and on which part of the dial, stations of the band itself come in, one row per (IF, side, m, n, e).
    harmonics : Findings
        Where the 2nd and higher harmonics of the oscillator fall, one row per (IF, side, harmonic).
    weights : mapping of str to Fraction
        What each term counts; empty where nothing is ranked.
    """

    command: ClassVar[str] = "compare"
    table_names: ClassVar[tuple[str, ...]] = ("plans", "ranking", "in_band", "harmonics")
    overview: ClassVar[Mapping[str, int]] = MappingProxyType({"in_band": SHOWN, "harmonics": SHOWN})

    plans: Findings = field(kw_only=True)
    in_band: Findings = field(kw_only=True)
    harmonics: Findings = field(kw_only=True)
    weights: Mapping[str, Fraction] = field(default_factory=lambda: MappingProxyType({}), kw_only=True)

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of the tables; without weights nothing is ranked."""
        return tuple(name for name in self.table_names if name != "ranking" or self.weights)

    @cached_property
    def ranking(self) -> Findings:
        """What each term adds to the score of each choice, best first; without weights empty."""
        rows = list(self.plans.rows()) if self.weights else []
        return ranking(self.plan, rows, self.weights, listed=self._listed or 0)

    @property
    def _listed(self) -> int | None:
        return None if self.stations is None else len(self.stations)

    @property
    def _possible(self) -> list[dict[str, Any]]:
        return [row for row in self.plans.rows() if row["oscillator_low_hz"] is not None]

    @property
    def sides(self) -> tuple[Tuning, ...]:
        """Return every side and IF that is compared and possible."""
        return tuple(Tuning(row["oscillator"], int(row["intermediate_hz"])) for row in self._possible)

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return how many stations were used, and the weights."""
        return {
            "stations_used": self._listed,
            "weights": {name: float(weight) for name, weight in self.weights.items()},
        }

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return the defaults in force and the limits of the comparison."""
        return tuple(self._assumptions())

    def _assumptions(self) -> Iterator[str]:
        if len(self.plan.conversion) > 1:
            yield "Compared is the first of several conversions."
        yield from about_the_plan(self.plan)
        yield "Each IF is taken as exact."
        yield from about_levels(self.plan, self.stations, card=False)
        if self.stations is not None:
            yield (
                "Heard are single stations in the wrong place, one cause once, and settings with sums and differences "
                "of two. Sums of third order are not counted: those on the dial itself are the same for every choice."
            )
        if self.weights:
            yield from self._about_weights()
        yield about_the_region(self.plan)

    def _about_weights(self) -> Iterator[str]:
        told = ", ".join(f"{name} {float(weight):g}" for name, weight in self.weights.items())
        yield f"Weights: {told}. Each counts a share from 0 to 1 that does not depend on the other choices."
        if {"heard", "worst"} & set(self.weights) and any(row["heard_unknown"] for row in self._possible):
            yield "What has no level counts nothing in heard and worst."
        unknown = [row for row in self._possible if "rejection" in self.weights and rejection_unknown(row)]
        if unknown:
            where = ", ".join(
                f"{row['oscillator']} {self.rounding.fine(row['intermediate_hz'])} {self.rounding.unit}"
                for row in unknown
            )
            yield f"Rejection of the image is unknown with {where}: there it counts in full."

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the band only: side and IF are what is compared."""
        rounding, band = self.plan.rounding, self.plan.band
        return (f"{span(band.low_hz, band.high_hz, rounding)} {rounding.unit} {band.modulation.upper()}",)


@checked
def compare(
    plan: Plan,
    intermediates_hz: Sequence[int] = (),
    stations: StationList | None = None,
    weights: Mapping[str, float | Fraction] | None = None,
) -> Comparison:
    """Set the oscillator above the signal against below, and one IF against another.

    Parameters
    ----------
    plan : Plan
        The receiver; its own IF is always among those compared.
    intermediates_hz : sequence of int [Hz]
        Further IFs.
    stations : StationList, optional
        Who is on the air: what of them is heard in the wrong place with each choice.
    weights : mapping of str to number, optional
        How much each of `terms.TERM_NAMES` counts, from 0; without them nothing is ranked.

    Returns
    -------
    Comparison
        A side whose oscillator would not be positive over the whole dial is there with the reason.

    Raises
    ------
    PlanError
        An IF that fits no side.
    WeightsError
        Weights that cannot be used.
    ModelRangeError
        An IF that is no whole number of hertz.
    SweepError
        The measured response of the front end cannot be read.
    """
    exact = checked_weights(weights or {}, plan, stations)
    further = (whole_hertz(hertz, "intermediate frequency") for hertz in intermediates_hz)
    chosen = dict.fromkeys((plan.conversion[0].intermediate_hz, *further))
    pairs = [pair for intermediate_hz in chosen for pair in _both_sides(plan, intermediate_hz, stations)]
    choices = [choice for choice, _ in pairs if choice is not None]
    in_band = [row for choice in choices for row in choice.in_band]
    harmonics = [row for choice in choices for row in choice.harmonics]
    return Comparison(
        plan,
        stations,
        plans=_table([row for _, row in pairs]),
        in_band=Findings.of_rows("Stations of the band that come in elsewhere", in_band, IN_BAND_COLUMNS),
        harmonics=Findings.of_rows("Harmonics of the oscillator", harmonics, HARMONIC_COLUMNS),
        weights=MappingProxyType(exact),
    )


def _both_sides(
    plan: Plan, intermediate_hz: int, stations: StationList | None
) -> Iterator[tuple[Choice | None, dict[str, Any]]]:
    sides = ["high", "low"] + ["sum"] * (intermediate_hz > plan.band.high_hz)
    for side in sides:
        try:
            changed = plan.with_changes(oscillator=side, intermediate_hz=intermediate_hz)
        except PlanError as error:
            if side == "high":
                raise
            reason = "; ".join(fault.what for fault in error.faults)
            yield (
                None,
                {"intermediate_hz": intermediate_hz, "oscillator": side, "concerns": (reason,)},
            )
        else:
            choice = Choice(changed, Tuning(side, intermediate_hz), stations)
            yield choice, _answers(choice)


def _answers(choice: Choice) -> dict[str, Any]:
    plan, tuning = choice.plan, choice.tuning
    own = next(oscillators(plan, (tuning,)).rows())
    low, high = int(own["oscillator_low_hz"]), int(own["oscillator_high_hz"])
    here = choice.answers
    image = (here["image_low_hz"], here["image_high_hz"])
    answers = {
        **own,
        **here,
        "intermediate_hz": tuning.intermediate_hz,
        "if_harmonics_hz": _harmonics(plan, tuning.intermediate_hz),
        "self_mixing_hz": _self_mixing(plan, tuning),
        "oscillator_in_band_hz": shared([(low, high)], plan.band.low_hz, plan.band.high_hz),
        "oscillator_in_aeronautical_hz": shared([(low, high)], *AERONAUTICAL_HZ),
        "services": () if image[0] is None else who_lives_in(*image, region=plan.region),
    }
    return {**answers, "concerns": tuple(_concerns(plan, answers))}


def _harmonics(plan: Plan, intermediate_hz: int) -> tuple[Fraction, ...]:
    """Return the IF harmonics in the band, as far as any IF is followed, so that different ones are compared alike."""
    most = plan.orders.if_harmonic_compared
    first = max(2, -(-plan.band.low_hz // intermediate_hz))
    last = min(most, plan.band.high_hz // intermediate_hz)
    return tuple(Fraction(k * intermediate_hz) for k in range(first, last + 1))


def _self_mixing(plan: Plan, tuning: Tuning) -> tuple[Fraction, ...]:
    band, rows = plan.band, birdies(plan, (tuning,)).rows()
    spots = {row["dial_hz"] for row in rows if row["mechanism"] == one_signal.SELF_MIXING.id}
    return tuple(sorted(spot for spot in spots if band.low_hz <= spot <= band.high_hz))


def _concerns(plan: Plan, answers: dict[str, Any]) -> Iterator[str]:
    rounding = plan.rounding
    part = answers["in_band_image_dial"]
    if part is not None:
        yield f"images of the band's own stations with the dial at {dial_span(part[0], part[1], rounding)}"
    if answers["oscillator_in_band_hz"]:
        yield (
            f"the oscillator is inside the band over {rounding.fine(answers['oscillator_in_band_hz'])} "
            f"{rounding.unit} and can be heard by sets nearby"
        )
    if answers["oscillator_in_aeronautical_hz"]:
        yield (
            f"the oscillator is inside 108-137 MHz (aeronautical) over "
            f"{rounding.fine(answers['oscillator_in_aeronautical_hz'])} {rounding.unit}: keep its radiation down"
        )
    if answers["capacitance_ratio"] > WIDEST_TUNING:
        yield (
            f"the oscillator needs a capacitance ratio of {answers['capacitance_ratio']:.0f}, more than one tuning "
            "capacitor gives"
        )
    if answers["if_harmonics_hz"]:
        yield f"harmonics of the IF in the band: {' '.join(rounding.fine(hz) for hz in answers['if_harmonics_hz'])}"
    if "aeronautical voice" in answers["services"]:
        image = span(answers["image_low_hz"], answers["image_high_hz"], rounding)
        yield f"speech of aircraft can come in on the image, {image}"
    yield from plan.cautions


def _table(rows: list[dict[str, Any]]) -> Findings:
    whole = [{**dict.fromkeys(PLAN_COLUMNS), **row} for row in rows]
    table = Findings.of_rows(
        "Side against side, IF against IF", whole, PLAN_COLUMNS, details=("harmonics_fall_on",)
    )
    return replace(table, sideways=True)
