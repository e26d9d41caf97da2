"""survey, channel and compare."""

from __future__ import annotations

import click

from freqplan.cli import options
from freqplan.cli.output import keep_inputs


@click.command()
@options.common
@options.conversion
@options.region
@options.stations
@options.all_products
@options.trial
def survey(
    plan: str, form: str, output: str | None, table: str | None, limit: int | None, orders: str | None,
    oscillator: str | None, intermediate: str | None, region: str | None, stations: str | None, pad: str | None,
    notches: tuple[str, ...], all_products: bool,
) -> None:  # fmt: skip
    """Everything over the whole band, and the frequencies to check.

    PLAN is a plan file, or - for standard input. Tables: check_list, oscillators, birdies, responses,
    mechanisms; with --stations also heard, ghosts, products, if_pairs, neighbours and channel_hits, and with --pad or
    --notch changes.
    """
    from freqplan.surveys import survey as answer

    options.one_reader(plan, stations)
    tried = options.read_trial(pad, notches, stations)
    keep_inputs(output, plan, stations)
    receiver = options.read_plan(
        plan, orders=orders, oscillator=oscillator, intermediate=intermediate, region=region
    )
    result = answer(receiver, options.read_stations(stations), trial=tried, every_product=all_products)
    options.give(result, form=form, output=output, table=table, limit=limit)


@click.command()
@options.common
@click.argument("frequency", metavar="FREQ")
@options.conversion
@options.region
@options.stations
@options.all_products
@options.trial
def channel(
    plan: str, frequency: str, form: str, output: str | None, table: str | None, limit: int | None,
    orders: str | None, oscillator: str | None, intermediate: str | None, region: str | None, stations: str | None,
    pad: str | None, notches: tuple[str, ...], all_products: bool,
) -> None:  # fmt: skip
    """Everything that can be heard at one dial setting.

    FREQ is the dial setting, such as "98.1 MHz"; a bare number is MHz or kHz, whichever lies inside the band.
    Tables: responses, birdies, mechanisms; with --stations also products and neighbours.
    """
    from freqplan.channels import channel as answer

    options.one_reader(plan, stations)
    tried = options.read_trial(pad, notches, stations)
    keep_inputs(output, plan, stations)
    receiver = options.read_plan(
        plan, orders=orders, oscillator=oscillator, intermediate=intermediate, region=region
    )
    dial_hz = options.read_dial(frequency, receiver)
    result = answer(
        receiver, dial_hz, options.read_stations(stations), trial=tried, every_product=all_products
    )
    options.give(result, form=form, output=output, table=table, limit=limit)


@click.command(epilog=options.TERMS_TOLD)
@options.common
@options.region
@click.option(
    "--intermediate", "intermediates", metavar="F", multiple=True, help="A further IF; may be repeated."
)
@options.stations
@options.weights
def compare(
    plan: str, form: str, output: str | None, table: str | None, limit: int | None, orders: str | None,
    region: str | None, intermediates: tuple[str, ...], stations: str | None, weights: tuple[str, ...],
) -> None:  # fmt: skip
    """Oscillator above or below the signal, one IF against another.

    The plan's own IF is always among those compared. Tables: plans, in_band, harmonics; with --weight also ranking:
    each term named counts its weight times a share from 0 to 1, and the least sum is the best choice.
    """
    from freqplan.comparisons import compare as answer

    options.one_reader(plan, stations)
    terms = options.read_weights(weights)
    keep_inputs(output, plan, stations)
    receiver = options.read_plan(plan, orders=orders, region=region)
    chosen = [options.read_hertz(text, "--intermediate") for text in intermediates]
    listed = options.read_stations(stations)
    with options.faults_by_option():
        result = answer(receiver, [hertz for hertz in chosen if hertz is not None], listed, terms)
    options.give(result, form=form, output=output, table=table, limit=limit)
