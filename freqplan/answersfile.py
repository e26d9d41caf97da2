"""The rows of a list of answers: which problem, what was answered, and by whom."""

from __future__ import annotations

from dataclasses import dataclass

from freqplan.csvfile import CsvFile

PROBLEM, ANSWER, STUDENT = "problem", "answer", "student"
MOST_ANSWERS = 20_000
"""Every answer of a large school; more is another list."""


@dataclass(frozen=True)
class AnswerRow:
    """One answer as written.

    Attributes
    ----------
    problem : str
        Number of the problem, such as ``"1a"``.
    answer : str
        As written, without blanks around it.
    student : str
        Whose it is; empty where there is but one.
    line : int or None
        Line of the source; None from Python.
    """

    problem: str
    answer: str
    student: str = ""
    line: int | None = None


class AnswersFile(CsvFile):
    """The rows, faults and remarks of one list of answers."""

    known = (PROBLEM, ANSWER, STUDENT)
    needed = "begin with a header row that names the columns problem and answer, for a class also student"
    doubt = "is this a list of answers?"

    def __init__(self, data: bytes | str, source: str) -> None:
        self.rows: list[AnswerRow] = []
        super().__init__(data, source)

    def check_header(self, line: int, fields: list[str], strange: list[str]) -> None:
        """Ask for the problem and the answer."""
        for name in (PROBLEM, ANSWER):
            if name not in self.columns and (self.columns or name == PROBLEM):
                self.no_column(f"no column {name}", line, fields, strange)

    def read_row(self, line: int, cells: dict[str, str]) -> None:
        """Take in one answer; one that is missing is a matter of its mark."""
        problem = cells[PROBLEM].strip()
        if not problem:
            self.fault(
                "no number of a problem", "write it, such as 1a, or delete the row", line=line, key=PROBLEM
            )
            return
        student = self.name(line, STUDENT, cells.get(STUDENT, "").strip())
        self.rows.append(AnswerRow(problem, cells[ANSWER].strip(), student, line))

    def finish(self) -> None:
        """Ask for at least one answer, and for no more than a school writes."""
        if len(self.rows) > MOST_ANSWERS:
            self.fault(f"{len(self.rows)} answers, more than {MOST_ANSWERS}", "give one class at a time")
        elif not self.rows and not self.faults:
            self.fault("the list holds no answers", "write one in each row, such as 1a,119.40")
