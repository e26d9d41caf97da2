"""Many towns at once: a folder of station lists, or one list with a column that names the town."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from freqplan.arguments import checked
from freqplan.csvfile import content
from freqplan.errors import Fault, StationsError
from freqplan.stationfile import Row, StationFile
from freqplan.stations import StationList, listed_stations, load_stations

TOWN_COLUMN = "town"
ENDING = ".csv"

HOW_TO_GIVE = 'give the towns by name, such as {"Orvessa": load_stations("orvessa.csv")}'

MOST_TOLD = 5
"""Files named in a remark."""


class TownsFile(StationFile):
    """A station list in which each row names its town; rows are repeated only within one town."""

    known = (*StationFile.known, TOWN_COLUMN)
    needed = "begin with a header row that names the columns town, name and frequency_mhz (or frequency)"

    def __init__(self, data: bytes | str, source: str) -> None:
        self.towns: dict[str, list[Row]] = {}
        self._first_lines: dict[str, dict[Row, int]] = {}
        super().__init__(data, source)

    def check_header(self, line: int, fields: list[str], strange: list[str]) -> None:
        """Ask for the town as well."""
        super().check_header(line, fields, strange)
        if TOWN_COLUMN not in self.columns:
            self.no_column("no column town", line, fields, strange)

    def read_row(self, line: int, cells: dict[str, str]) -> None:
        """Take in one station of one town."""
        town = cells[TOWN_COLUMN].strip()
        if not town:
            self.fault("no town", "name the town, or delete the row", line=line, key=TOWN_COLUMN)
        self.name(line, TOWN_COLUMN, town)
        self._first_line = self._first_lines.setdefault(town, {})
        before = len(self.rows)
        super().read_row(line, cells)
        self.towns.setdefault(town, []).extend(self.rows[before:])


@checked
def load_towns(path: str | os.PathLike[str]) -> dict[str, StationList]:
    """Read the station lists of many towns.

    Parameters
    ----------
    path : str or path
        A folder, in which each file ``.csv`` (or ``.CSV``) is the list of the town it is called after, but for hidden
        ones; or one CSV file with a column ``town`` beside those of a station list.

    Returns
    -------
    dict of str to StationList
        By the name of the town: files in the order of their names, or towns in the order of the file.

    Raises
    ------
    StationsError
        Every fault of all lists at once.
    """
    folder = Path(path)
    try:
        # Names with a dot in front are hidden: what an editor or a system keeps for itself.
        shown = sorted(one for one in folder.iterdir() if not one.name.startswith("."))
    except (OSError, ValueError):
        return _towns_of_file(path)
    files = [one for one in shown if one.suffix.lower() == ENDING]
    if not files:
        hint = "put one station list for each town there, named after it, such as orvessa.csv"
        raise StationsError([Fault("no file .csv in this folder", hint, source=os.fspath(path))])
    towns = load_lists(files)
    others = [one.name for one in shown if one.suffix.lower() != ENDING and one.is_file()]
    if others:
        more = f" and {len(others) - MOST_TOLD} more" if len(others) > MOST_TOLD else ""
        remark = (
            f"files beside it that do not end in {ENDING} are not read: {', '.join(others[:MOST_TOLD])}{more}"
        )
        first = next(iter(towns))
        towns[first] = replace(towns[first], remarks=(*towns[first].remarks, remark))
    return towns


def files_of(path: str | os.PathLike[str] | None) -> tuple[str, ...]:
    """Return the names of all files that a place of station lists holds, or of that file itself; none for no place."""
    if path is None:
        return ()
    try:
        return tuple(os.fspath(one) for one in Path(path).iterdir())
    except (OSError, ValueError):
        return (os.fspath(path),)


def load_lists(files: Sequence[str | os.PathLike[str]]) -> dict[str, StationList]:
    """Read one station list for each town; a town is called after its file, without folder and ending.

    Raises
    ------
    StationsError
        Every fault of all lists at once; or two of them are called alike.
    """
    towns: dict[str, StationList] = {}
    faults: list[Fault] = []
    for file in files:
        name = Path(file).stem
        try:
            if name in towns:
                hint = "rename one of the files: a town is called after its file"
                raise StationsError([Fault(f'two towns are called "{name}"', hint, source=os.fspath(file))])
            towns[name] = load_stations(file)
        except StationsError as error:
            faults += error.faults
    if faults:
        raise StationsError(dict.fromkeys(faults))
    return towns


def _towns_of_file(path: str | os.PathLike[str]) -> dict[str, StationList]:
    source, data = content(path, StationsError)
    file = TownsFile(data, source)
    if file.faults:
        raise StationsError(file.faults)
    if not file.towns:
        raise StationsError([Fault("the list holds no towns", file.needed, source=source)])
    towns = {name: listed_stations(source, rows) for name, rows in file.towns.items()}
    first = next(iter(towns))
    # What is remarked holds for the whole file, and is told once.
    return towns | {first: listed_stations(source, file.towns[first], tuple(file.remarks))}


def named_towns(towns: Mapping[str, StationList] | Iterable[StationList]) -> dict[str, StationList]:
    """Return towns by name: that given, or that of the file a list came from, or its place.

    Raises
    ------
    StationsError
        Two towns are called alike, or something is no station list.
    """
    if not isinstance(towns, Iterable) or isinstance(towns, str | StationList):
        raise StationsError([Fault("no towns by name, and no list of them", HOW_TO_GIVE, key="towns")])
    if isinstance(towns, Mapping):
        _check_lists({f"towns[{name!r}]": listed for name, listed in towns.items()})
        return dict(towns)
    towns = tuple(towns)
    _check_lists({f"towns[{place}]": listed for place, listed in enumerate(towns)})
    named: dict[str, StationList] = {}
    for place, listed in enumerate(towns, start=1):
        name = Path(listed.source).stem or f"town {place}"
        if name in named:
            raise StationsError(
                [Fault(f'two towns are called "{name}"', HOW_TO_GIVE, key=f"towns[{place - 1}]")]
            )
        named[name] = listed
    return named


def _check_lists(found: Mapping[str, object]) -> None:
    faults = [
        Fault("no station list", HOW_TO_GIVE, key=key, found=repr(value))
        for key, value in found.items()
        if not isinstance(value, StationList)
    ]
    if faults:
        raise StationsError(faults)
