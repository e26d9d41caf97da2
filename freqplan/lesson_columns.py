"""What the columns of lessons mean."""

from __future__ import annotations

from collections.abc import Mapping

from freqplan.column_kinds import Column

LESSON_COLUMNS: Mapping[str, Column] = {
    "step": Column("Step", "count", "Place in the derivation."),
    "says": Column("What is done", "text", "The step in a sentence."),
    "formula_text": Column("Formula", "text", "What comes of it, in signs."),
    "numbers": Column("With numbers", "text", "The same with the numbers of the set."),
    "latex": Column("LaTeX", "text", "The formula for LaTeX."),
    "latex_numbers": Column("LaTeX, numbers", "text", "The formula with numbers for LaTeX."),
}
