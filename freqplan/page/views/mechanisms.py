"""The catalogue: what each mechanism is, how it shows, how to confirm it and what helps."""

from __future__ import annotations

from freqplan.page.visit import Page, Reply, View, Visit


def show(visit: Visit) -> Reply:
    """Show every mechanism of the catalogue."""
    from freqplan.mechanisms import catalogue, explained

    return Page("mechanisms.html", {"mechanisms": list(explained(catalogue()).rows())})


VIEWS = (View("mechanisms", show, label="Mechanisms"),)
