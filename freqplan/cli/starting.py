"""start: a commented plan to begin with."""

from __future__ import annotations

from pathlib import Path

import click

from freqplan.cli.output import deliver, to_standard_output
from freqplan.errors import FreqplanError


@click.command()
@click.argument("kind", metavar="[KIND]", required=False)
@click.option("-o", "--output", metavar="FILE", help="Write to a new file; one that exists is left alone.")
def start(kind: str | None, output: str | None) -> None:
    """Write a commented plan for a kind of set, to begin with.

    Without KIND the kinds are listed.
    """
    from freqplan.starters import KINDS, starter

    if kind is None and output is not None:
        raise click.UsageError("--output needs a KIND; `freqplan start` lists them")
    if kind is None:
        width = max(len(known.name) for known in KINDS)
        deliver("".join(f"{known.name:<{width}}  {known.description}\n" for known in KINDS), output=None)
        return
    text = starter(kind)
    if output and not to_standard_output(output) and Path(output).exists():
        raise FreqplanError(f"{output}: is there already and stays as it is; choose another name")
    deliver(text, output)
