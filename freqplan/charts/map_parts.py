"""What a response map is made of: lines, where stations meet them, and who lives in the picture."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from freqplan.services import Service

NAMING = ("mechanism", "oscillator", "m", "n", "e", "name", "q", "sources_hz")
"""The columns that tell one response from another, in tables of responses and of ghosts."""


@dataclass(frozen=True)
class Line:
    """What signal lands on the IF while the dial runs over the band: a straight line.

    Attributes
    ----------
    key : tuple
        Its values of the columns `NAMING`.
    order : int
        What it is ranked by; 0 for the wanted response.
    slope : int
        Movement in the IF while tuning; the wanted response has +1, and 0 stands for none.
    dial_hz : (int, int) [Hz]
        Both ends of the band.
    signal_hz : (Fraction or int, Fraction or int) [Hz]
        The signal at each of them; where it is negative there is none.
    """

    key: tuple[Any, ...]
    order: int
    slope: int
    dial_hz: tuple[int, int]
    signal_hz: tuple[Fraction | int, Fraction | int]

    @property
    def mechanism(self) -> str:
        """Return its mechanism, or "wanted"."""
        return str(self.key[0])

    @property
    def name(self) -> str:
        """Return the name of the conversion or clock that takes part; empty where none does."""
        return str(self.key[5] or "")

    @property
    def range_hz(self) -> tuple[Fraction | int, Fraction | int]:
        """Return the lowest and the highest signal [Hz]."""
        low, high = sorted(self.signal_hz)
        return max(low, 0), high

    @property
    def is_sloping(self) -> bool:
        """Return whether tuning moves it."""
        return self.signal_hz[0] != self.signal_hz[1]

    @property
    def is_drawable(self) -> bool:
        """Return whether a line on the map says something: of what tuning does not move the IF itself is enough."""
        return self.is_sloping or self.order == 1

    @property
    def harmonics(self) -> str:
        """Return m, n and e as the tables have them, such as ``(2, 2, +1)``; empty where there are none."""
        m, n, e = self.key[2:5]
        return "" if m is None else f"({m}, {n}, {e:+d})"


@dataclass(frozen=True)
class Crossing:
    """A station on a response line: a ghost.

    Attributes
    ----------
    line : int
        Place of the line among those of its side.
    row : int
        Row of the table of ghosts.
    dial_hz, station_hz : Fraction or int [Hz]
        As they stand there.
    heard : bool or None
        Whether it is heard by its level; None where that is unknown.
    """

    line: int
    row: int
    dial_hz: Fraction | int
    station_hz: int
    heard: bool | None


@dataclass(frozen=True)
class Side:
    """One oscillator side.

    Attributes
    ----------
    side : str
        ``"high"``, ``"low"`` or ``"sum"``.
    lines : tuple of Line
        The wanted response, then the others drawn, lowest order first.
    left_out : tuple of Line
        Those not drawn, lowest order first.
    crossings : tuple of Crossing
        Where stations meet the lines drawn, in the order of the ghosts.
    """

    side: str
    lines: tuple[Line, ...]
    left_out: tuple[Line, ...]
    crossings: tuple[Crossing, ...]


@dataclass(frozen=True)
class Station:
    """A listed station in the picture; its level at the aerial [dB(uV)] is None where unknown."""

    name: str
    frequency_hz: int
    level_dbuv: float | None


@dataclass(frozen=True)
class Map:
    """Everything on a response map.

    Attributes
    ----------
    dial_low_hz, dial_high_hz : int [Hz]
        Ends of the band.
    low_hz, high_hz : Fraction [Hz]
        Lowest and highest signal in the picture.
    sides : tuple of Side
        One for each oscillator side answered for.
    stations : tuple of Station
        Those in the picture, rising; empty too where none are listed.
    services : tuple of Service
        Who lives there.
    """

    dial_low_hz: int
    dial_high_hz: int
    low_hz: Fraction
    high_hz: Fraction
    sides: tuple[Side, ...]
    stations: tuple[Station, ...]
    services: tuple[Service, ...]
