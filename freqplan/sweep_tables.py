"""From the rows of many sets to the tables of a sweep: by choice, by choice and town, set by set."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from freqplan.batches import Workload
from freqplan.findings import Findings, Values, text_column
from freqplan.hertz import Int64, Ratios
from freqplan.levels import levels_of

Mask: TypeAlias = npt.NDArray[np.bool_]

IN_BAND = "IF in the band"
"""What speaks against a choice, and is in no score."""

MOST_ROWS = 100_000
"""A table of towns longer than this is given by name only."""

WORST = ("affected", "disturbed", "on_harmonic", "unknown", "ghosts", "images", "half_ifs")
NAMING = ("intermediate_hz", "oscillator", "circuits")
SPARE = ("affected_mean",)
"""Shown in an overview only where the line is not full."""

CHOICE_DETAILS = (*SPARE, "quiet_share", "disturbed", "ghosts", "images", "half_ifs", "sums")
TOWN_DETAILS = (*SPARE, "quiet_share", "ghosts", "images", "half_ifs", "sums")


def choice_table(work: Workload, rows: np.ndarray, *, ranked: bool) -> Findings:
    """Return one row per choice over all towns and sets, by place where they are `ranked`."""
    standing = places(work, rows)
    by_town = _most(rows, "affected", (2,))
    quiet_towns = ((by_town == 0) & rows["done"].all(axis=2)).sum(axis=0)
    names = list(work.towns)
    # By name, so that the order in which towns are given changes nothing.
    rising = np.array(sorted(range(len(names)), key=names.__getitem__))
    worst_town = text_column(names)[rising[by_town[rising].argmax(axis=0)]]
    columns: dict[str, Values] = {
        "place": _known(standing.place, standing.whole & ranked),
        **_naming(work, np.arange(len(work.choices))),
        **_summary(work, rows, (0, 2), more={"quiet_towns": _quiet(work, quiet_towns)}),
        "worst_town": _known(worst_town, standing.affected > 0),
        "concerns": text_column(list(_concerns(work, rows, standing))),
    }
    table = Findings("Choices, over all towns and sets", columns, details=CHOICE_DETAILS, spare=SPARE)
    return table.take(np.argsort(standing.place, kind="stable")) if ranked else table


def town_table(work: Workload, rows: np.ndarray) -> Findings:
    """Return one row per town and choice over all sets, town by town."""
    town, choice = np.divmod(np.arange(rows.shape[0] * rows.shape[1]), rows.shape[1])
    columns: dict[str, Values] = {
        "town": _names(work, town),
        **_naming(work, choice),
        **_summary(work, rows, (2,)),
    }
    return Findings("Town by town", columns, details=TOWN_DETAILS, spare=SPARE)


def draw_table(work: Workload, rows: np.ndarray) -> Findings:
    """Return one row per set that was computed."""
    town, choice, draw = (found.astype(np.int64) for found in np.nonzero(rows["done"]))
    flat = rows[rows["done"]]
    columns: dict[str, Values] = {
        "town": _names(work, town),
        **_naming(work, choice),
        "draw": draw,
        "real_hz": Ratios(flat["real_hz"]),
        "detuning_hz": flat["detuning_hz"],
        **{name: flat[name].astype(np.int64) for name in (*WORST, *_sums(work))},
        "margin_db": flat["margin_db"],
    }
    return Findings("Set by set", columns)


@dataclass(frozen=True)
class Standing:
    """How choices stand by their worst set in their worst town.

    Attributes
    ----------
    place : (c,) int64
        From 1; equal choices share one.  Those with an IF in the band come behind all others, and those of which sets
        are missing behind these, for nothing holds of them in every town.
    affected, unknown : (c,) int64
        Most stations affected, and most on which something of unknown level lands; -1 where nothing is computed.
    whole : (c,) bool
        Whether every set in every town is computed.
    in_band : (c,) bool
        Whether the IF lies inside the band, or within half its filter of it.
    """

    place: Int64
    affected: Int64
    unknown: Int64
    whole: Mask
    in_band: Mask

    @property
    def fit(self) -> Mask:
        """Return which choices can be told to serve all towns: (c,), every set computed and the IF outside the band."""
        return self.whole & ~self.in_band


def places(work: Workload, rows: np.ndarray) -> Standing:
    """Rank choices by their worst set in their worst town; rows (t, c, d) `batches.ROW` by town, choice and draw."""
    affected, unknown = (_most(rows, name, (0, 2)) for name in ("affected", "unknown"))
    whole: Mask = np.asarray(rows["done"].all(axis=(0, 2)))
    in_band = np.array([choice.in_band(work.plan) for choice in work.choices])
    keys = np.stack([~whole, np.where(whole, in_band, affected < 0), affected, unknown], axis=1)
    _, group = np.unique(keys, axis=0, return_inverse=True)
    before = np.concatenate([[0], np.cumsum(np.bincount(group.ravel()))])
    return Standing(before[group.ravel()] + 1, affected, unknown, whole, in_band)


def _concerns(work: Workload, rows: np.ndarray, standing: Standing) -> Iterator[tuple[str, ...]]:
    """Yield what speaks against each choice."""
    each = len(work.towns) * work.draws
    missing = each - rows["done"].sum(axis=(0, 2))
    for inside, left in zip(standing.in_band.tolist(), missing.tolist(), strict=True):
        yield ((IN_BAND,) if inside else ()) + ((f"{left} of {each} sets are missing",) if left else ())


def _quiet(work: Workload, counts: np.ndarray) -> np.ndarray:
    """Return counts (..., c) of quiet sets or towns, flat: 0 with an IF in the band, None where no level is known."""
    if levels_of(work.plan) is None:
        return text_column([None] * counts.size)
    in_band = [choice.in_band(work.plan) for choice in work.choices]
    return np.where(in_band, 0, counts).ravel().astype(object)


def _summary(
    work: Workload, rows: np.ndarray, axes: tuple[int, ...], more: dict[str, Values] | None = None
) -> dict[str, Values]:
    """Return what some sets come to together: how many are quiet, means, and the worst of each count."""
    done = rows["done"]
    sets = done.sum(axis=axes).ravel()
    quiet = _quiet(work, (done & (rows["affected"] == 0)).sum(axis=axes))
    known, divisor = sets > 0, np.maximum(sets, 1)
    total = np.where(done, rows["affected"], 0).sum(axis=axes, dtype=np.int64).ravel()
    return {
        "sets": sets,
        "quiet": quiet,
        "quiet_share": np.where(known, quiet.astype(np.float64) / divisor, np.nan),
        **(more or {}),
        "affected_mean": np.where(known, total / divisor, np.nan),
        **{name: _known(_most(rows, name, axes).ravel(), known) for name in (*WORST, *_sums(work))},
        "margin_db": np.fmin.reduce(np.where(done, rows["margin_db"], np.nan), axis=axes).ravel(),
    }


def _most(rows: np.ndarray, name: str, axes: tuple[int, ...]) -> Int64:
    """Return the largest count of the sets that are computed, -1 where none is."""
    most: Int64 = np.where(rows["done"], rows[name], -1).max(axis=axes).astype(np.int64)
    return most


def _known(values: np.ndarray, known: np.ndarray) -> np.ndarray:
    """Return values as objects, None where they are not known."""
    column = values.astype(object)
    column[~known] = None
    return column


def _naming(work: Workload, choice: Int64) -> dict[str, Values]:
    chosen = work.choices
    own = work.plan.front_end
    as_planned = (
        None
        if own is None or own.response is not None
        else own.circuits_before_rf_stage + own.circuits_before_mixer
    )
    number = [as_planned if one.circuits is None else one.circuits for one in chosen]
    return {
        "intermediate_hz": Ratios(np.array([one.intermediate_hz for one in chosen], dtype=np.int64)[choice]),
        "oscillator": text_column([one.side for one in chosen])[choice],
        "circuits": text_column(number)[choice],
    }


def _names(work: Workload, town: Int64) -> np.ndarray:
    names: np.ndarray = text_column([*work.towns])[town]
    return names


def _sums(work: Workload) -> tuple[str, ...]:
    return ("sums",) if work.sums else ()
