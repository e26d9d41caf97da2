"""The catalogue of mechanisms: one file per place the energy comes from.

To add a mechanism, write a `Family` in a file of its own and name it in `FAMILIES`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from freqplan.findings import Findings, text_column
from freqplan.mechanisms import (
    adjustment,
    clocks,
    conversions,
    decoder,
    not_radio,
    one_signal,
    oscillator_pairs,
    other_sets,
    overload,
    own_if,
    own_oscillator,
    several_signals,
    synthesiser,
    transmitters,
)
from freqplan.mechanisms.kinds import Family, Mechanism, Sums

FAMILIES: tuple[Family, ...] = (
    one_signal.FAMILY,
    own_if.FAMILY,
    own_oscillator.FAMILY,
    several_signals.FAMILY,
    clocks.FAMILY,
    synthesiser.FAMILY,
    conversions.FAMILY,
    oscillator_pairs.FAMILY,
    decoder.FAMILY,
    other_sets.FAMILY,
    overload.FAMILY,
    adjustment.FAMILY,
    transmitters.FAMILY,
    not_radio.FAMILY,
)
"""Every family; other sets in the house are computed only where their plans are given too, the last four never.

Those four hold what a survey cannot foresee, and what has to be told apart from all the rest when a set is diagnosed.
"""


def catalogue(families: tuple[Family, ...] = FAMILIES) -> Mapping[str, Mechanism]:
    """Return the mechanisms of `families` by id."""
    return MappingProxyType({one.id: one for family in families for one in family.mechanisms})


EXPLAINED = ("title", "formula", "fingerprint", "test", "cure", "caution", "source")


def explained(ids: Iterable[str], families: tuple[Family, ...] = FAMILIES) -> Findings:
    """Return the words of the catalogue for some mechanisms, each once, in the order of the catalogue.

    Parameters
    ----------
    ids : iterable of str
        Ids as they stand in tables.
    families : tuple of Family
        Where to look them up.

    Returns
    -------
    Findings
        ``mechanism, title, formula, fingerprint, test, cure, caution, source``.
    """
    wanted = set(ids)
    found = [mechanism for name, mechanism in catalogue(families).items() if name in wanted]
    columns = {"mechanism": text_column([mechanism.id for mechanism in found])}
    for name in EXPLAINED:
        columns[name] = text_column([getattr(mechanism, name) for mechanism in found])
    return Findings("Mechanisms", columns)


__all__ = ["FAMILIES", "Family", "Mechanism", "Sums", "catalogue", "explained"]
