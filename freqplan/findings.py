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

from freqplan.hertz import Ratios, Rounding, json_number

if TYPE_CHECKING:
    import pandas as pd

Values: TypeAlias = "np.ndarray | Ratios"
Kind = Literal[
    "text", "count", "sign", "dial", "hertz", "beat", "level", "factor", "names", "notes", "series", "span"
]


@dataclass(frozen=True)
class Column:
    """What one column of a result means.

    Attributes
    ----------
    caption : str
        Table head, without the unit.
    kind : str
        How a cell is written: a dial setting, a frequency, a beat in kHz, a level in dB, a list of names ...
    meaning : str
        One sentence for the glossary.
    """

    caption: str
    kind: Kind
    meaning: str


COLUMNS: Mapping[str, Column] = {
    "priority": Column("No.", "count", "Place in the list, most worth checking first."),
    "mechanism": Column("Mechanism", "text", "Name of the cause."),
    "oscillator": Column("Osc.", "text", "Side of the oscillator that the row holds for."),
    "k": Column("k", "count", "Harmonic of the IF."),
    "m": Column("m", "count", "Harmonic of the signal."),
    "n": Column("n", "count", "Harmonic of the oscillator; negative in sums."),
    "e": Column("e", "sign", "Which way round the difference is taken: e(n fL - m fX) = fI."),
    "name": Column("Name", "text", "Name of the clock, where one takes part."),
    "station": Column("Station", "text", "Station that makes the disturbance."),
    "station_hz": Column("Its frequency", "hertz", "Carrier of that station."),
    "response_hz": Column(
        "Responds to", "hertz", "Signal frequency that lands on the IF at this dial setting."
    ),
    "low_hz": Column("From", "hertz", "Lower end of the range."),
    "high_hz": Column("To", "hertz", "Upper end of the range."),
    "frequency_hz": Column("Frequency", "hertz", "The frequency to check."),
    "dial_hz": Column("Dial", "dial", "Dial setting at which it falls exactly on the spot."),
    "dial_low_hz": Column("Dial from", "hertz", "Lower end of the part of the dial concerned."),
    "dial_high_hz": Column("Dial to", "hertz", "Upper end of the part of the dial concerned."),
    "channel_hz": Column("Channel", "dial", "Channel nearest to the exact dial setting."),
    "stations": Column("Stations", "names", "Listed stations that take part."),
    "beat_hz": Column("Beat", "beat", "Distance of the product from the middle of the IF."),
    "reach": Column(
        "Reach",
        "text",
        "sits-in: inside the IF filter; bursts-only: its deviation reaches in; empty: it misses on this channel.",
    ),
    "tuning_slope": Column("Slope", "sign", "Movement in the IF while tuning; the wanted station has +1."),
    "beat_rate": Column("Beat rate", "count", "kHz of pitch per kHz of tuning, on a wanted carrier."),
    "level_law": Column("Law", "count", "dB that the product falls per dB of aerial pad."),
    "rejection_db": Column(
        "Rejection", "level", "How much stronger than the wanted signal it must be for equal output."
    ),
    "intermediate_hz": Column("IF", "hertz", "Intermediate frequency."),
    "oscillator_low_hz": Column("Osc. from", "hertz", "Lowest oscillator frequency over the dial."),
    "oscillator_high_hz": Column("Osc. to", "hertz", "Highest oscillator frequency over the dial."),
    "oscillator_ratio": Column("Osc. ratio", "factor", "Highest over lowest oscillator frequency."),
    "capacitance_ratio": Column(
        "C ratio", "factor", "Square of it: tuning capacitance ratio, strays included."
    ),
    "image_low_hz": Column("Image from", "hertz", "Lower end of the image range."),
    "image_high_hz": Column("Image to", "hertz", "Upper end of the image range."),
    "in_band_image_dial": Column(
        "Image in band on dial", "span", "Part of the dial whose image lies inside the band."
    ),
    "if_harmonics_hz": Column("IF harmonics", "series", "Harmonics of the IF that fall inside the band."),
    "self_mixing_hz": Column("Self-mixing spots", "series", "Dial settings where a station disturbs itself."),
    "oscillator_in_band_hz": Column(
        "Osc. in band", "hertz", "How much of the oscillator range lies inside the band."
    ),
    "oscillator_in_aeronautical_hz": Column(
        "Osc. in 108-137 MHz", "hertz", "How much of it lies inside 108-137 MHz."
    ),
    "services": Column("On the image", "names", "Who lives in the image range."),
    "radiates_into": Column("Osc. falls on", "names", "Who lives in the oscillator range."),
    "concerns": Column("Concerns", "notes", "What speaks against the choice."),
    "sum": Column("Sum", "text", "The sum behind the row, with its numbers."),
    "title": Column("In words", "text", "Name of the mechanism in a sentence."),
    "formula": Column(
        "Equation", "text", "What every row of the mechanism fulfils, in fT, fI, fL, fX, m, n, e, k."
    ),
    "fingerprint": Column("How it shows", "text", "What one notices."),
    "test": Column("Test", "text", "What confirms it."),
    "cure": Column("Cure", "text", "What helps, cheapest first."),
    "caution": Column("Caution", "text", "What can hurt while testing."),
    "source": Column("Source", "text", "Where the equation comes from."),
    "kind": Column(
        "Where", "text", "dial: a setting of the set; outside: a frequency to feed in or listen for."
    ),
    "why": Column("Why", "text", "The sum behind it."),
    "what_to_do": Column("What to do", "text", "How to make sure."),
}
"""Every column that a result can have; the order is that of the JSON keys' first use, units follow from the kind."""


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
    """

    title: str
    columns: Mapping[str, Values]
    sideways: bool = False
    details: tuple[str, ...] = ()

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

    def take(self, keep: np.ndarray | slice) -> Findings:
        """Return the rows selected by a mask, an index array or a slice."""
        index = np.arange(len(self))[keep]
        return replace(self, columns={name: values[index] for name, values in self.columns.items()})

    def values(self, name: str) -> list[Any]:
        """Return one column as exact Python values: Fraction, int, float, str, tuple or None."""
        column = self.columns[name]
        return column.fractions() if isinstance(column, Ratios) else column.tolist()

    def rows(self) -> Iterator[dict[str, Any]]:
        """Yield each row with exact Python values."""
        exact = [self.values(name) for name in self.columns]
        return (dict(zip(self.columns, row, strict=True)) for row in zip(*exact, strict=True))

    def to_dicts(self) -> list[dict[str, Any]]:
        """Return the rows fit for JSON: hertz as numbers, unknown as None."""
        return [{name: _json(value) for name, value in row.items()} for row in self.rows()]

    def to_dataframe(self) -> pd.DataFrame:
        """Return the rows as a pandas DataFrame; hertz as numbers, unknown as a missing value."""
        import pandas as pd

        frame = pd.DataFrame(self.to_dicts(), columns=list(self.columns))
        return frame.convert_dtypes(convert_floating=False)

    def readable(self, rounding: Rounding, *, overview: bool = False) -> tuple[list[str], list[list[str]]]:
        """Return table heads and cells as a person reads them.

        Columns without a single entry are left out, and so is an oscillator side that is the same all over;
        in an overview so are the details.
        """
        left_out = self.details if overview else ()
        columns = {name: self._cells(name, rounding) for name in self.columns if name not in left_out}
        if "mechanism" in columns and len(set(columns.get("oscillator", ()))) == 1:
            del columns["oscillator"]
        kept = [name for name, cells in columns.items() if any(cells)]
        heads = [_caption(COLUMNS[name], rounding) for name in kept]
        lines = [columns[name] for name in kept]
        if self.sideways:
            table = [[head, *cells] for head, cells in zip(heads, lines, strict=True)]
            return table[0], table[1:]
        return heads, [list(row) for row in zip(*lines, strict=True)]

    def _cells(self, name: str, rounding: Rounding) -> list[str]:
        kind = COLUMNS[name].kind
        return [_text(kind, value, rounding) for value in self.values(name)]

    def _repr_html_(self) -> str:
        frame: str = self.to_dataframe()._repr_html_()  # type: ignore[operator]
        return frame


def stack(
    title: str, parts: Sequence[Findings], names: Sequence[str], *, details: tuple[str, ...] = ()
) -> Findings:
    """Put tables end to end under the columns `names`; a column that a part lacks is None there."""
    lengths = [len(part) for part in parts]
    columns: dict[str, Values] = {}
    for name in names:
        pieces = zip([part.columns.get(name) for part in parts], lengths, strict=True)
        if COLUMNS[name].kind in ("dial", "hertz"):
            columns[name] = Ratios.concatenate(
                [piece if isinstance(piece, Ratios) else Ratios.none(length) for piece, length in pieces]
                or [Ratios.none(0)]
            )
        else:
            columns[name] = np.concatenate(
                [np.full(n, None, object) if piece is None else np.asarray(piece) for piece, n in pieces]
                or [np.empty(0, object)]
            )
    return Findings(title, columns, details=details)


def text_column(values: Sequence[object]) -> np.ndarray:
    """Return a (k,) object array of texts, tuples or None, each kept whole."""
    column = np.empty(len(values), dtype=object)
    for place, value in enumerate(values):
        column[place] = value
    return column


def _json(value: object) -> object:
    if isinstance(value, Fraction):
        return json_number(value)
    if isinstance(value, tuple):
        return [_json(part) for part in value]
    return value


def _caption(column: Column, rounding: Rounding) -> str:
    units = {"dial": rounding.unit, "hertz": rounding.unit, "series": rounding.unit, "span": rounding.unit}
    unit = units.get(column.kind) or {"beat": "kHz", "level": "dB"}.get(column.kind)
    return f"{column.caption} [{unit}]" if unit else column.caption


def _text(kind: Kind, value: Any, rounding: Rounding) -> str:
    if value is None:
        return ""
    writers: dict[str, Any] = {
        "dial": rounding.dial,
        "hertz": rounding.fine,
        "beat": lambda hz: f"{float(hz) / 1000:+.1f}",
        "level": lambda db: f"{db:.1f}",
        "factor": lambda ratio: f"{float(ratio):.3f}",
        "sign": lambda number: f"{number:+d}" if number else "0",
        "names": ", ".join,
        "notes": "; ".join,
        "series": lambda values: " ".join(rounding.fine(one) for one in values),
        "span": lambda ends: f"{rounding.fine(ends[0])}-{rounding.fine(ends[1])}",
    }
    return str(writers.get(kind, str)(value))
