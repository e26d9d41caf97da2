"""Files of measured responses, and what one tuned circuit loses."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import pytest

from freqplan.errors import SweepError
from freqplan.sweeps import load_sweep

TENTH_DB = 0.1
MHZ = 10**6
TUNED_HZ = 98 * MHZ


def save(folder, content, name="front_end.csv"):
    """Write a file and return its path."""
    path = Path(folder, name)
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def read(content, name="front_end.csv"):
    """Return the sweep of a file with this content."""
    with tempfile.TemporaryDirectory() as folder:
        return load_sweep(save(folder, content, name))


def faults(content, name="front_end.csv"):
    """Return what is wrong with a file of this content."""
    with pytest.raises(SweepError) as caught:
        read(content, name)
    return caught.value.faults


def tuned_circuit_db(hertz, *, circuits, loaded_q):
    """The closed form: N equal circuits that do not load each other."""
    return 10 * circuits * np.log10(1 + loaded_q**2 * (hertz / TUNED_HZ - TUNED_HZ / hertz) ** 2)
