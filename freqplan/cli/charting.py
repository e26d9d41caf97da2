"""chart: one picture as a file."""

from __future__ import annotations

import click

from freqplan.cli import options
from freqplan.cli.output import check_output, deliver, keep_inputs

CHARTS_TOLD = """\
\b
NAME is one of:
  response-map  which signals are received where on the dial
  dial-strip    a strip to lay beside the dial: stations, birdies, ghosts
  front-end     what is lost before the mixer, and where image and IF stand
  if-ranges     which IF brings which responses into the band
  whistle       pitch and loudness of a carrier beside a station
  spectrum      one mechanism as a teacher draws it: signals, oscillator, IF
"""


@click.command(epilog=CHARTS_TOLD)
@click.argument("plan", metavar="PLAN")
@click.argument("name", metavar="NAME")
@click.option("-o", "--output", metavar="FILE.svg", help="Write to a file, whole or not at all.")
@options.orders
@options.conversion
@options.region
@options.stations
@click.option(
    "--dial",
    metavar="F",
    help='Dial setting of front-end and spectrum, such as "98.1 MHz" (default: mid-band).',
)
@click.option(
    "--mechanism", metavar="ID", help="What the spectrum explains, such as half-if (default: image)."
)
def chart(
    plan: str, name: str, output: str | None, orders: str | None, oscillator: str | None, intermediate: str | None,
    region: str | None, stations: str | None, dial: str | None, mechanism: str | None,
) -> None:  # fmt: skip
    """One chart, as an SVG file for paper or page.

    PLAN is a plan file, or - for standard input. Needs matplotlib: pip install "freqplan[plot]"
    """
    from freqplan.charts.drawing import HOW_TO_GET, can_draw
    from freqplan.charts.gallery import chart as draw
    from freqplan.charts.gallery import check_name
    from freqplan.errors import MissingExtraError

    options.one_reader(plan, stations)
    keep_inputs(output, plan, stations)
    check_output(output)
    check_name(name, mechanism=mechanism)
    if not can_draw():
        raise MissingExtraError(HOW_TO_GET)
    receiver = options.read_plan(
        plan, orders=orders, oscillator=oscillator, intermediate=intermediate, region=region
    )
    dial_hz = None if dial is None else options.read_dial(dial, receiver)
    drawn = draw(receiver, name, options.read_stations(stations), dial_hz=dial_hz, mechanism=mechanism)
    deliver(drawn.to_svg(), output, utf8=True)
