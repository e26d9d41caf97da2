"""circuits and whistle: questions of a plan that need no survey."""

from __future__ import annotations

import click

from freqplan.cli import options
from freqplan.cli.output import keep_inputs


@click.command()
@options.common
@options.conversion
@options.stations
@click.option("--reject", default="60 dB", metavar="DB", help='Rejection wanted (default: "60 dB").')
@click.option(
    "--against", multiple=True, metavar="NAME", help="A listed station to keep down; may be repeated."
)
def circuits(
    plan: str, form: str, output: str | None, table: str | None, limit: int | None, orders: str | None,
    oscillator: str | None, intermediate: str | None, stations: str | None, reject: str, against: tuple[str, ...],
) -> None:  # fmt: skip
    """How many tuned circuits of which Q a front end needs.

    Against image and half-IF over the whole dial, and with --stations against those listed where they come in.
    Tables: designs, demands.
    """
    from freqplan.designs import circuits as answer

    options.one_reader(plan, stations)
    keep_inputs(output, plan, stations)
    if against and stations is None:
        raise click.UsageError("--against needs --stations: it names stations of that list")
    wanted = options.read_loss(reject, "--reject")
    receiver = options.read_plan(plan, orders=orders, oscillator=oscillator, intermediate=intermediate)
    result = answer(receiver, options.read_stations(stations), rejection_db=wanted, against=against)
    options.give(result, form=form, output=output, table=table, limit=limit)


@click.command()
@options.common
@click.option("--pitch", metavar="F", help='A note heard, such as "8 kHz": every offset that gives it.')
@click.option("--offset", metavar="F", help='A distance from the wanted carrier, such as "100 kHz".')
@click.option(
    "--ratio", default="-30 dB", metavar="DB", help='Unwanted to wanted carrier (default: "-30 dB").'
)
def whistle(
    plan: str, form: str, output: str | None, table: str | None, limit: int | None, orders: str | None,
    pitch: str | None, offset: str | None, ratio: str,
) -> None:  # fmt: skip
    """Pitch and loudness of the whistle that a carrier beside the wanted one makes.

    Without --pitch or --offset the usual offsets are listed. Table: tones.
    """
    from freqplan.whistles import whistle as answer

    keep_inputs(output, plan)
    receiver = options.read_plan(plan, orders=orders)
    result = answer(
        receiver, pitch_hz=options.read_hertz(pitch, "--pitch"), offset_hz=options.read_hertz(offset, "--offset"),
        ratio_db=options.read_decibel(ratio, "--ratio"),
    )  # fmt: skip
    options.give(result, form=form, output=output, table=table, limit=limit)
