"""What can be asked: one file per group of views, each with its own tuple of them.

To add a view, write a function (visit) -> reply in a file of its own, and name it here.
"""

from __future__ import annotations

from freqplan.page.views import (
    channel,
    charts,
    compare,
    diagnosis,
    downloads,
    mechanisms,
    plan,
    readings,
    reports,
    start,
    survey,
    why,
)
from freqplan.page.visit import View

VIEWS: tuple[View, ...] = (
    *start.VIEWS,
    *plan.VIEWS,
    *survey.VIEWS,
    *charts.VIEWS,
    *channel.VIEWS,
    *compare.VIEWS,
    *diagnosis.VIEWS,
    *readings.VIEWS,
    *mechanisms.VIEWS,
    *downloads.VIEWS,
    *reports.VIEWS,
    *why.VIEWS,
)
"""Every view; those with a label are in the navigation, in this order."""
