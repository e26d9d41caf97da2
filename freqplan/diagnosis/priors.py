"""How often each cause is behind a disturbance that somebody asks about, before anything is known of it."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

NONE = "none-of-these"
"""The cause that stands for everything the catalogue does not hold."""

WEIGHTS: Mapping[str, float] = MappingProxyType(
    {
        "image": 8.0,
        "half-if": 8.0,
        "if-breakthrough": 4.0,
        "fractional-if": 2.0,
        "oscillator-harmonic": 2.5,
        "signal-harmonic": 2.0,
        "harmonic-mixing": 1.5,
        "self-mixing": 0.8,
        "if-harmonic": 8.0,
        "if-oscillation": 4.0,
        "oscillator-on-station": 2.5,
        "oscillator-in-if": 0.5,
        "other-receiver": 8.0,
        "internal-clock": 4.0,
        "synthesiser-sideband": 2.0,
        "reference-ripple": 2.0,
        "wrong-side": 1.5,
        "oscillator-off": 8.0,
        "if-off-centre": 3.0,
        "detector-side": 3.0,
        "if-spaced-pair": 3.0,
        "second-order": 1.5,
        "third-order": 7.0,
        "third-order-outside": 1.5,
        "pair-half-if": 1.0,
        "decoder-neighbour": 4.0,
        "second-transmitter": 3.0,
        "co-channel": 3.0,
        "transmitter-harmonic": 0.5,
        "second-image": 3.0,
        "oscillator-product": 0.5,
        "blocking": 3.0,
        "cross-modulation": 2.0,
        "multipath": 6.0,
        "modulation-hum": 2.0,
        "audio-only": 4.0,
        NONE: 2.0,
    }
)
"""Relative weights; common practice, no source. What a set cannot have is left out before they are shared out."""

UNWEIGHTED = 1.0
"""Of a mechanism that is not listed, such as one added from outside."""


def weight(mechanism: str) -> float:
    """Return the weight of a mechanism by its id."""
    return WEIGHTS.get(mechanism, UNWEIGHTED)
