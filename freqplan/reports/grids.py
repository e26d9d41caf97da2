"""From results to the tables of a report, long ones cut, each with the command that writes the rest."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable, Iterator, Sequence

from freqplan.card import NAME, place, side_words
from freqplan.columns import COLUMNS
from freqplan.findings import Findings, caption
from freqplan.plan_reading import hertz_text
from freqplan.reports.about import INTERMEDIATE, OSCILLATOR
from freqplan.reports.gathered import Asked
from freqplan.reports.views import Check, CheckList, Grid, Head
from freqplan.results import Result

MOST_ROWS = 40
"""Rows of a table; more are read on a screen, where they can be sorted and searched."""

LONGEST_WORD = 16
"""Signs of a word that a column is never narrower than; longer ones are broken where the line ends."""

LONGEST_SHORT = 12
"""Signs of the longest cell of a column that is not wrapped."""

NUMBERS = frozenset(
    {"count", "sign", "dial", "hertz", "beat", "pitch", "level", "change", "dbuv", "factor", "ratio", "share"}
)
"""Kinds of column that are set flush right."""

_GAPS = re.compile(r"[\s\-–−/,;+×]+")


class Tables:
    """Tables of one report, and the columns shown in them, for the glossary.

    Parameters
    ----------
    asked : Asked
        What the report is asked for, for the commands that write the rest.
    """

    def __init__(self, asked: Asked) -> None:
        self._asked = asked
        self.columns: set[str] = set()

    def of(self, result: Result, names: Iterable[str]) -> Iterator[Grid]:
        """Yield those tables of a result that have a row."""
        for name in names:
            findings = result.table(name)
            if len(findings):
                yield self._grid(result, name, findings)

    def _grid(self, result: Result, name: str, findings: Findings) -> Grid:
        most = min(MOST_ROWS, result.rows_shown(name, alone=False, among_others=MOST_ROWS))
        part = result.first_rows(name, most)
        columns = part.shown(result.rounding, overview=True, one_side=result.one_side)
        self.columns |= set(columns)
        heads = tuple(
            _head(column, cells, caption(column, result.rounding)) for column, cells in columns.items()
        )
        rows = list(zip(*columns.values(), strict=True))
        if part.sideways:
            rows = [(head.text, *cells) for head, cells in zip(heads, columns.values(), strict=True)]
            heads, rows = tuple(Head(text) for text in rows[0]), rows[1:]
        cut = len(findings) > most
        return Grid(
            id=f"{result.command}-{name}",
            title=f"{findings.title} ({f'{most} of ' if cut else ''}{len(findings)})",
            heads=heads,
            rows=tuple(rows),
            by_row=part.sideways,
            more=self._command(result, name) if cut else (),
        )

    def check_list(self, result: Result, limit: int) -> CheckList:
        """Return the first rows of the list to check."""
        findings, rounding = result.table(NAME), result.rounding
        rows = tuple(
            Check(
                number=str(row["priority"]),
                place=place(row, rounding),
                mechanism=row["mechanism"],
                side="" if result.one_side else side_words(row),
                who=", ".join(row["stations"]),
                why=row["why"],
                what_to_do=row["what_to_do"],
            )
            for row in findings.take(slice(limit)).rows()
        )
        cut = len(findings) > len(rows)
        more = (*self._command(result, NAME), "--limit", str(len(findings))) if cut else ()
        return CheckList(rows, len(findings), more)

    def _command(self, result: Result, name: str) -> tuple[str, ...]:
        """Return the words, quoted for a shell, of the command that writes the whole of a table."""
        asked, command = self._asked, result.command
        further = {"diagnose": asked.evidence, "dial": asked.readings}.get(command)
        words = [
            "freqplan",
            command,
            asked.source,
            *([further.source or "FILE"] if further is not None else []),
        ]
        if result.stations is not None:
            words += ["--stations", result.stations.source or "CSV"]
        for option, value in self._options(command).items():
            words += [option, value]
        return tuple(map(shlex.quote, [*words, "--table", name]))

    def _options(self, command: str) -> dict[str, str]:
        """Return the options that the plan was changed by, as far as a command has them."""
        lacks = {"compare": {OSCILLATOR}, "dial": {"--region"}}.get(command, set())
        given = {option: value for option, value in self._asked.changed.items() if option not in lacks}
        if command == "dial":
            error_hz = self._asked.reading_error_hz
            return given if error_hz is None else given | {"--reading-error": hertz_text(error_hz)}
        return given if command == "diagnose" else given | self._stated(lacks)

    def _stated(self, lacks: set[str]) -> dict[str, str]:
        """Return the options that do what the evidence does: say another side, another IF."""
        evidence = self._asked.evidence
        if evidence is None:
            return {}
        side, hertz = evidence.set.oscillator, evidence.set.intermediate_hz
        stated = {OSCILLATOR: side, INTERMEDIATE: None if hertz is None else hertz_text(hertz)}
        return {
            option: value for option, value in stated.items() if value is not None and option not in lacks
        }


def _head(name: str, cells: Sequence[str], text: str) -> Head:
    if COLUMNS[name].kind in NUMBERS:
        return Head(text, "number")
    if max(map(len, cells)) <= LONGEST_SHORT:
        return Head(text, "short")
    longest = max(len(word) for cell in cells for word in _GAPS.split(cell))
    return Head(text, "broken" if longest > LONGEST_WORD else "plain")
