"""All charts by name, and which of them a plan has."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from freqplan.arguments import checked
from freqplan.charts.dial_strip import dial_strip
from freqplan.charts.drawing import label
from freqplan.charts.front_end import front_end
from freqplan.charts.if_range import if_range_chart
from freqplan.charts.response_map import response_map
from freqplan.charts.spectrum import spectrum
from freqplan.charts.spectrum_examples import check_mechanism
from freqplan.charts.whistle_chart import whistle_chart
from freqplan.errors import FreqplanError, ModelRangeError
from freqplan.surveys import survey

if TYPE_CHECKING:
    from freqplan.charts.chart import Chart
    from freqplan.plan import Plan
    from freqplan.stations import StationList
    from freqplan.surveys import Survey


class Kind(NamedTuple):
    """A kind of chart.

    Attributes
    ----------
    words : str
        What it is called where people choose.
    draw : callable
        (survey, dial setting or None, mechanism or None) -> Chart.
    applies : callable
        Whether a plan has such a chart.
    at_setting : bool
        Whether it holds for one dial setting, which may be given.
    of_mechanism : bool
        Whether it shows one mechanism, which may be given; such a chart is drawn only where it is named.
    """

    words: str
    draw: Callable[[Survey, int | None, str | None], Chart]
    applies: Callable[[Plan], bool] = lambda plan: True
    at_setting: bool = False
    of_mechanism: bool = False


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "response-map": Kind("Response map", lambda found, *asked: response_map(found)),
        "dial-strip": Kind("Dial strip", lambda found, *asked: dial_strip(found)),
        "front-end": Kind(
            "Front end",
            lambda found, dial_hz, mechanism: front_end(found, dial_hz),
            lambda plan: plan.front_end is not None,
            at_setting=True,
        ),
        "if-ranges": Kind("IF ranges", lambda found, *asked: if_range_chart(found.plan)),
        "whistle": Kind("Whistle", lambda found, *asked: whistle_chart(found.plan)),
        "spectrum": Kind(
            "Spectrum",
            lambda found, dial_hz, mechanism: spectrum(found, mechanism, dial_hz),
            at_setting=True,
            of_mechanism=True,
        ),
    }
)
"""The kinds of charts, in the order in which they are shown."""

NAMES = tuple(KINDS)


def shown_unasked(plan: Plan) -> list[str]:
    """Return the charts of a plan that are drawn where none is named, in the order of `NAMES`."""
    return [name for name, kind in KINDS.items() if kind.applies(plan) and not kind.of_mechanism]


def check_name(name: str, *, dial_hz: int | None = None, mechanism: str | None = None) -> None:
    """Refuse a chart that there is not, a dial setting for one of the whole dial, or a mechanism that has no picture.

    Raises
    ------
    FreqplanError
        There is no such chart or mechanism; the message names those there are.
    ModelRangeError
        The chart holds for no single dial setting, or is of no mechanism; the mechanism has no sum of frequencies.
    """
    if name not in KINDS:
        raise FreqplanError(f'no chart "{label(name, 40)}"; there are: {", ".join(NAMES)}')
    if dial_hz is not None and not KINDS[name].at_setting:
        of_settings = ", ".join(known for known, kind in KINDS.items() if kind.at_setting)
        raise ModelRangeError(
            f"the chart {name} holds for the whole dial; a dial setting is for: {of_settings}"
        )
    if mechanism is not None and not KINDS[name].of_mechanism:
        of_one = ", ".join(known for known, kind in KINDS.items() if kind.of_mechanism)
        raise ModelRangeError(f"the chart {name} is of no one mechanism; a mechanism is for: {of_one}")
    if mechanism is not None:
        check_mechanism(mechanism)


def charts_of(
    survey: Survey, names: Sequence[str] | None = None, *, dial_hz: int | None = None, mechanism: str | None = None
) -> tuple[Chart, ...]:  # fmt: skip
    """Draw the charts of a survey.

    Parameters
    ----------
    survey : Survey
        What to draw; with a station list or without.
    names : sequence of str, optional
        Which charts, in this order; by default all that apply to the plan and need no mechanism, in the order of
        `NAMES`.
    dial_hz : int, optional [Hz]
        The dial setting of charts that hold for one; each has its own default.
    mechanism : str, optional
        What the chart of a mechanism shows.

    Raises
    ------
    FreqplanError
        There is no chart of that name.
    MissingExtraError
        matplotlib is not installed.
    ModelRangeError
        A chart that is named does not apply to the plan, or the dial setting lies off the band.
    SweepError
        The measured response of the front end cannot be read.
    """
    for name in names or ():
        check_name(name)
    wanted = shown_unasked(survey.plan) if names is None else names
    return tuple(KINDS[name].draw(survey, dial_hz, mechanism) for name in wanted)


@checked
def chart(
    plan: Plan, name: str, stations: StationList | None = None, *, dial_hz: int | None = None,
    mechanism: str | None = None,
) -> Chart:  # fmt: skip
    """Draw one chart.

    Parameters
    ----------
    plan : Plan
        The receiver.
    name : {"response-map", "dial-strip", "front-end", "if-ranges", "whistle", "spectrum"}
        Which chart.
    stations : StationList, optional
        Who is on the air.
    dial_hz : int, optional [Hz]
        The dial setting, for a chart that holds for one.
    mechanism : str, optional
        What the spectrum explains, such as ``"half-if"``; the image by default.

    Returns
    -------
    Chart
        Its `to_svg` makes a file of it.

    Raises
    ------
    FreqplanError
        There is no chart, or no mechanism, of that name.
    MissingExtraError
        matplotlib is not installed.
    ModelRangeError
        The chart does not apply to the plan, the dial setting lies off the band, or the chart holds for none; the
        mechanism has no sum of frequencies.
    SweepError
        The measured response of the front end cannot be read.
    """
    check_name(name, dial_hz=dial_hz, mechanism=mechanism)
    return charts_of(survey(plan, stations), [name], dial_hz=dial_hz, mechanism=mechanism)[0]
