"""On which line each key of a TOML text stands."""

from __future__ import annotations

import io

import pytest

from freqplan.errors import PlanError
from freqplan.planfile import load_plan
from freqplan.toml_lines import MOST_KEY_PARTS, key_lines, too_deep

LONG_FILLERS = (
    "[[conversion]]\n",
    "k{0} = 1\n",
    "[a{0}]\n",
    '"{0}" = """\n"""\n',
    "# {0}\n",
    "k{0} = [\n1,\n]\n",
)
PLAN = '[band]\nlow = "1 MHz"\nhigh = "2 MHz"\n[[conversion]]\nintermediate = "455 kHz"\n'


def test_lines_of_keys_are_found_past_strings_arrays_comments_and_odd_keys():
    text = '''\
a = """
b = 1
[c]
""" # x = 1
"d.e" = 1
'f' . g = [
  # [h]
  "]", {i = 1},
]
[[t]]
j = 1
[t.u]
k = '[['
[[t]] # second
j = { l = 1 }
[[t.v]]
m = "\\"#"
n = 1
[w.x]
y.z = 1
'''
    assert key_lines(text) == {
        "a": 1,
        "d.e": 5,
        "f": 6,
        "f.g": 6,
        "t": 10,
        "t[0]": 10,
        "t[0].j": 11,
        "t[0].u": 12,
        "t[0].u.k": 13,
        "t[1]": 14,
        "t[1].j": 15,
        "t[1].v": 16,
        "t[1].v[0]": 16,
        "t[1].v[0].m": 17,
        "t[1].v[0].n": 18,
        "w": 19,
        "w.x": 19,
        "w.x.y": 20,
        "w.x.y.z": 20,
    }


def test_the_first_key_with_too_many_parts_is_told_but_not_one_inside_a_string():
    longest = ".".join("a" * MOST_KEY_PARTS)
    assert too_deep(f"{longest} = 1\n") is None
    assert too_deep(f'x = """\n{longest}.a = 1\n"""\n[{longest}]\n') is None
    assert too_deep(f"x = 1\n[{longest}.a]\n") == 2
    assert too_deep(f"x = 1\n\n{longest} . a = 1\n") == 3


@pytest.mark.parametrize("filler", LONG_FILLERS)
def test_a_very_long_file_is_answered_with_its_faults(filler):
    text = PLAN + "".join(filler.format(i) for i in range(5_000)) + "x = 1"
    with pytest.raises(PlanError) as error:
        load_plan(io.StringIO(text))
    assert error.value.faults
