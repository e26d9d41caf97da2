"""The tables of a plan, one class each; `plan.Plan` puts them together.

Attribute names end in their unit.  The short key of a file is the alias of the attribute.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import Field

from freqplan.plan_reading import (
    AsTuple,
    Dbm,
    Decibel,
    DecibelOrNumber,
    Hertz,
    Microseconds,
    Number,
    SignedHertz,
    Table,
    hertz_text,
)

FM_FROM_HZ = 30_000_000
"""From here upwards a band is taken for FM with a 100 kHz raster unless the plan says otherwise."""

MEDIUM_WAVE_UP_TO_HZ = 2_000_000
HIGHEST_ORDER = 25
"""Largest order of signal or oscillator; with `hertz.HIGHEST_HZ` it keeps every product inside int64."""

HIGHEST_IF_HARMONIC = 100

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
    """

    intermediate_hz: Hertz = Field(validation_alias="intermediate", examples=['"10.7 MHz"'])
    tolerance_hz: Hertz = Field(default=0, validation_alias="tolerance", examples=['"30 kHz"'])
    oscillator: Literal["high", "low", "sum", "unknown"] = Field(default="unknown", examples=['"high"'])
    fixed_oscillator_hz: Hertz | None = Field(
        default=None, validation_alias="fixed_oscillator", examples=['"10.245 MHz"']
    )

    def defaults(self) -> Iterator[str]:
        """Yield one part of a sentence for each default in force."""
        if self.defaulted("tolerance_hz"):
            yield f"IF of {hertz_text(self.intermediate_hz)} taken as exact"
        if self.defaulted("oscillator") and self.fixed_oscillator_hz is None:
            yield "oscillator side unknown"


class IfFilter(Table):
    """The filter that decides what is heard; `bandwidth_hz` [Hz] lies between its -3 dB points."""

    bandwidth_hz: Hertz = Field(validation_alias="bandwidth", examples=['"180 kHz"'])


class FrontEnd(Table):
    """The tuned circuits ahead of the mixer.

    Attributes
    ----------
    circuits_before_rf_stage, circuits_before_mixer : int
        Tuned circuits on either side of the RF stage; the mixer sees both.
    loaded_q : float or None
        Q of each circuit as it works in the set.
    floor_db : float [dB]
        The most they can reject, because of leakage past the coils.
    detuning_hz : int [Hz]
        How far they stand above (+) or below (-) the dial setting.
    gain_db : float or None [dB]
        From aerial to mixer on the tuned frequency.
    response : str or None
        File with a measured response, instead of circuits and Q.
    """

    circuits_before_rf_stage: Count = Field(default=0, examples=["1"])
    circuits_before_mixer: Count = Field(default=0, examples=["2"])
    loaded_q: Annotated[Number, Field(gt=0, le=100_000)] | None = Field(default=None, examples=["45"])
    floor_db: Annotated[Decibel, Field(gt=0, le=300)] = Field(
        default=80.0, validation_alias="floor", examples=['"80 dB"']
    )
    detuning_hz: SignedHertz = Field(default=0, validation_alias="detuning", examples=['"0 kHz"'])
    gain_db: Annotated[Decibel, Field(ge=-200, le=200)] | None = Field(
        default=None, validation_alias="gain", examples=['"20 dB"']
    )
    response: str | None = Field(default=None, examples=['"front_end.csv"'])

    def defaults(self) -> Iterator[str]:
        """Yield one part of a sentence for each default in force."""
        if self.response is not None:
            return
        if self.defaulted("floor_db"):
            yield f"front end rejects {self.floor_db:g} dB at most"
        if self.defaulted("detuning_hz"):
            yield "front end tuned to the dial setting"


class Suppression(Table):
    """How far the (m, n) product lies below the (1, 1) product at the reference level, `db` [dB]."""

    m: Order = Field(examples=["2"])
    n: Annotated[int, Field(ge=0, le=HIGHEST_ORDER)] = Field(examples=["2"])
    db: Annotated[DecibelOrNumber, Field(ge=-300, le=300)] = Field(examples=["55"])


class Mixer(Table):
    """What is known of the mixer's products.

    Attributes
    ----------
    kind : str
        "measured", "exponential", "square-law", "switching", "polynomial" or "unknown".
    reference_dbm : float or None [dBm]
        Signal level at the mixer for which `suppression` was measured.
    suppression : tuple of Suppression
        The measured table.
    oscillator_drive : float or None
        Oscillator amplitude in units of the thermal voltage, for an exponential device.
    unbalance : float or None
        How far the two halves of a switching mixer differ, from 0 (balanced) to 1.
    coefficients : tuple of float or None
        Of the powers 0, 1, 2 ... of a polynomial device.
    """

    kind: Literal["measured", "exponential", "square-law", "switching", "polynomial", "unknown"] = Field(
        default="unknown", examples=['"measured"']
    )
    reference_dbm: Annotated[Dbm, Field(ge=-300, le=100)] | None = Field(
        default=None, validation_alias="reference", examples=['"-30 dBm"']
    )
    suppression: Annotated[tuple[Suppression, ...], AsTuple] = Field(
        default=(), examples=["[{m = 2, n = 2, db = 55}]"]
    )
    oscillator_drive: Annotated[Number, Field(gt=0, le=1000)] | None = Field(default=None, examples=["4"])
    unbalance: Annotated[Number, Field(ge=0, le=1)] | None = Field(default=None, examples=["0.05"])
    coefficients: Annotated[tuple[Number, ...], AsTuple] | None = Field(
        default=None, examples=["[0, 1, 0.2]"]
    )


class RfStage(Table):
    """Two-tone intercept points at the input of the RF stage [dBm]."""

    iip2_dbm: Annotated[Dbm, Field(ge=-300, le=300)] | None = Field(
        default=None, validation_alias="iip2", examples=['"20 dBm"']
    )
    iip3_dbm: Annotated[Dbm, Field(ge=-300, le=300)] | None = Field(
        default=None, validation_alias="iip3", examples=['"-5 dBm"']
    )


class Orders(Table):
    """How far products are followed: largest m, largest abs(n), largest harmonic of the IF."""

    signal: Order = Field(default=5, examples=["5"])
    oscillator: Order = Field(default=5, examples=["5"])
    if_harmonic: Annotated[int, Field(ge=1, le=HIGHEST_IF_HARMONIC)] = Field(default=12, examples=["12"])

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

    name: str = Field(examples=['"display"'])
    frequency_hz: Hertz = Field(validation_alias="frequency", examples=['"4 MHz"'])
