"""One dial setting: what is heard there, the sums behind it, and what each mechanism is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from freqplan.errors import FreqplanError
from freqplan.page.faults import faults_of
from freqplan.page.forms import instead
from freqplan.page.views.charts import at_setting
from freqplan.page.visit import Page, Reply, View, Visit

if TYPE_CHECKING:
    from freqplan.plan import Plan


def show(visit: Visit) -> Reply:
    """Show one dial setting; without one, the form to choose it."""
    from freqplan import questions
    from freqplan.page.lines import setting, shown
    from freqplan.screen import MECHANISMS

    own = visit.answers.plan(visit.here)
    content: dict[str, Any] = {
        "form": instead(visit, own),
        "dial": visit.one("dial"),
        "result": None,
        "faults": (),
    }
    try:
        plan = visit.answers.plan(visit.here, visit.carried)
        content |= _example(plan)
        if not visit.one("dial"):
            return Page("channel.html", content)
        dialled = questions.read_dial(visit.one("dial"), plan)
        with visit.answers.channel(visit.here, visit.carried, dialled.dial_hz) as result:
            names = [name for name in result.names if name != MECHANISMS]
            tables = [table for name in names if (table := shown(result, name))]
            content |= {
                "result": result,
                "tables": tables,
                "remark": dialled.remark,
                **_beside(plan, result.dial_hz),
            }
            content |= {"mechanisms": list(result.mechanisms.rows()), "dial": setting(plan, result.dial_hz)}
            content |= {"picture": at_setting(plan)}
            return Page("channel.html", content)
    except FreqplanError as error:
        return Page("channel.html", content | {"faults": faults_of(error)}, 422)


def _example(plan: Plan) -> Mapping[str, str]:
    from freqplan.page.lines import setting

    return {"example": setting(plan, plan.middle_channel_hz)}


def _beside(plan: Plan, dial_hz: int) -> Mapping[str, str]:
    """Return the channels below and above a setting, empty at an end of the band."""
    from freqplan.listening import channels_beside
    from freqplan.page.lines import setting

    below, above = channels_beside(plan, dial_hz)
    return {
        "below": "" if below is None else setting(plan, below),
        "above": "" if above is None else setting(plan, above),
    }


VIEWS = (View("channel", show, label="Channel"),)
