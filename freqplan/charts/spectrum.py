"""The spectrum of one sum, as a teacher draws it: wanted station, oscillator, other signal, and the IF between them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from freqplan.arguments import checked
from freqplan.charts.chart import Chart
from freqplan.charts.drawing import label, look, svg
from freqplan.charts.spectrum_examples import PICTURED, check_mechanism, examples
from freqplan.charts.spectrum_picture import draw_spectrum
from freqplan.charts.spectrum_row import row_of
from freqplan.charts.spectrum_sums import axes_of
from freqplan.charts.spectrum_words import Spectrum, caption_of

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.surveys import Survey

NAME = "spectrum"
DEFAULT = "image"
LONGEST_LINE = 118


def spectra(
    survey: Survey, mechanism: str = DEFAULT, dial_hz: int | None = None
) -> tuple[tuple[Spectrum, ...], str]:
    """Gather what there is to see of a mechanism, without drawing it.

    Parameters
    ----------
    survey, mechanism, dial_hz
        As for `spectrum`.

    Returns
    -------
    tuple of Spectrum
        At least one.
    str
        What of it is an example only; empty where all is of the plan.

    Raises
    ------
    FreqplanError
        There is no such mechanism.
    ModelRangeError
        It has no sum of frequencies, or none comes about with the plan.
    """
    found = examples(survey, mechanism, dial_hz)
    shown = tuple(Spectrum(found.survey.plan, row, axes_of(found.survey.plan, row)) for row in found.rows)
    return shown, found.remark


def spectrum(survey: Survey, mechanism: str | None = None, dial_hz: int | None = None) -> Chart:
    """Draw a telling example of a mechanism.

    Parameters
    ----------
    survey : Survey
        Of the set; where it has none of it, an example is taken that says so.
    mechanism : str, optional
        Id in the catalogue; the image by default.
    dial_hz : int, optional [Hz]
        The dial setting, mid-band by default; of what has a place of its own on the dial, the one nearest to it.

    Raises
    ------
    FreqplanError
        There is no such mechanism.
    MissingExtraError
        matplotlib is not installed.
    ModelRangeError
        It has no sum of frequencies, or none comes about with the plan.
    """
    shown, remark = spectra(survey, mechanism or DEFAULT, dial_hz)
    return _chart(shown, remark)


@checked
def row_chart(plan: Plan, row: Mapping[str, Any]) -> Chart:
    """Draw the sum behind one row of a table.

    Parameters
    ----------
    plan : Plan
        The receiver.
    row : mapping
        ``mechanism`` and what the tables have of it: ``oscillator, m, n, e, k, q, dial_hz``, the signal as
        ``response_hz``, ``station_hz`` or ``signal_hz``, and so on; a dial setting or signal that is missing is solved
        for.

    Returns
    -------
    Chart

    Raises
    ------
    FreqplanError
        There is no such mechanism.
    MissingExtraError
        matplotlib is not installed.
    ModelRangeError
        It has no sum of frequencies, or the numbers have no solution.
    """
    check_mechanism(str(row.get("mechanism")))
    whole = row_of(plan, row)
    return _chart((Spectrum(plan, whole, axes_of(plan, whole)),), "")


def _chart(shown: tuple[Spectrum, ...], remark: str) -> Chart:
    with look():
        pictures = tuple(_picture(one, number) for number, one in enumerate(shown, 1))
    title = label(shown[0].title)
    return Chart(NAME, title, caption_of(shown, remark), " ".join(one.alt for one in shown), pictures)


def _picture(one: Spectrum, number: int) -> str:
    lines = [label(line, LONGEST_LINE) for line in (one.setting, one.sum, one.direction) if line]
    sheet = draw_spectrum(one.axes, title=label(one.title, LONGEST_LINE), subtitles=lines)
    return svg(sheet.figure, name=f"{NAME}-{number}", title=one.title, alt=one.alt)


__all__ = ["NAME", "PICTURED", "Spectrum", "caption_of", "row_chart", "spectra", "spectrum"]
