"""What was observed of a disturbance, as the person at the set wrote it down: frozen and self-checking models.

Everything is optional, and "unknown" says the same as leaving a key out.  Nothing is weighed here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field, PrivateAttr, ValidationError

from freqplan.errors import EvidenceError, Fault
from freqplan.evidence_reading import Above0Hertz, EvidenceTable, Name, Names, Truth
from freqplan.plan_faults import attribute_names, field_faults
from freqplan.plan_reading import AsTuple, Decibel, Hertz, Number, Reading, hertz_text
from freqplan.tomlfile import Origin

MOST_SYMPTOMS = 50
MOST_PLAUSIBLE_ORDER = 6
"""A pad lowers a product of order m by m times its loss; more than this is taken for a slip, and remarked."""


class SetKnowledge(EvidenceTable):
    """What is known of the set besides its plan.

    Attributes
    ----------
    oscillator : {"high", "low", "sum", "unknown"} or None
        Side of the first oscillator; None: as the plan says; "unknown": the plan's side is not relied on.
    intermediate_hz : int or None [Hz]
        The real IF, where it is known better than from the plan.
    intermediate_known : {"nominal", "dot", "measured"} or None
        Where that comes from: printed, the filter's colour dot, a counter.
    intermediate_error_hz : int or None [Hz]
        How far it may be off either way.
    dial_error_hz : int or None [Hz]
        How far the scale may be off either way.
    """

    keeps_unknown: ClassVar[frozenset[str]] = frozenset({"oscillator"})

    oscillator: Literal["high", "low", "sum", "unknown"] | None = Field(default=None, examples=['"high"'])
    intermediate_hz: Above0Hertz | None = Field(
        default=None, validation_alias="intermediate", examples=['"10.675 MHz"']
    )
    intermediate_known: Literal["nominal", "dot", "measured"] | None = Field(
        default=None, examples=['"measured"']
    )
    intermediate_error_hz: Hertz | None = Field(
        default=None, validation_alias="intermediate_error", examples=['"5 kHz"']
    )
    dial_error_hz: Hertz | None = Field(default=None, validation_alias="dial_error", examples=['"0.2 MHz"'])


class Symptom(EvidenceTable):
    """One disturbance as it was observed; None, or an empty tuple, is what was not observed.

    Attributes
    ----------
    dial_hz, reading_error_hz : int or None [Hz]
        Where the dial stood, and how far that may be misread either way.
    everywhere : bool or None
        It is there at every dial setting.
    heard : {"programme", "speech", "whistle", "quiet", "noise", "nothing"} or None
        A broadcast; the voice of another service; a tone on a wanted station; less hiss and nothing else;
        rough noise; a dead spot.
    speech_of : {"aircraft", "amateurs", "other"} or None
        Whose speech, where it was recognised.
    on_station : str or None
        The wanted station it disturbs, name or frequency as written.
    programme_of : tuple of str
        Stations recognised in it, names or frequencies as written.
    single : bool or None
        Only one programme is heard.
    own_place_too : bool or None
        The programme is heard at its right place on the dial as well.
    aerial_out : {"goes", "stays"} or None
        What it does when the aerial is taken out.
    pitch : {"still", "moves", "flicks"} or None
        What the tone does while the set is tuned across it.
    pitch_khz : float or None [kHz]
        The tone.
    pitch_tuned_up : {"rises", "falls"} or None
        Where the tone goes when the set is tuned upwards.
    pitch_rate : float or None
        kHz of pitch for one kHz of tuning, by counter.
    stereo_only, anti_phase : bool or None
        It goes in mono; it is opposite in left and right.
    width : {"full", "half", "third", "wide"} or None
        How much of the dial it takes, against a station; "wide": several channels.
    meter : {"normal", "reversed"} or None
        Which way the tuning meter swings.
    afc : {"pulls", "pushes"} or None
        Whether the AFC draws the set towards it or off it.
    pad_db, fell_db : float or None [dB]
        Loss of a pad at the aerial, and by how much the limiter or AGC reading fell.
    by_ear : {"better", "same", "worse"} or None
        Against the wanted station, after the pad.
    notch_stops, notch_keeps : tuple of str
        Stations whose notch made it stop, or made no difference.
    other_set_off_stops : bool or None
        It stops when another set is switched off.
    other_set_dial_hz : int or None [Hz]
        Where that other set stood.
    other_set_too, other_input_too : bool or None
        Another receiver in the same place has it too; so has another input of the amplifier.
    drifts, warm_up_stops, comes_and_goes : bool or None
        It drifts; it goes, or comes, when the set has warmed up; it comes and goes by hours, weather or season.
    """

    dial_hz: Above0Hertz | None = Field(default=None, validation_alias="dial", examples=['"98.05 MHz"'])
    reading_error_hz: Hertz | None = Field(
        default=None, validation_alias="reading_error", examples=['"0.1 MHz"']
    )
    everywhere: Truth | None = Field(default=None, examples=["true"])
    heard: Literal["programme", "speech", "whistle", "quiet", "noise", "nothing"] | None = Field(
        default=None, examples=['"programme"']
    )
    speech_of: Literal["aircraft", "amateurs", "other"] | None = Field(default=None, examples=['"aircraft"'])
    on_station: Name | None = Field(default=None, examples=['"95.2 MHz"'])
    programme_of: Names = Field(default=(), examples=['["103.4 MHz"]'])
    single: Truth | None = Field(default=None, examples=["true"])
    own_place_too: Truth | None = Field(default=None, examples=["true"])
    aerial_out: Literal["goes", "stays"] | None = Field(default=None, examples=['"goes"'])
    pitch: Literal["still", "moves", "flicks"] | None = Field(default=None, examples=['"moves"'])
    pitch_khz: Annotated[Number, Field(gt=0, le=1000)] | None = Field(default=None, examples=["3.0"])
    pitch_tuned_up: Literal["rises", "falls"] | None = Field(default=None, examples=['"rises"'])
    pitch_rate: Annotated[Number, Field(ge=0, le=1000)] | None = Field(default=None, examples=["2"])
    stereo_only: Truth | None = Field(default=None, examples=["true"])
    anti_phase: Truth | None = Field(default=None, examples=["true"])
    width: Literal["full", "half", "third", "wide"] | None = Field(default=None, examples=['"half"'])
    meter: Literal["normal", "reversed"] | None = Field(default=None, examples=['"reversed"'])
    afc: Literal["pulls", "pushes"] | None = Field(default=None, examples=['"pulls"'])
    pad_db: Annotated[Decibel, Field(gt=0, le=200)] | None = Field(
        default=None, validation_alias="pad", examples=['"10 dB"']
    )
    fell_db: Annotated[Decibel, Field(ge=0, le=300)] | None = Field(
        default=None, validation_alias="fell", examples=['"20 dB"']
    )
    by_ear: Literal["better", "same", "worse"] | None = Field(default=None, examples=['"same"'])
    notch_stops: Names = Field(default=(), examples=['["92.9 MHz"]'])
    notch_keeps: Names = Field(default=(), examples=['["100.7 MHz"]'])
    other_set_off_stops: Truth | None = Field(default=None, examples=["true"])
    other_set_dial_hz: Above0Hertz | None = Field(
        default=None, validation_alias="other_set_dial", examples=['"98 MHz"']
    )
    other_set_too: Truth | None = Field(default=None, examples=["true"])
    other_input_too: Truth | None = Field(default=None, examples=["true"])
    drifts: Truth | None = Field(default=None, examples=["true"])
    warm_up_stops: Truth | None = Field(default=None, examples=["true"])
    comes_and_goes: Truth | None = Field(default=None, examples=["true"])

    def remarks(self) -> Iterator[str]:
        """Yield what is written here but says nothing, or is probably a slip."""
        if not self.given():
            yield "nothing is known of it"
        if self.fell_db is not None and self.pad_db is None:
            yield "fell without pad: by how much it falls says nothing without the loss of the pad"
        if self.pad_db is not None and self.fell_db is None and self.by_ear is None:
            yield "pad without fell and by_ear: a pad says nothing without what it did"
        if self.pad_db and self.fell_db and self.fell_db > MOST_PLAUSIBLE_ORDER * self.pad_db:
            yield (
                f"fell {self.fell_db:g} dB for a pad of {self.pad_db:g} dB: "
                f"more than {MOST_PLAUSIBLE_ORDER} times, so read both again"
            )
        if self.pitch == "still" and self.pitch_tuned_up is not None:
            yield f'pitch_tuned_up = "{self.pitch_tuned_up}" with pitch = "still": one of the two is wrong'
        if self.other_set_dial_hz is not None and not self.other_set_off_stops:
            yield "other_set_dial without other_set_off_stops = true: where that set stood says nothing"


class Evidence(EvidenceTable):
    """All that was observed on one set.

    Attributes
    ----------
    set : SetKnowledge
        What is known of the set besides its plan.
    symptoms : tuple of Symptom
        One for each disturbance, 1 to 50.
    source : str
        Where it was read.
    remarks : tuple of str
        What is written but says nothing, or is probably a slip.

    Raises
    ------
    EvidenceError
        Holds every fault found.

    Examples
    --------
    >>> evidence = Evidence(symptoms=(Symptom(dial_hz=98_000_000, heard="programme"),))
    >>> evidence.symptoms[0].aerial_out is None
    True
    """

    set: SetKnowledge = Field(default_factory=SetKnowledge)
    symptoms: Annotated[tuple[Symptom, ...], AsTuple] = Field(
        min_length=1, max_length=MOST_SYMPTOMS, validation_alias="symptom"
    )
    _origin: Origin = PrivateAttr(default_factory=Origin)

    @classmethod
    def from_file_keys(cls, values: Mapping[str, Any], *, origin: Origin | None = None) -> Evidence:
        """Make evidence from nested tables with the keys and texts of a file.

        Parameters
        ----------
        values : mapping
            Such as ``{"symptom": [{"dial": "98.05 MHz", "heard": "programme"}]}``.
        origin : Origin, optional
            Where they were read.

        Raises
        ------
        EvidenceError
            Holds every fault found, keys spelt as in the file.
        """
        try:
            evidence = cls.model_validate(attribute_names(values, cls), context=Reading(file=True))
        except ValidationError as error:
            faults = field_faults(error, cls, file=True)
            raise EvidenceError(origin.placed(faults) if origin else faults) from None
        if origin is not None:
            evidence._origin = origin
        return evidence

    @property
    def source(self) -> str:
        """Return the file name, ``<stdin>``, or nothing where the evidence came from Python."""
        return self._origin.source

    def placed(self, faults: Iterable[Fault]) -> list[Fault]:
        """Return faults found later, keys spelt as in the file, with file and line, in the order of the file."""
        return self._origin.placed(faults)

    @property
    def remarks(self) -> tuple[str, ...]:
        """Return what is written but says nothing, or is probably a slip, each with its place."""
        return tuple(
            f"symptom[{index}]{_where(symptom)}: {remark}"
            for index, symptom in enumerate(self.symptoms)
            for remark in symptom.remarks()
        )


def _where(symptom: Symptom) -> str:
    return f" on {hertz_text(symptom.dial_hz)}" if symptom.dial_hz is not None else ""
