"""A little of tests/fuzz on every run: damaged files come out of each reader as read, or as a proper refusal."""

from __future__ import annotations

import random
from itertools import islice

import pytest
from fuzz.mutation import mutated
from fuzz.readers import READERS, checked

INPUTS = {"surveyed": 10, "diagnosed": 60, "sweep": 100, "stations": 100}
"""Inputs of the slow ones; 200 of the others."""


@pytest.mark.parametrize("name", READERS)
def test_damaged_input_is_read_or_refused(name):
    reader = READERS[name]
    inputs = mutated(reader.seeds, reader.longest, random.Random(name))
    read = [checked(reader, data) for data in islice(inputs, INPUTS.get(name, 200))]
    # Else the seeds themselves are refused, and nothing behind the first check is reached.
    assert any(read)


def test_a_reader_that_crashes_or_rambles_is_found():
    from dataclasses import replace

    from freqplan.errors import FreqplanError

    def rambling(data: bytes) -> None:
        raise FreqplanError("x" * 601)

    for read in (rambling, lambda data: data[10]):
        with pytest.raises((AssertionError, IndexError)):
            checked(replace(READERS["plan"], read=read), b"")
