"""The catalogue of mechanisms: one file per place the energy comes from.

To add a mechanism, write a `Family` in a file of its own and name it in `FAMILIES`.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from freqplan.mechanisms import one_signal, own_if, own_oscillator
from freqplan.mechanisms.kinds import Family, Mechanism, Sums

FAMILIES: tuple[Family, ...] = (one_signal.FAMILY, own_if.FAMILY, own_oscillator.FAMILY)
"""Every family that is computed."""


def catalogue(families: tuple[Family, ...] = FAMILIES) -> Mapping[str, Mechanism]:
    """Return the mechanisms of `families` by id."""
    return MappingProxyType({one.id: one for family in families for one in family.mechanisms})


__all__ = ["FAMILIES", "Family", "Mechanism", "Sums", "catalogue"]
