"""How each cause behaves at the bench, as far as its integers do not tell: what is heard, where, and what stops it.

Every figure is the share of cases in which a person would report it so; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from freqplan.diagnosis.priors import NONE


class Shows(NamedTuple):
    """Shares of what a cause shows; they add up to 1.

    A voice is a programme or speech, or whatever else the signal behind it carries.
    """

    voice: float = 0.0
    whistle: float = 0.0
    quiet: float = 0.0
    noise: float = 0.0
    nothing: float = 0.0


GHOST = Shows(voice=0.58, whistle=0.27, noise=0.12, nothing=0.02, quiet=0.01)
TORN = Shows(voice=0.55, whistle=0.17, noise=0.25, nothing=0.02, quiet=0.01)
CARRIER = Shows(whistle=0.5, quiet=0.42, noise=0.06, nothing=0.02)


@dataclass(frozen=True)
class Trait:
    """Shares of cases in which something is reported of a cause.

    Attributes
    ----------
    shows : Shows
        What is heard.
    aerial_goes : float
        It goes with the aerial out.
    everywhere : float
        It is met all over the dial.
    other_set_too : float
        Another receiver in the same place has it.
    other_set_off : float
        It stops when another receiver is switched off.
    other_input : float
        It is heard on another input of the amplifier.
    stereo_only, anti_phase : float
        It is there in stereo only; of opposite sign left and right.
    own_place : float
        The programme is heard at its right place as well.
    drifts, warm_up, comes_and_goes : float
        It moves by itself; goes or comes as the set warms up; comes and goes by hours or weather.
    itself : float
        On a station, its own programme and no other is heard with the trouble.
    many : float
        More than one programme is heard, where the sum behind it does not tell.
    trap : float
        It stops with a trap, at the aerial, for a station that takes part.
    any_trap : float
        It stops with a trap for a strong station of which nobody knows whether it takes part.
    law, slope, beat : float or None
        Level law, tuning slope and beat rate where no sum tells them; None is unknown.
    """

    shows: Shows = GHOST
    aerial_goes: float = 0.96
    everywhere: float = 0.03
    other_set_too: float = 0.12
    other_set_off: float = 0.02
    other_input: float = 0.01
    stereo_only: float = 0.07
    anti_phase: float = 0.07
    own_place: float = 0.92
    drifts: float = 0.05
    warm_up: float = 0.03
    comes_and_goes: float = 0.1
    itself: float = 0.12
    many: float = 0.08
    trap: float = 0.93
    any_trap: float = 0.04
    law: float | None = None
    slope: float | None = None
    beat: float | None = None


_MISPLACED = Shows(voice=0.86, nothing=0.08, noise=0.06)
_WITH_ITSELF = 0.85
_READY_MADE = 0.04
"""What arrives on the dial setting itself is not stopped by a trap for the stations it is made of."""

_MAKES_ITS_OWN = {"aerial_goes": 0.06, "other_set_too": 0.03}

TRAITS: Mapping[str, Trait] = MappingProxyType(
    {
        "if-breakthrough": Trait(
            aerial_goes=0.82, everywhere=0.95, other_set_too=0.25, own_place=0.5, comes_and_goes=0.4
        ),
        "if-harmonic": Trait(
            Shows(whistle=0.8, noise=0.15, voice=0.02, quiet=0.02, nothing=0.01),
            aerial_goes=0.9,
            other_set_too=0.04,
            stereo_only=0.15,
            anti_phase=0.1,
        ),
        "self-mixing": Trait(
            Shows(whistle=0.84, noise=0.13, voice=0.03), other_set_too=0.05, stereo_only=0.15, anti_phase=0.1
        ),
        "if-oscillation": Trait(
            Shows(quiet=0.5, whistle=0.36, nothing=0.08, noise=0.06),
            everywhere=0.95,
            drifts=0.15,
            warm_up=0.2,
            law=0,
            slope=0,
            beat=1,
            **_MAKES_ITS_OWN,
        ),
        "oscillator-on-station": Trait(
            Shows(nothing=0.56, noise=0.2, whistle=0.1, voice=0.09, quiet=0.05), other_set_too=0.06
        ),
        "oscillator-in-if": Trait(Shows(nothing=0.55, quiet=0.3, noise=0.15), **_MAKES_ITS_OWN, law=0),
        "oscillator-product": Trait(CARRIER, **_MAKES_ITS_OWN),
        "internal-clock": Trait(CARRIER, **_MAKES_ITS_OWN, drifts=0.08, law=0),
        "other-receiver": Trait(
            Shows(whistle=0.56, quiet=0.37, noise=0.06, nothing=0.01),
            aerial_goes=0.86,
            other_set_too=0.45,
            other_set_off=0.95,
            stereo_only=0.2,
            anti_phase=0.2,
            drifts=0.4,
            comes_and_goes=0.65,
            law=1,
        ),
        "synthesiser-sideband": Trait(Shows(voice=0.75, noise=0.15, whistle=0.1)),
        "reference-ripple": Trait(
            Shows(whistle=0.96, noise=0.04),
            aerial_goes=0.5,
            everywhere=0.95,
            other_set_too=0.03,
            stereo_only=0.75,
            anti_phase=0.6,
            law=0,
            beat=0,
        ),
        "second-image": Trait(),
        "wrong-side": Trait(
            _MISPLACED, everywhere=0.5, itself=0.03, other_set_too=0.02, own_place=0.06, law=1, beat=0
        ),
        "oscillator-off": Trait(
            _MISPLACED,
            everywhere=0.5,
            itself=0.03,
            other_set_too=0.02,
            own_place=0.06,
            drifts=0.3,
            warm_up=0.2,
            law=1,
            slope=1,
            beat=0,
        ),
        "if-off-centre": Trait(
            Shows(noise=0.5, voice=0.5),
            everywhere=0.7,
            itself=_WITH_ITSELF,
            other_set_too=0.02,
            own_place=0.2,
            drifts=0.15,
            warm_up=0.2,
            law=1,
            slope=1,
            beat=0,
        ),
        "detector-side": Trait(
            Shows(voice=0.75, noise=0.25),
            everywhere=0.6,
            other_set_too=0.04,
            own_place=0.95,
            law=1,
            slope=-1,
            beat=0,
        ),
        "if-spaced-pair": Trait(TORN, everywhere=0.95, other_set_too=0.25),
        "second-order": Trait(TORN, other_set_too=0.3),
        "third-order": Trait(TORN, other_set_too=0.3),
        "third-order-outside": Trait(TORN, other_set_too=0.9, comes_and_goes=0.5, trap=_READY_MADE),
        "pair-half-if": Trait(TORN, other_set_too=0.2),
        "decoder-neighbour": Trait(
            Shows(whistle=0.88, noise=0.12),
            other_set_too=0.35,
            stereo_only=0.96,
            anti_phase=0.9,
            law=1,
            slope=1,
            beat=0,
        ),
        "second-transmitter": Trait(
            Shows(voice=0.97, noise=0.03),
            itself=0.05,
            other_set_too=0.96,
            own_place=0.7,
            comes_and_goes=0.25,
            trap=_READY_MADE,
            law=1,
            slope=1,
            beat=0,
        ),
        "co-channel": Trait(
            Shows(voice=0.6, whistle=0.2, noise=0.2),
            itself=0.35,
            other_set_too=0.9,
            comes_and_goes=0.65,
            many=0.7,
            law=1,
            slope=1,
            beat=0,
        ),
        "transmitter-harmonic": Trait(other_set_too=0.94, trap=_READY_MADE),
        "blocking": Trait(
            Shows(nothing=0.72, noise=0.2, quiet=0.08),
            everywhere=0.25,
            other_set_too=0.3,
            any_trap=0.4,
            law=3,
        ),
        "cross-modulation": Trait(
            Shows(voice=0.85, noise=0.15),
            everywhere=0.55,
            other_set_too=0.3,
            own_place=0.95,
            many=0.7,
            any_trap=0.4,
            law=3,
        ),
        "multipath": Trait(
            Shows(noise=0.6, voice=0.4),
            itself=_WITH_ITSELF,
            everywhere=0.4,
            other_set_too=0.5,
            stereo_only=0.4,
            anti_phase=0.3,
            own_place=0.9,
            comes_and_goes=0.3,
            law=1,
            slope=1,
        ),
        "modulation-hum": Trait(
            Shows(noise=0.6, whistle=0.2, voice=0.2),
            itself=_WITH_ITSELF,
            aerial_goes=0.9,
            everywhere=0.85,
            other_set_too=0.15,
            law=1,
            slope=1,
            beat=0,
        ),
        "audio-only": Trait(
            Shows(whistle=0.45, noise=0.4, voice=0.1, quiet=0.05),
            aerial_goes=0.03,
            everywhere=0.95,
            other_set_too=0.03,
            other_input=0.97,
            drifts=0.08,
            warm_up=0.1,
            law=0,
            beat=0,
        ),
        NONE: Trait(
            Shows(voice=0.25, whistle=0.25, quiet=0.15, noise=0.2, nothing=0.15),
            aerial_goes=0.6,
            everywhere=0.25,
            other_set_too=0.3,
            other_set_off=0.1,
            other_input=0.08,
            stereo_only=0.2,
            anti_phase=0.2,
            own_place=0.5,
            drifts=0.2,
            warm_up=0.15,
            comes_and_goes=0.3,
            many=0.3,
        ),
    }
)

USUAL = Trait()
"""Of a mechanism that is not listed: a ghost made in the set of a signal from outside."""


def trait(mechanism: str) -> Trait:
    """Return how a mechanism behaves, by its id."""
    return TRAITS.get(mechanism, USUAL)
