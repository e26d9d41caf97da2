"""exercise: problems for a class, and marks for their answers."""

from __future__ import annotations

import click

from freqplan.cli import options
from freqplan.cli.output import keep_inputs


@click.command()
@options.common
@click.option("--seed", type=int, default=1, metavar="N", help="Which numbers are drawn (default: 1).")
@click.option(
    "--level", type=int, default=1, metavar="1|2|3",
    help="1: one step; 2: two or three; 3: several, the real IF not the printed one.",
)  # fmt: skip
@click.option("--count", type=int, default=6, metavar="K", help="Problems on the sheet (default: 6).")
@click.option(
    "--kind", "kinds", multiple=True, metavar="NAME",
    help="image, responses, side, real-if, choose-if, cause, rejection or station-sum; may be repeated.",
)  # fmt: skip
@click.option("--check", metavar="ANSWERS", help="Mark the answers in this CSV file.")
def exercise(
    plan: str, form: str, output: str | None, table: str | None, limit: int | None, orders: str | None,
    seed: int, level: int, count: int, kinds: tuple[str, ...], check: str | None,
) -> None:  # fmt: skip
    """Problems for a class with fresh numbers, the marking key, and why usual wrong answers are wrong.

    The same seed, level, count and kinds give the same sheet. --table problems is the sheet alone, for students.
    ANSWERS has the columns problem and answer, for several students also student; it may be - for standard input.
    Tables: problems, key, wrong_answers; with --check: totals, mistakes, marks.
    """
    from freqplan.answers import load_answers
    from freqplan.exercises import Exercise
    from freqplan.exercises import exercise as answer
    from freqplan.marking import Marking

    options.one_reader(plan, check, last="ANSWERS")
    keep_inputs(output, plan, check)
    (Exercise if check is None else Marking).check_table(table)
    sheet = answer(options.read_plan(plan, orders=orders), seed=seed, level=level, count=count, kinds=kinds)
    if check is None:
        options.give(sheet, form=form, output=output, table=table, limit=limit)
        return
    given = load_answers(check)
    options.tell_remarks(given.source, given.remarks)
    options.give(sheet.marked(given), form=form, output=output, table=table, limit=limit)
