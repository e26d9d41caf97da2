"""What the tests of plans share: a good plan as a file has it, and the faults of a bad one."""

from __future__ import annotations

import pytest

from freqplan.errors import PlanError
from freqplan.plan import Plan


def faults_of(make):
    with pytest.raises(PlanError) as caught:
        make()
    return {fault.key: fault for fault in caught.value.faults}


def file_faults(tables):
    return faults_of(lambda: Plan.from_file_keys(tables))


def tables(**changes):
    good = {
        "band": {"low": "87.5 MHz", "high": "108 MHz"},
        "conversion": [{"intermediate": "10.7 MHz"}],
    }
    return good | changes
