"""lesson: how a formula comes about."""

from __future__ import annotations

import textwrap

import click

from freqplan.cli import options
from freqplan.cli.output import keep_inputs

LESSONS = (
    "Topics that are no mechanism: why-10.7, which-side, tracking, why-half-if, pad, whistle. Every mechanism of the "
    "catalogue is a topic by its id, such as image or half-if."
)


@click.command(epilog=f"\b\n{textwrap.fill(LESSONS, 76)}")
@options.common
@click.argument("topic", metavar="TOPIC")
@options.conversion
@click.option("--dial", metavar="FREQ", help="Dial setting, where an example is free to choose one.")
def lesson(
    plan: str, topic: str, form: str, output: str | None, table: str | None, limit: int | None, orders: str | None,
    oscillator: str | None, intermediate: str | None, dial: str | None,
) -> None:  # fmt: skip
    """Derive a formula step by step, with the numbers of the set.

    PLAN is a plan file, or - for standard input. TOPIC is a mechanism or a question. Table: steps.
    """
    from freqplan.lessons import lesson as answer

    keep_inputs(output, plan)
    receiver = options.read_plan(plan, orders=orders, oscillator=oscillator, intermediate=intermediate)
    dial_hz = None if dial is None else options.read_dial(dial, receiver)
    options.give(answer(receiver, topic, dial_hz), form=form, output=output, table=table, limit=limit)
