"""Columns that only problems for a class, their key and their marks have."""

from __future__ import annotations

from collections.abc import Mapping

from freqplan.column_kinds import Column

EXERCISE_COLUMNS: Mapping[str, Column] = {
    "problem": Column(
        "Problem", "text", "Number of the problem, with a letter where it asks for several answers."
    ),
    "task": Column("Given", "text", "What is given; the same for all answers of a problem."),
    "asked": Column("Asked", "text", "What is asked for."),
    "answer_unit": Column("In", "text", "Unit of the answer; empty where it has none."),
    "decimals": Column("Decimals", "count", "Decimals to give; empty where no number is asked for."),
    "answer_choices": Column("One of", "names", "Words to choose from."),
    "points": Column(
        "Points",
        "count",
        "What an answer or a step is worth; of a usual wrong answer what it keeps; of marks those given.",
    ),
    "step_text": Column("What to do", "text", "What is done in the step."),
    "result": Column("Result", "text", "What comes out of the step."),
    "answer": Column(
        "Answer",
        "text",
        "In a key the right one, on its last step; else the usual wrong one, or what was written.",
    ),
    "wrong_method": Column("Mistake", "text", "Name of the wrong method."),
    "times_made": Column("Students", "count", "How many students made the mistake."),
    "reason": Column("Why it is wrong", "text", "Why a usual wrong answer is wrong."),
    "student": Column("Student", "text", "Whose answers they are."),
    "of_points": Column("Of", "count", "Points that can be had."),
    "points_share": Column("Share", "share", "Points over those that can be had."),
    "mark_remark": Column("Remark", "text", "Why an answer has those points, and what to do."),
}
