"""The one result type: named columns of equal length, whose unit and caption live here, once.

`Findings` is a table of results; every command returns some.  `COLUMNS` says what each column means, and
tables, pages, notebooks and the glossary read it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import numpy as np
import numpy.typing as npt

from freqplan.column_kinds import Kind
from freqplan.columns import COLUMNS
from freqplan.hertz import Ratios, Rounding, json_number

if TYPE_CHECKING:
    import pandas as pd

DECIMALS = 6
"""Of levels and ratios in JSON and csv: more than anybody measures, and the same on every machine."""

EXACT = ("dial", "hertz", "pitch")
"""Kinds of column that are exact frequencies, and so held as `Ratios`."""

Values: TypeAlias = "np.ndarray | Ratios"


@dataclass(frozen=True)
class Findings:
    """A table of results.

    Attributes
    ----------
    title : str
        What the table shows.
    columns : Mapping of str to (k,) array or Ratios
        Frequencies are `Ratios` in hertz; a None or a "none" ratio is unknown or does not apply.
    sideways : bool
        Whether a person reads it better with one column per row.
    details : tuple of str
        Columns that an overview leaves out.
    spare : tuple of str
        Those of them that an overview holds all the same where there is room.
    """

    title: str
    columns: Mapping[str, Values]
    sideways: bool = False
    details: tuple[str, ...] = ()
    spare: tuple[str, ...] = ()

    @classmethod
    def of_rows(
        cls,
        title: str,
        rows: Sequence[Mapping[str, Any]],
        names: Sequence[str],
        *,
        details: tuple[str, ...] = (),
    ) -> Findings:
        """Make a table from rows of exact values, of which the columns `names` are taken; NaN and None are unknown."""
        columns: dict[str, Values] = {}
        for name in names:
            values = [row[name] for row in rows]
            columns[name] = Ratios.of(values) if COLUMNS[name].kind in EXACT else text_column(values)
        return cls(title, columns, details=details)

    def __post_init__(self) -> None:
        lengths = {len(values) for values in self.columns.values()}
        unknown = set(self.columns) - set(COLUMNS)
        if len(lengths) > 1 or unknown:
            raise ValueError(f"columns of unequal length {lengths} or without a meaning {unknown}")

    def __len__(self) -> int:
        return next((len(values) for values in self.columns.values()), 0)

    def __getitem__(self, name: str) -> Values:
        return self.columns[name]

    def hertz(self, name: str) -> Ratios:
        """Return a column of frequencies."""
        values = self.columns[name]
        assert isinstance(values, Ratios)
        return values

    def array(self, name: str) -> np.ndarray:
        """Return a column that is no frequency."""
        values = self.columns[name]
        assert isinstance(values, np.ndarray)
        return values

    def floats(self, name: str) -> npt.NDArray[np.float64]:
        """Return a column of levels, NaN where unknown; (k,)."""
        return np.array(self.values(name), dtype=np.float64)

    def take(self, keep: np.ndarray | slice) -> Findings:
        """Return the rows selected by a mask, an index array or a slice."""
        index = np.arange(len(self))[keep]
        return replace(self, columns={name: values[index] for name, values in self.columns.items()})

    def values(self, name: str) -> list[Any]:
        """Return one column as exact Python values: Fraction, int, float, str, tuple or None."""
        column = self.columns[name]
        if isinstance(column, Ratios):
            return column.exact()
        # NaN is the one value that differs from itself: an unknown level.
        return [None if value != value else value for value in column.tolist()]

    def rows(self) -> Iterator[dict[str, Any]]:
        """Yield each row with exact Python values."""
        exact = [self.values(name) for name in self.columns]
        return (dict(zip(self.columns, row, strict=True)) for row in zip(*exact, strict=True))

    def to_dicts(self) -> list[dict[str, Any]]:
        """Return the rows fit for JSON: hertz as numbers, unknown as None."""
        return [{name: _json(value) for name, value in row.items()} for row in self.rows()]

    def to_dataframe(self) -> pd.DataFrame:
        """Return the rows as a pandas DataFrame; hertz as numbers, unknown as a missing value.

        Whole numbers stay whole (Int64) where some are missing, and become floats only beside fractions.
        """
        import pandas as pd

        columns = {name: [_json(value) for value in self.values(name)] for name in self.columns}
        return pd.DataFrame(
            {name: pd.Series(values, dtype=_dtype(values)) for name, values in columns.items()}
        )

    def readable(
        self, rounding: Rounding, *, overview: bool = False, one_side: bool = False, roomy: bool = False
    ) -> tuple[list[str], list[list[str]]]:
        """Return table heads and rows of cells as a person reads them; arguments as for `shown`."""
        columns = self.shown(rounding, overview=overview, one_side=one_side, roomy=roomy)
        heads = [caption(name, rounding) for name in columns]
        if self.sideways:
            table = [[head, *cells] for head, cells in zip(heads, columns.values(), strict=True)]
            return table[0], table[1:]
        return heads, [list(row) for row in zip(*columns.values(), strict=True)]

    def shown(
        self, rounding: Rounding, *, overview: bool = False, one_side: bool = False, roomy: bool = False
    ) -> dict[str, list[str]]:
        """Return the cells of the columns that a person is shown, by name; those without a single entry are left out.

        Parameters
        ----------
        rounding : Rounding
            How the band's frequencies are written.
        overview : bool
            Whether to leave out the details.
        roomy : bool
            Whether there is room in the overview for those of them that are worth it.
        one_side : bool
            Whether there is but one oscillator side, so that naming it in each row says nothing.
        """
        left_out = set(self.details) - set(self.spare if roomy else ()) if overview else set()
        if one_side and "mechanism" in self.columns:
            left_out.add("oscillator")
        columns = {name: self._cells(name, rounding) for name in self.columns if name not in left_out}
        return {name: cells for name, cells in columns.items() if any(cells)}

    def _cells(self, name: str, rounding: Rounding) -> list[str]:
        kind = COLUMNS[name].kind
        return [_text(kind, value, rounding) for value in self.values(name)]

    def _repr_html_(self) -> str:
        frame: str = self.to_dataframe()._repr_html_()  # type: ignore[operator]
        return frame


def stack(
    title: str,
    parts: Sequence[Findings],
    names: Sequence[str],
    *,
    details: tuple[str, ...] = (),
    by: str | None = None,
) -> Findings:
    """Put tables end to end under the columns `names`; a column that a part lacks is None there.

    Parameters
    ----------
    title : str
        What the whole shows.
    parts : sequence of Findings
        The tables.
    names : sequence of str
        The columns wanted.
    details : tuple of str
        Columns that an overview leaves out.
    by : str, optional
        A column of whole numbers to sort by; equal rows stay as they come.
    """
    lengths = [len(part) for part in parts]
    columns: dict[str, Values] = {}
    for name in names:
        pieces = zip([part.columns.get(name) for part in parts], lengths, strict=True)
        if COLUMNS[name].kind in EXACT:
            columns[name] = Ratios.concatenate(
                [piece if isinstance(piece, Ratios) else Ratios.none(length) for piece, length in pieces]
                or [Ratios.none(0)]
            )
        else:
            columns[name] = np.concatenate(
                [np.full(n, None, object) if piece is None else np.asarray(piece) for piece, n in pieces]
                or [np.empty(0, object)]
            )
    whole = Findings(title, columns, details=details)
    return whole if by is None else whole.take(np.argsort(whole.array(by).astype(np.int64), kind="stable"))


def text_column(values: Sequence[object]) -> np.ndarray:
    """Return a (k,) object array of texts, tuples or None, each kept whole."""
    column = np.empty(len(values), dtype=object)
    for place, value in enumerate(values):
        column[place] = value
    return column


def _dtype(values: Sequence[object]) -> Literal["Int64", "float64", "str", "object"]:
    known = [value for value in values if value is not None]
    if known and all(isinstance(value, int) for value in known):
        return "Int64"
    if known and all(isinstance(value, int | float) for value in known):
        return "float64"
    return "str" if known and all(isinstance(value, str) for value in known) else "object"


def _json(value: object) -> object:
    if isinstance(value, Fraction):
        return json_number(value)
    if isinstance(value, float):
        return round(value, DECIMALS)
    if isinstance(value, tuple):
        return [_json(part) for part in value]
    return value


def caption(name: str, rounding: Rounding) -> str:
    """Return the head of a column with its unit."""
    column = COLUMNS[name]
    frequencies = ("dial", "hertz", "series", "span", "spans")
    unit = (
        rounding.unit
        if column.kind in frequencies
        else {
            "beat": "kHz",
            "pitch": "kHz",
            "level": "dB",
            "change": "dB",
            "dbuv": "dB(uV)",
        }.get(column.kind)
    )
    return f"{column.caption} [{unit}]" if unit else column.caption


def _text(kind: Kind, value: Any, rounding: Rounding) -> str:
    if value is None:
        return ""
    writers: dict[str, Any] = {
        "dial": rounding.dial,
        "hertz": rounding.fine,
        "beat": lambda hz: f"{float(hz) / 1000:+.1f}",
        "pitch": lambda hz: f"{float(hz) / 1000:.1f}",
        "level": lambda db: f"{db:.1f}",
        "change": lambda db: f"{db:+.1f}",
        "dbuv": lambda level: f"{level:.1f}",
        "ratio": lambda number: f"{number:.1f}",
        "factor": lambda ratio: f"{float(ratio):.3f}",
        "share": lambda share: "<1 %" if 0 < share < 0.005 else f"{100 * share:.0f} %",
        "sign": lambda number: f"{number:+d}" if number else "0",
        "names": ", ".join,
        "notes": "; ".join,
        "series": lambda values: " ".join(rounding.fine(one) for one in values),
        "span": lambda ends: f"{rounding.fine(ends[0])}-{rounding.fine(ends[1])}",
        "products": _first_few,
        "spans": lambda parts: " ".join(_text("span", ends, rounding) for ends in parts),
    }
    return str(writers.get(kind, str)(value))


MOST_NAMED = 4
"""Products named in one cell; of more, the rest is counted."""


def _first_few(products: Sequence[object]) -> str:
    named = [str(one) for one in products[:MOST_NAMED]]
    left = len(products) - len(named)
    return "; ".join([*named, f"and {left} more"] if left else named)
