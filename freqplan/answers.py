"""What students answered to the problems of a sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from freqplan.answersfile import MOST_ANSWERS, AnswerRow, AnswersFile
from freqplan.arguments import checked
from freqplan.csvfile import Source, content
from freqplan.errors import AnswersError, Fault


@dataclass(frozen=True)
class Answers:
    """Answers in the order of their source.

    Attributes
    ----------
    rows : tuple of AnswerRow
        One for each answer.
    source : str
        File name, ``<stdin>``, or empty when the answers came from Python.
    remarks : tuple of str
        What was passed over or assumed while reading.

    Raises
    ------
    AnswersError
        No answers, or more than 20,000.
    """

    rows: tuple[AnswerRow, ...]
    source: str = ""
    remarks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not 1 <= len(self.rows) <= MOST_ANSWERS:
            raise AnswersError([Fault(f"{len(self.rows)} answers", f"give 1 to {MOST_ANSWERS}")])

    @classmethod
    def of(cls, given: Mapping[str, str], student: str = "") -> Answers:
        """Make answers of one student from texts by the number of the problem, such as ``{"1a": "119.4 MHz"}``."""
        return cls(tuple(AnswerRow(problem, answer.strip(), student) for problem, answer in given.items()))


@checked
def load_answers(path_or_file: Source) -> Answers:
    """Read answers to an exercise from CSV.

    Parameters
    ----------
    path_or_file : str, path or open file
        ``-`` is standard input. A header row names the columns ``problem`` and ``answer``, optionally ``student``; the
        delimiter is a comma, a semicolon or a tab.

    Returns
    -------
    Answers
        Order of the file; whether an answer can be read, and is right, is seen when it is marked.

    Raises
    ------
    AnswersError
        Every fault of the list at once, with line and column.
    """
    source, data = content(path_or_file, AnswersError)
    file = AnswersFile(data, source)
    if file.faults:
        raise AnswersError(file.faults)
    return Answers(tuple(file.rows), source, tuple(file.remarks))
