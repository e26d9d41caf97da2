"""The table of a plan that says what its dial scale is like on paper."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from freqplan.plan_reading import AsTuple, Hertz, Micrometres, Table

MOST_MARKS = 200
"""Figures on a scale that anybody measures."""


class ScaleMark(Table):
    """A figure on the scale.

    Attributes
    ----------
    reads_hz : int [Hz]
        What it says.
    at_um : int [um]
        Where it stands, from the left end of the scale.
    """

    reads_hz: Hertz = Field(validation_alias="reads", examples=['"88 MHz"'])
    at_um: Micrometres = Field(validation_alias="at", examples=['"4 mm"'])


class Scale(Table):
    """The dial scale as a ruler measures it.

    Attributes
    ----------
    length_um : int [um]
        From one end of the band to the other, or the whole travel of the pointer where marks are given.
    marks : tuple of ScaleMark
        Where figures stand on the real scale, along it; between two of them the scale is taken as straight, and
        beyond the outermost ones the nearest piece goes on.  Without any it is straight from end to end.
    """

    length_um: Micrometres = Field(validation_alias="length", examples=['"165 mm"'])
    marks: Annotated[tuple[ScaleMark, ...], AsTuple, Field(max_length=MOST_MARKS)] = Field(
        default=(), examples=['[{reads = "88 MHz", at = "4 mm"}, {reads = "108 MHz", at = "160 mm"}]']
    )
