"""What the dial strip shows: stations, and what stands where on the dial, row by row, as places on the scale."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import inf, isnan
from typing import TYPE_CHECKING, Any

from freqplan.cardlines import Card
from freqplan.charts.drawing import label
from freqplan.fields import DIPOLE_OHM
from freqplan.hearing import GHOST, NOISE, WHISTLE
from freqplan.hertz import HZ_IN, decimal_text
from freqplan.mechanisms.clocks import INTERNAL_CLOCK
from freqplan.mechanisms.oscillator_pairs import OSCILLATOR_PRODUCT
from freqplan.mechanisms.own_if import IF_HARMONIC
from freqplan.mechanisms.own_oscillator import OSCILLATOR_IN_IF, OSCILLATOR_ON_STATION
from freqplan.own_lines import apart
from freqplan.plan_reading import hertz_text
from freqplan.scales import DialScale, scale_of

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.surveys import Survey

OWN_CARRIERS = (INTERNAL_CLOCK.id, OSCILLATOR_PRODUCT.id)
"""What the set receives of itself as a carrier: heard as silence where nobody is on the air."""

MOST_POSSIBLE, MOST_DEAD, MOST_HEARD, MOST_OWN = 12, 12, 40, 60
"""Spots of a row at most; those that matter most come first."""

NAME_LETTERS, MOST_NAMED = 20, 2

TITLES = {
    "birdies": "birdies: made by the set itself, a whistle where a station stands",
    "ghosts": "ghosts: stations in the wrong place",
    "possible": "ghosts that are possible: how strong is not known, lowest orders only",
    "whistles": "whistles on stations, with their pitch",
    "noise": "rough noise on stations, and what makes it",
    "quiet": "quiet spots: a carrier of the set's own, the hiss drops and nothing is heard",
    "own": "carriers of the set's own: the hiss drops, or a station there whistles",
    "dead": "dead spots: here the oscillator stands on a station, or on the IF",
}
"""Rows from the scale downwards."""

HEARD_ROWS = {GHOST: "ghosts", WHISTLE: "whistles", NOISE: "noise"}


@dataclass(frozen=True)
class Spot:
    """Something at one place of the dial.

    Attributes
    ----------
    dial_hz, low_hz, high_hz : Fraction or int [Hz]
        Where it is, and from where to where it may be or reaches; all inside the band.
    words : str
        What it is, in a word or two.
    side : str
        Oscillator side for which it holds; empty where it holds for all.
    """

    dial_hz: Fraction | int
    low_hz: Fraction | int
    high_hz: Fraction | int
    words: str
    side: str = ""


@dataclass(frozen=True)
class SpotRow:
    """Spots of one kind, most worth telling first, and how many there are besides."""

    kind: str
    spots: tuple[Spot, ...]
    left_out: int

    @property
    def title(self) -> str:
        """Return what the row shows."""
        return TITLES[self.kind]


@dataclass(frozen=True)
class Strip:
    """All that is drawn.

    Attributes
    ----------
    scale : DialScale
        Where a setting stands.
    low_hz, high_hz : int [Hz]
        Ends of the band.
    stations : tuple of (int [Hz], str)
        Those listed inside the band, strongest first, unknown levels last.
    sides : tuple of str
        Oscillator sides answered for.
    rows : tuple of SpotRow
        Those that are not empty.
    higher : int
        Spots of the set's own making that are not drawn, for there are many of high order.
    everywhere : bool
        Whether something of its making is all over the dial.
    """

    scale: DialScale
    low_hz: int
    high_hz: int
    stations: tuple[tuple[int, str], ...]
    sides: tuple[str, ...]
    rows: tuple[SpotRow, ...]
    higher: int
    everywhere: bool


def strip_of(survey: Survey) -> Strip:
    """Gather what the dial strip of a survey shows."""
    plan = survey.plan
    found: dict[str, list[Spot]] = {kind: [] for kind in TITLES}
    for kind, spot in (*_own(survey), *_heard(survey), *_dead(survey)):
        found[kind].append(spot)
    most = {
        "possible": MOST_POSSIBLE,
        "dead": MOST_DEAD,
        "birdies": MOST_OWN,
        "quiet": MOST_OWN,
        "own": MOST_OWN,
    }
    rows = []
    for kind, spots in found.items():
        each = _joined(spots, len(survey.sides))
        shown = each[: most.get(kind, MOST_HEARD)]
        rows.append(SpotRow(kind, tuple(shown), len(each) - len(shown)))
    sharing = [row for group in apart(survey.birdies.rows())[1] for row in group]
    placed = sum(row["dial_hz"] is not None for row in sharing)
    return Strip(
        scale_of(plan), plan.band.low_hz, plan.band.high_hz, tuple(_stations(survey)),
        tuple(side.side for side in survey.sides), tuple(row for row in rows if row.spots),
        placed, placed < len(sharing),
    )  # fmt: skip


def _stations(survey: Survey) -> list[tuple[int, str]]:
    if survey.stations is None:
        return []
    listed, band = survey.stations, survey.plan.band
    levels = [-inf if isnan(level) else level for level in listed.terminal_dbuv(DIPOLE_OHM).tolist()]
    listing = zip(levels, listed.frequency_hz.tolist(), listed.names, strict=True)
    rows = sorted(listing, key=lambda row: (-row[0], row[1]))
    return [
        (hertz, label(name, NAME_LETTERS)) for _, hertz, name in rows if band.low_hz <= hertz <= band.high_hz
    ]


def _spot(plan: Plan, dial_hz: Any, low_hz: Any, high_hz: Any, words: str, side: str) -> Spot:
    """Return a spot brought into the band."""
    dial, low, high = (
        min(max(hertz, plan.band.low_hz), plan.band.high_hz) for hertz in (dial_hz, low_hz, high_hz)
    )
    return Spot(dial, min(low, dial), max(high, dial), words, side)


def _joined(spots: Iterable[Spot], sides: int) -> list[Spot]:
    """Return spots with those of one place as one, whichever the side if it is there on all."""
    places: dict[tuple[Any, ...], list[Spot]] = {}
    for spot in spots:
        places.setdefault((spot.dial_hz, spot.low_hz, spot.high_hz), []).append(spot)
    found = []
    for same in places.values():
        names, on = dict.fromkeys(spot.words for spot in same), {spot.side for spot in same}
        side = same[0].side if len(on) == 1 and sides > 1 else ""
        found.append(replace(same[0], words=_several(tuple(names)), side=side))
    return found


def _several(names: tuple[str, ...]) -> str:
    """Write the first two of several names, and how many there are besides."""
    more = f" + {len(names) - MOST_NAMED}" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more


def _own(survey: Survey) -> Iterator[tuple[str, Spot]]:
    """Yield what the set makes itself: on a listed station, or with one needed, a birdie; else a quiet spot."""
    card = Card(survey.plan, {}, survey.stations)
    single, _ = apart(survey.birdies.rows())
    # What needs no level comes first, as on the card.
    for row in sorted(
        single, key=lambda row: (row["mechanism"] != IF_HARMONIC.id, row["order"], row["dial_hz"])
    ):
        if row["mechanism"] == OSCILLATOR_IN_IF.id:
            kind = "dead"
        elif row["mechanism"] not in OWN_CARRIERS or card.listed_near(
            row["dial_low_hz"], row["dial_high_hz"]
        ):
            kind = "birdies"
        else:
            kind = "own" if survey.stations is None else "quiet"
        ends = row["dial_hz"], row["dial_low_hz"], row["dial_high_hz"]
        yield kind, _spot(survey.plan, *ends, _own_words(row), row["oscillator"])


def _own_words(row: Mapping[str, Any]) -> str:
    if row["k"] is not None:
        return f"{row['k']} × {hertz_text(row['sources_hz'][0]) if row['sources_hz'] else 'IF'}"
    if row["mechanism"] == OSCILLATOR_IN_IF.id:
        return f"{row['n']} × oscillator"
    if row["name"] is None:
        return f"self {row['m']},{row['n']}"
    image = " (image)" if row["lands_on"] == "image" else ""
    return f"{label(row['name'], NAME_LETTERS)}{image}"


def _heard(survey: Survey) -> Iterator[tuple[str, Spot]]:
    """Yield what is heard by its level, worst first; where no level is known, ghosts of the lowest orders."""
    if survey.stations is None or survey.ghosts is None:
        return
    rows = [] if survey.plan.front_end is None else list(survey.heard.rows())
    for row in rows:
        # The settings of a sum of stations lie apart: their ends are no range.
        ends = (row["heard_low_hz"], row["heard_high_hz"]) if row["station_hz"] is not None else ()
        low, high = ends or (row["heard_on_hz"], row["heard_on_hz"])
        spot = _spot(survey.plan, row["heard_on_hz"], low, high, _heard_words(row), row["oscillator"])
        yield HEARD_ROWS[row["heard"]], spot
    if rows:
        return
    for row in survey.ghosts.rows():
        unknown = row["margin_db"] is None and row["mechanism"] != OSCILLATOR_ON_STATION.id
        if unknown and _on_dial(survey.plan, row["dial_hz"]):
            words = f"{label(row['station'], NAME_LETTERS)}, {row['mechanism']}"
            yield "possible", _spot(survey.plan, *(row["dial_hz"],) * 3, words, row["oscillator"])


def _on_dial(plan: Plan, dial_hz: Fraction | None) -> bool:
    return dial_hz is not None and plan.band.low_hz <= dial_hz <= plan.band.high_hz


def _heard_words(row: Mapping[str, Any]) -> str:
    if row["heard"] == WHISTLE:
        return f"{decimal_text(row['pitch_hz'], unit_hz=HZ_IN['kHz'], decimals=0, extra=1)} kHz"
    if row["heard"] == NOISE:
        return str(row["mechanism"])
    first, *others = (label(name, NAME_LETTERS) for name in row["stations"])
    return f"{first} + {len(others)} others" if len(others) > 1 else " + ".join((first, *others))


def _dead(survey: Survey) -> Iterator[tuple[str, Spot]]:
    """Yield where the oscillator stands on a listed station, the strongest first."""
    if survey.ghosts is None:
        return
    card = Card(survey.plan, {}, survey.stations)
    rows = [row for row in survey.ghosts.rows() if row["mechanism"] == OSCILLATOR_ON_STATION.id]
    for row in sorted(
        rows, key=lambda row: (-card.level(row["station"], row["station_hz"]), row["dial_hz"] or 0)
    ):
        if _on_dial(survey.plan, row["dial_hz"]):
            words = label(row["station"], NAME_LETTERS)
            yield "dead", _spot(survey.plan, *(row["dial_hz"],) * 3, words, row["oscillator"])
