"""The receiver as its owner describes it: frozen, complete, and consistent in itself.

A `Plan` that exists is valid.  Everything that is wrong with one is reported at once, in a `PlanError`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Annotated, Any

import numpy as np
import numpy.typing as npt
from pydantic import BaseModel, Field, ValidationError

from freqplan.errors import Fault, PlanError
from freqplan.hertz import Rounding
from freqplan.plan_checks import troubles
from freqplan.plan_faults import attribute_names, fault_of, field_faults, spoken_of
from freqplan.plan_levels import FrontEnd, Mixer, RfStage, Suppression
from freqplan.plan_reading import AsTuple, Reading, Region, Table, Title, hertz_text
from freqplan.plan_scale import Scale, ScaleMark
from freqplan.plan_tables import (
    FM_FROM_HZ,
    HIGHEST_ORDER,
    MOST_CLOCKS,
    MOST_CONVERSIONS,
    Band,
    Clock,
    Conversion,
    IfFilter,
    Orders,
    Stereo,
    Synthesiser,
)

__all__ = [
    "HIGHEST_ORDER", "Band", "Clock", "Conversion", "FrontEnd", "IfFilter", "Mixer", "Orders", "Plan", "RfStage",
    "Scale", "ScaleMark", "Stereo", "Suppression", "Synthesiser",
]  # fmt: skip

DRIVEN = ("exponential", "square-law", "polynomial")
"""Mixers whose products depend on the oscillator's amplitude."""

USUAL_BANDWIDTH_HZ = {"fm": 180_000, "am": 9_000}


def _usual_filter(known: dict[str, Any]) -> IfFilter:
    last = (known.get("conversion") or (None,))[-1]
    if last is not None and last.filter is not None:
        return IfFilter(**last.filter.given())
    modulation = getattr(known.get("band"), "modulation", None)
    return IfFilter(bandwidth_hz=USUAL_BANDWIDTH_HZ[modulation or "fm"])


class Plan(Table):
    """A superhet receiver.

    Attributes
    ----------
    title : str
        What its owner calls it.
    region : int
        ITU Region, 1 to 3, by whose table of allocations services are named.
    band : Band
        What the dial covers.
    conversion : tuple of Conversion
        One for each mixer, the aerial end first; at least one, at most `MOST_CONVERSIONS`.
    if_filter : IfFilter
        What decides which products are heard.
    front_end : FrontEnd or None
        Tuned circuits ahead of the mixer; None when nothing is known of them.
    mixer : Mixer
        Its products, as far as known.
    rf_stage : RfStage or None
        Its intercept points.
    orders : Orders
        How far products are followed.
    stereo : Stereo
        Decoder and de-emphasis.
    clock : tuple of Clock
        Other oscillators inside the set, at most `MOST_CLOCKS`.
    synthesiser : Synthesiser or None
        What keeps the first oscillator in step; None when it runs free, or nothing is known of it.
    scale : Scale or None
        What the dial scale measures; None when nobody has measured it.

    Raises
    ------
    PlanError
        Holds every fault found.

    Examples
    --------
    >>> plan = Plan(
    ...     band=Band(low_hz=87_500_000, high_hz=108_000_000),
    ...     conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    ... )
    >>> plan.band.raster_hz
    100000
    """

    title: Title = "untitled"
    region: Region = Field(default=1, examples=["1"])
    band: Band
    conversion: Annotated[tuple[Conversion, ...], AsTuple] = Field(min_length=1, max_length=MOST_CONVERSIONS)
    if_filter: IfFilter = Field(default_factory=_usual_filter)
    front_end: FrontEnd | None = None
    mixer: Mixer = Field(default_factory=Mixer)
    rf_stage: RfStage | None = None
    orders: Orders = Field(default_factory=Orders)
    stereo: Stereo = Field(default_factory=Stereo)
    clock: Annotated[tuple[Clock, ...], AsTuple, Field(max_length=MOST_CLOCKS)] = ()
    synthesiser: Synthesiser | None = None
    scale: Scale | None = None

    def __init__(self, /, **values: object) -> None:
        try:
            BaseModel.__init__(self, **values)
        except ValidationError as error:
            raise PlanError(_all_faults(error, values, file=False)) from None
        _raise_any(_cross_faults(self, values, file=False))

    __init__.__pydantic_base_init__ = True  # type: ignore[attr-defined]  # as in Table

    @classmethod
    def from_file_keys(cls, values: Mapping[str, Any]) -> Plan:
        """Make a plan from nested tables with the keys and texts of a file.

        Parameters
        ----------
        values : mapping
            Such as ``{"band": {"low": "87.5 MHz", ...}, "conversion": [{"intermediate": "10.7 MHz"}]}``.

        Raises
        ------
        PlanError
            Holds every fault found, keys spelt as in the file.
        """
        tables = {key: value for key, value in values.items() if not (key == "if_filter" and value == {})}
        try:
            plan = cls.model_validate(attribute_names(tables, cls), context=Reading(file=True))
        except ValidationError as error:
            raise PlanError(_all_faults(error, tables, file=True)) from None
        _raise_any(_cross_faults(plan, tables, file=True))
        return plan

    def with_changes(
        self,
        *,
        oscillator: str | None = None,
        intermediate_hz: int | None = None,
        orders: tuple[int, int] | None = None,
        region: int | None = None,
    ) -> Plan:
        """Return the plan with another first conversion, other orders or another Region, checked again.

        Parameters
        ----------
        oscillator : {"high", "low", "sum", "unknown"}, optional
            Side of the first oscillator.
        intermediate_hz : int [Hz], optional
            First intermediate frequency.
        orders : (int, int), optional
            Largest order of the signal and of the oscillator.
        region : int, optional
            ITU Region, 1 to 3.

        Raises
        ------
        PlanError
            The changed plan is not consistent.
        """
        first = {"oscillator": oscillator, "intermediate_hz": intermediate_hz}
        order = dict(zip(("signal", "oscillator"), orders, strict=True)) if orders else {}
        changed = self.given()
        changed["conversion"] = (_changed(self.conversion[0], first), *self.conversion[1:])
        if order:
            changed["orders"] = _changed(self.orders, order)
        if region is not None:
            changed["region"] = region
        return Plan(**changed)

    @property
    def sides(self) -> tuple[str, ...]:
        """Return the oscillator sides to reckon with: the one given, or all that are possible."""
        given, intermediate = self.conversion[0].oscillator, self.conversion[0].intermediate_hz
        if given != "unknown":
            return (given,)
        if intermediate < self.band.low_hz:
            return ("high", "low")
        return ("high", "sum") if intermediate > self.band.high_hz else ("high",)

    @property
    def rounding(self) -> Rounding:
        """Return how the frequencies of this band are customarily written."""
        if self.band.low_hz < FM_FROM_HZ:
            return Rounding(unit="kHz", dial_decimals=0, fine_decimals=0)
        decimals = 3
        for step_hz, enough in ((100_000, 1), (10_000, 2)):
            if self.band.raster_hz % step_hz == 0 and self.band.first_channel_hz % step_hz == 0:
                decimals = enough
                break
        return Rounding(
            unit="MHz", dial_decimals=decimals, fine_decimals=2 if self.band.modulation == "fm" else 3
        )

    @property
    def first_channel_index(self) -> int:
        """Return the least k for which first channel + k rasters lies in the band."""
        return -((self.band.first_channel_hz - self.band.low_hz) // self.band.raster_hz)

    @property
    def last_channel_index(self) -> int:
        """Return the largest k for which first channel + k rasters lies in the band."""
        return (self.band.high_hz - self.band.first_channel_hz) // self.band.raster_hz

    @property
    def channels_hz(self) -> npt.NDArray[np.int64]:
        """Return every channel of the band, rising; (k,) int64 [Hz]."""
        index = np.arange(self.first_channel_index, self.last_channel_index + 1, dtype=np.int64)
        return self.band.first_channel_hz + self.band.raster_hz * index

    def nearest_channel_hz(self, frequency_hz: Fraction | int) -> int:
        """Return the channel nearest to `frequency_hz` [Hz]; half-way goes up, outside goes to the end."""
        rasters = (Fraction(frequency_hz) - self.band.first_channel_hz) / self.band.raster_hz
        index = (2 * rasters + 1) // 2
        inside = min(max(index, self.first_channel_index), self.last_channel_index)
        return self.band.first_channel_hz + inside * self.band.raster_hz

    @property
    def middle_channel_hz(self) -> int:
        """Return the channel in the middle of the dial [Hz], of two the upper one."""
        return self.nearest_channel_hz((self.band.low_hz + self.band.high_hz) // 2)

    @property
    def defaults(self) -> tuple[str, ...]:
        """Return one part of a sentence for each default in force."""
        return tuple(self._defaults())

    def _defaults(self) -> Iterator[str]:
        yield from self.band.defaults()
        for conversion in self.conversion:
            yield from conversion.defaults()
        if self.defaulted("if_filter") and self.conversion[-1].filter is None:
            yield f"IF filter {hertz_text(self.if_filter.bandwidth_hz)} between the -3 dB points"
        yield from self.if_filter.defaults()
        if self.front_end is not None:
            yield from self.front_end.defaults()
        yield from self.orders.defaults()
        if self.band.modulation == "fm":
            yield from self.stereo.defaults()

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return what is allowed in this plan but should be known when its results are read."""
        return tuple(self._cautions())

    def _cautions(self) -> Iterator[str]:
        first_if = self.conversion[0].intermediate_hz
        if self.band.low_hz <= first_if <= self.band.high_hz:
            where = f"the IF of {hertz_text(first_if)} lies inside the tuned band"
            yield f"{where}: what is received on it passes the mixer at every dial setting"
        if self.if_filter.bandwidth_hz >= 2 * self.conversion[-1].intermediate_hz:
            yield "the IF filter is wider than twice the IF: it passes the image as well"
        if self.mixer.kind == "measured" and not self.mixer.suppression:
            yield "no suppression figures for the measured mixer: levels of its products stay unknown"
        if self.mixer.kind in DRIVEN and self.mixer.oscillator_drive is None:
            yield f"no oscillator_drive for the {self.mixer.kind} mixer: levels of its products stay unknown"
        elif self.mixer.kind == "polynomial" and self.mixer.coefficients is None:
            yield "no coefficients for the polynomial mixer: levels of its products stay unknown"

    def to_dict(self) -> dict[str, Any]:
        """Return the plan as a JSON object with attribute names, frequencies in hertz."""
        return self.model_dump(mode="json")


def _changed(table: Table, changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was given in `table`, with those `changes` that are not None."""
    return table.given() | {name: value for name, value in changes.items() if value is not None}


def _all_faults(error: ValidationError, values: Mapping[str, Any], *, file: bool) -> list[Fault]:
    """Return what pydantic found and, from what could be read, what the cross checks find."""
    named = attribute_names(values, Plan) if file else values
    readable = Plan.model_validate(named, context=Reading(file=file, lenient=True))
    faults = field_faults(error, Plan, file=file)
    known = set(spoken_of(faults))
    return faults + [fault for fault in _cross_faults(readable, values, file=file) if fault.key not in known]


def _cross_faults(plan: Plan, values: Mapping[str, Any], *, file: bool) -> list[Fault]:
    return [fault_of(trouble, Plan, values, file=file) for trouble in troubles(plan)]


def _raise_any(faults: list[Fault]) -> None:
    if faults:
        raise PlanError(faults)
