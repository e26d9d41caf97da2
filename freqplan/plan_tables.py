"""The tables of a plan, one class each; `plan.Plan` puts them together.

Attribute names end in their unit.  The short key of a file is the alias of the attribute.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import Field

from freqplan.hertz import HZ_IN, decimal_text
from freqplan.plan_reading import (
    Decibel,
    Hertz,
    Microseconds,
    Table,
    Title,
    hertz_text,
)

FM_FROM_HZ = 30_000_000
"""From here upwards a band is taken for FM with a 100 kHz raster unless the plan says otherwise."""

MEDIUM_WAVE_UP_TO_HZ = 2_000_000
HIGHEST_ORDER = 25
"""Largest order of signal or oscillator; with `hertz.HIGHEST_HZ` it keeps every product inside int64."""

HIGHEST_IF_HARMONIC = 100

MOST_CONVERSIONS = 4
"""With the side unknown at each, the ways through them all grow more than threefold with every one."""

MOST_CLOCKS = 64
"""More than any set holds; each is followed through thousands of harmonics and all responses."""

Order = Annotated[int, Field(ge=1, le=HIGHEST_ORDER)]
Count = Annotated[int, Field(ge=0, le=20)]


def _low_end_hz(known: dict[str, Any]) -> int:
    """Return the low end; an unreadable one counts as FM, so that no second fault follows from it."""
    low_hz: int | None = known.get("low_hz")
    return FM_FROM_HZ if low_hz is None else low_hz


def _usual_modulation(known: dict[str, Any]) -> Literal["fm", "am"]:
    return "fm" if _low_end_hz(known) >= FM_FROM_HZ else "am"


def _usual_raster_hz(known: dict[str, Any]) -> int:
    low_hz = _low_end_hz(known)
    return 100_000 if low_hz >= FM_FROM_HZ else 9_000 if low_hz < MEDIUM_WAVE_UP_TO_HZ else 5_000


def _usual_deviation_hz(known: dict[str, Any]) -> int:
    return 75_000 if known.get("modulation") == "fm" else 0


class Band(Table):
    """What the dial covers.

    Attributes
    ----------
    low_hz, high_hz : int [Hz]
        Ends of the dial, both included.
    raster_hz : int [Hz]
        Channel spacing; 100 kHz from 30 MHz upwards, 9 kHz below 2 MHz, 5 kHz between.
    first_channel_hz : int [Hz]
        Any one channel; the others lie whole rasters away.  The low end unless given.
    modulation : {"fm", "am"}
        FM from 30 MHz upwards unless given.
    deviation_hz : int [Hz]
        Peak deviation; 75 kHz, and 0 on AM.
    """

    low_hz: Hertz = Field(validation_alias="low", examples=['"87.5 MHz"'])
    high_hz: Hertz = Field(validation_alias="high", examples=['"108 MHz"'])
    modulation: Literal["fm", "am"] = Field(default_factory=_usual_modulation, examples=['"fm"'])
    raster_hz: Hertz = Field(
        default_factory=_usual_raster_hz, validation_alias="raster", examples=['"100 kHz"']
    )
    first_channel_hz: Hertz = Field(
        default_factory=_low_end_hz, validation_alias="first_channel", examples=['"87.5 MHz"']
    )
    deviation_hz: Hertz = Field(
        default_factory=_usual_deviation_hz, validation_alias="deviation", examples=['"75 kHz"']
    )

    def defaults(self) -> Iterator[str]:
        """Yield one part of a sentence for each default in force."""
        if self.defaulted("raster_hz"):
            yield f"raster {hertz_text(self.raster_hz)}"
        if self.defaulted("first_channel_hz"):
            yield f"first channel {hertz_text(self.first_channel_hz)}, the low end of the band"
        if self.defaulted("modulation"):
            yield f"modulation {self.modulation.upper()}"
        if self.defaulted("deviation_hz") and self.modulation == "fm":
            yield f"deviation {hertz_text(self.deviation_hz)}"


class Conversion(Table):
    """One mixer with the IF behind it.

    Attributes
    ----------
    intermediate_hz : int [Hz]
        The intermediate frequency, as far as it is known.
    tolerance_hz : int [Hz]
        How far the real one may lie from it on either side.
    oscillator : {"high", "low", "sum", "unknown"}
        Above the signal, below it, falling as the dial rises (the IF is their sum), or not known.
    fixed_oscillator_hz : int or None [Hz]
        A later conversion's oscillator, where it does not tune.
    bandwidth_hz, bandwidth_20db_hz : int or None [Hz]
        The filter behind this mixer, between its -3 dB and its -20 dB points; behind the last one it is the IF filter.
    """

    intermediate_hz: Hertz = Field(validation_alias="intermediate", examples=['"10.7 MHz"'])
    tolerance_hz: Hertz = Field(default=0, validation_alias="tolerance", examples=['"30 kHz"'])
    oscillator: Literal["high", "low", "sum", "unknown"] = Field(default="unknown", examples=['"high"'])
    fixed_oscillator_hz: Hertz | None = Field(
        default=None, validation_alias="fixed_oscillator", examples=['"10.245 MHz"']
    )
    bandwidth_hz: Hertz | None = Field(default=None, validation_alias="bandwidth", examples=['"15 kHz"'])
    bandwidth_20db_hz: Hertz | None = Field(
        default=None, validation_alias="bandwidth_20db", examples=['"40 kHz"']
    )

    @property
    def filter(self) -> IfFilter | None:
        """Return the filter behind this mixer; None where the plan tells nothing of it."""
        if self.bandwidth_hz is None:
            return None
        skirts = {} if self.bandwidth_20db_hz is None else {"bandwidth_20db_hz": self.bandwidth_20db_hz}
        return IfFilter(bandwidth_hz=self.bandwidth_hz, **skirts)

    def defaults(self) -> Iterator[str]:
        """Yield one part of a sentence for each default in force."""
        if self.defaulted("tolerance_hz"):
            yield f"IF of {hertz_text(self.intermediate_hz)} taken as exact"
        if self.defaulted("oscillator") and self.fixed_oscillator_hz is None:
            yield "oscillator side unknown"


class IfFilter(Table):
    """The filter that decides what is heard.

    Attributes
    ----------
    bandwidth_hz : int [Hz]
        Between its -3 dB points.
    bandwidth_20db_hz : int or None [Hz]
        Between its -20 dB points.
    """

    bandwidth_hz: Hertz = Field(validation_alias="bandwidth", examples=['"180 kHz"'])
    bandwidth_20db_hz: Hertz | None = Field(
        default=None, validation_alias="bandwidth_20db", examples=['"320 kHz"']
    )

    @property
    def skirts_hz(self) -> int:
        """Return the width between the -20 dB points [Hz]: the one given, or 16/9 of the bandwidth.

        That is the shape of four resonators lined up for a flat top; common practice, no source.
        """
        return self.bandwidth_20db_hz or 16 * self.bandwidth_hz // 9

    def defaults(self) -> Iterator[str]:
        """Yield one part of a sentence for each default in force."""
        if self.bandwidth_20db_hz is None:
            skirts = decimal_text(self.skirts_hz, unit_hz=HZ_IN["kHz"], decimals=0)
            yield f"IF filter {skirts} kHz between the -20 dB points"


class Orders(Table):
    """How far products are followed: largest m, largest abs(n), largest harmonic of the IF."""

    signal: Order = Field(default=5, examples=["5"])
    oscillator: Order = Field(default=5, examples=["5"])
    if_harmonic: Annotated[int, Field(ge=1, le=HIGHEST_IF_HARMONIC)] = Field(default=12, examples=["12"])

    @property
    def if_harmonic_compared(self) -> int:
        """Return how far harmonics are followed where IFs are compared: a low one is not flattered by the limit."""
        return max(self.if_harmonic, HIGHEST_ORDER)

    def defaults(self) -> Iterator[str]:
        """Yield one part of a sentence for each default in force."""
        parts = [
            f"{getattr(self, name)} of the {name}"
            for name in ("signal", "oscillator")
            if self.defaulted(name)
        ]
        if parts:
            yield f"orders up to {' and '.join(parts)}"
        if self.defaulted("if_harmonic"):
            yield f"IF harmonics up to {self.if_harmonic}"


class Stereo(Table):
    """The stereo decoder ("none", "switching" or "filtered") and the de-emphasis [us]."""

    decoder: Literal["none", "switching", "filtered"] = Field(default="filtered", examples=['"switching"'])
    deemphasis_us: Annotated[Microseconds, Field(ge=0, le=1000)] = Field(
        default=50.0, validation_alias="deemphasis", examples=['"50 us"']
    )

    def defaults(self) -> Iterator[str]:
        """Yield one part of a sentence for each default in force."""
        if self.defaulted("decoder"):
            yield f"stereo decoder {self.decoder}"
        if self.defaulted("deemphasis_us"):
            yield f"de-emphasis {self.deemphasis_us:g} us"


class Clock(Table):
    """An oscillator inside the set that is no part of its reception, `frequency_hz` [Hz]."""

    name: Title = Field(examples=['"display"'])
    frequency_hz: Hertz = Field(validation_alias="frequency", examples=['"4 MHz"'])


class Synthesiser(Table):
    """What keeps the first oscillator in step.

    Attributes
    ----------
    reference_hz : int [Hz]
        The frequency at which it compares.
    sidebands_db : float or None [dB]
        How far the first sideband of the oscillator, one reference away, lies below it.
    """

    reference_hz: Hertz = Field(validation_alias="reference", examples=['"25 kHz"'])
    sidebands_db: Annotated[Decibel, Field(ge=10, le=200)] | None = Field(
        default=None, validation_alias="sidebands", examples=['"60 dB"']
    )
