"""What was observed, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from freqplan.diagnosis.cases import UNRECOGNISED, Case
from freqplan.words import setting

if TYPE_CHECKING:
    from freqplan.diagnosis.scene import Scene
    from freqplan.evidence import Symptom

_TRUTHS: Mapping[str, tuple[str, str]] = {
    "everywhere": ("all over the dial", "in one place"),
    "single": ("one programme alone", "several programmes"),
    "own_place_too": (
        "the programme is at its right place as well",
        "the programme is not at its right place",
    ),
    "stereo_only": ("in stereo only", "in mono too"),
    "anti_phase": ("in anti-phase left and right", "not in anti-phase"),
    "other_set_off_stops": ("stops with another set off", "goes on with other sets off"),
    "other_set_too": ("another set there has it too", "no other set there has it"),
    "other_input_too": ("on another input too", "not on another input"),
    "drifts": ("it drifts", "it does not drift"),
    "warm_up_stops": ("it changes as the set warms up", "it does not change as the set warms up"),
    "comes_and_goes": ("it comes and goes", "it is always there"),
}
_WORDS: Mapping[str, Callable[[Any], str]] = {
    "heard": lambda value: {"programme": "a programme", "whistle": "a whistle"}.get(value, value),
    "speech_of": lambda value: f"speech of {value}",
    "aerial_out": lambda value: f"{value} with the aerial out",
    "pitch": lambda value: {
        "still": "pitch stands still",
        "moves": "pitch moves",
        "flicks": "pitch flicks past",
    }[value],
    "pitch_rate": lambda value: f"{value:g} kHz of pitch per kHz",
    "width": lambda value: {"full": "full width", "half": "half as wide", "third": "a third as wide"}.get(
        value, value
    ),
    "meter": lambda value: f"meter {value}",
    "afc": lambda value: f"the AFC {value}",
    "by_ear": lambda value: f"{value} by ear with a pad",
}


def said(key: str, scene: Scene, symptom: Symptom) -> str:
    """Return one observation in words, such as ``goes with the aerial out``."""
    if key == "dial":
        return _place(scene, symptom)
    if key == UNRECOGNISED:
        return "a programme that nobody recognised"
    if key == "fell":
        return f"falls {symptom.fell_db:g} dB with a pad of {symptom.pad_db:g} dB"
    if key in ("programme_of", "notch_stops", "notch_keeps"):
        names = ", ".join(getattr(symptom, key))
        return {"programme_of": "programme of", "notch_stops": "stops with a trap for",
                "notch_keeps": "goes on with a trap for"}[key] + f" {names}"  # fmt: skip
    value = getattr(symptom, key)
    if key in _TRUTHS:
        # Where nobody says so, it is taken to be in one place.
        return _TRUTHS[key][0 if value else 1]
    return _WORDS[key](value)


def _place(scene: Scene, symptom: Symptom) -> str:
    rounding, unit = scene.plan.rounding, scene.plan.rounding.unit
    words = []
    if symptom.dial_hz is not None:
        words.append(f"at {setting(symptom.dial_hz, rounding)} {unit}")
    if symptom.on_station is not None:
        words.append(f"on {symptom.on_station}")
    if symptom.pitch_khz is not None:
        way = f", {symptom.pitch_tuned_up} when tuned up" if symptom.pitch_tuned_up else ""
        words.append(f"a pitch of {symptom.pitch_khz:g} kHz{way}")
    return ", ".join(words)


def everything_said(scene: Scene, case: Case, symptom: Symptom) -> Iterator[str]:
    """Yield everything that was observed of a symptom, in words."""
    if place := _place(scene, symptom):
        yield place
    for key in case.likelihoods:
        if key not in ("dial", UNRECOGNISED) and not (key == "everywhere" and symptom.everywhere is None):
            yield said(key, scene, symptom)
