"""The tables of a plan that say how strong things are: front end, mixer, RF stage."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from freqplan.plan_reading import (
    AsTuple,
    Dbm,
    Dbuv,
    Decibel,
    DecibelOrNumber,
    Hertz,
    Number,
    Ohms,
    SignedHertz,
    Table,
)
from freqplan.plan_tables import HIGHEST_ORDER, Count, Order

MOST_COEFFICIENTS = 2 * HIGHEST_ORDER + 1
"""Powers up to the highest order of signal and oscillator together."""

MOST_SUPPRESSION = HIGHEST_ORDER * (HIGHEST_ORDER + 1)
"""One figure for each m and n there can be."""


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
    response_dial_hz : int or None [Hz]
        Dial setting at which it was measured; at another one it stands in proportion.  None: it is fixed.
    impedance_ohm : float [ohm]
        Of the aerial socket and of the mixer's input: joins dBm to dB(uV).
    wanted_dbuv : float [dB(uV)]
        Level of the wanted station at the aerial where none is listed.
    sensitivity_dbuv : float or None [dB(uV)]
        Least level at the aerial that rises out of the noise; None: reckoned from thermal noise.
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
    response_dial_hz: Hertz | None = Field(
        default=None, validation_alias="response_dial", examples=['"98 MHz"']
    )
    impedance_ohm: Annotated[Ohms, Field(gt=0, le=10_000)] = Field(
        default=75.0, validation_alias="impedance", examples=['"75 ohm"']
    )
    wanted_dbuv: Annotated[Dbuv, Field(ge=-100, le=200)] = Field(
        default=54.0, validation_alias="wanted", examples=['"54 dBuV"']
    )
    sensitivity_dbuv: Annotated[Dbuv, Field(ge=-100, le=200)] | None = Field(
        default=None, validation_alias="sensitivity", examples=['"4 dBuV"']
    )

    def defaults(self) -> Iterator[str]:
        """Yield one part of a sentence for each default in force."""
        if self.defaulted("impedance_ohm"):
            yield f"aerial and mixer {self.impedance_ohm:g} ohm"
        if self.defaulted("wanted_dbuv"):
            yield f"wanted station {self.wanted_dbuv:g} dB(uV) where none is listed"
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
        Peak of the oscillator at the device: in thermal voltages (26 mV) for an exponential one, in volts for a
        square law or a polynomial.
    unbalance : float or None
        By how much the two halves of a switching mixer's period differ, as a share of it: 0 (balanced) to 1.
    coefficients : tuple of float or None
        Of the powers 0, 1, 2 ... of a polynomial device, its voltage in volts.
    """

    kind: Literal["measured", "exponential", "square-law", "switching", "polynomial", "unknown"] = Field(
        default="unknown", examples=['"measured"']
    )
    reference_dbm: Annotated[Dbm, Field(ge=-300, le=100)] | None = Field(
        default=None, validation_alias="reference", examples=['"-30 dBm"']
    )
    suppression: Annotated[tuple[Suppression, ...], AsTuple, Field(max_length=MOST_SUPPRESSION)] = Field(
        default=(), examples=["[{m = 2, n = 2, db = 55}]"]
    )
    oscillator_drive: Annotated[Number, Field(gt=0, le=1000)] | None = Field(default=None, examples=["4"])
    unbalance: Annotated[Number, Field(ge=0, le=1)] | None = Field(default=None, examples=["0.05"])
    coefficients: Annotated[tuple[Number, ...], AsTuple, Field(max_length=MOST_COEFFICIENTS)] | None = Field(
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
