"""How the time to refuse a long faulty plan grows with its length."""

from __future__ import annotations

import io
import time

import pytest

from freqplan.errors import PlanError
from freqplan.planfile import load_plan

PLAN = '[band]\nlow = "1 MHz"\nhigh = "2 MHz"\n[[conversion]]\nintermediate = "455 kHz"\n'
FILLERS = ("[[conversion]]\n", "k{0} = 1\n", "[a{0}]\n", '"{0}" = """\n"""\n', "# {0}\n", "k{0} = [\n1,\n]\n")


def seconds_for(text):
    begin = time.process_time()
    with pytest.raises(PlanError):
        load_plan(io.StringIO(text))
    return time.process_time() - begin


@pytest.mark.parametrize("filler", FILLERS)
def test_the_time_grows_with_the_length_and_not_with_its_square(filler):
    few, many = (PLAN + "".join(filler.format(i) for i in range(k)) + "x = 1" for k in (3_000, 24_000))
    ratio = seconds_for(many) / seconds_for(few)
    print(f"\n8 times the length of {filler!r}: {ratio:.1f} times the time")
    assert ratio < 30  # its square would be 64
