"""sound: what the ear hears, as a WAV file."""

from __future__ import annotations

import textwrap

import click

from freqplan.cli import options
from freqplan.cli.output import check_output, deliver, keep_inputs, to_standard_output


@click.command()
@click.argument("plan", metavar="PLAN")
@click.option(
    "-o", "--output", metavar="FILE.wav", required=True,
    help="File to write, whole or not at all; - writes to standard output.",
)  # fmt: skip
@click.option(
    "--offset", metavar="F", help='Distance of the intruder from the wanted carrier, such as "2 kHz".'
)
@click.option("--to", metavar="F", help="Distance at the end, if it moves.")
@click.option(
    "--mechanism",
    metavar="ID",
    help="In place of an offset a response or birdie, such as image: the dial passes over it.",
)
@click.option("--tuning", metavar="F", help="How far the dial is moved to either side (default: 3 kHz).")
@click.option("--k", type=int, metavar="N", help="Which harmonic of the IF.")
@click.option("--m", type=int, metavar="N", help="Which harmonic of the signal.")
@click.option("--n", type=int, metavar="N", help="Which harmonic of the oscillator.")
@click.option("--e", type=int, metavar="N", help="Which way round the difference is taken, 1 or -1.")
@click.option(
    "--ratio", default="-30 dB", metavar="DB", help='Intruder to wanted carrier (default: "-30 dB").'
)
@click.option("--tone", metavar="F", help='Modulate the wanted carrier with a tone, such as "1 kHz".')
@click.option("--stereo", is_flag=True, help="Listen in stereo, by the set's decoder.")
@click.option(
    "--decoder",
    type=click.Choice(["none", "filtered", "switching"]),
    help="Another stereo decoder than the plan's.",
)
@click.option("--seconds", type=float, default=6.0, metavar="S", help="How long (default: 6).")
@click.option("--as-heard", is_flag=True, help="Keep the level against full programme, however soft.")
@options.orders
@options.conversion
def sound(
    plan: str, output: str, offset: str | None, to: str | None, mechanism: str | None, tuning: str | None,
    k: int | None, m: int | None, n: int | None, e: int | None, ratio: str, tone: str | None, stereo: bool,
    decoder: str | None, seconds: float, as_heard: bool, orders: str | None, oscillator: str | None,
    intermediate: str | None,
) -> None:  # fmt: skip
    """Sound of an intruder on a station, as the ear hears it: a WAV file, and in words what it is.

    Either at an --offset, or by a --mechanism while the dial passes over zero beat. PLAN may be - for standard input.
    """
    from freqplan.screen import WIDTH
    from freqplan.sounds import sound as answer

    check_output(output)
    keep_inputs(output, plan)
    hertz = {
        f"{name}_hz": options.read_hertz(text, f"--{name}")
        for name, text in (("offset", offset), ("to", to), ("tuning", tuning), ("tone", tone))
    }
    ratio_db = options.read_decibel(ratio, "--ratio")
    receiver = options.read_plan(plan, orders=orders, oscillator=oscillator, intermediate=intermediate)
    heard = answer(
        receiver, mechanism=mechanism, k=k, m=m, n=n, e=e, ratio_db=ratio_db, stereo=stereo, decoder=decoder,
        seconds=seconds, as_heard=as_heard, **hertz,
    )  # fmt: skip
    deliver(heard.to_wav(), output)
    for line in heard.told:
        wrapped = textwrap.fill(line, WIDTH, subsequent_indent="  ")
        click.echo(wrapped, err=to_standard_output(output))
