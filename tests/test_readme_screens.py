"""The screens printed in the README are what the program prints."""

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from freqplan.cli import commands

ROOT = Path(__file__).resolve().parents[1]
SHOWN = re.findall(
    r"```sh\n(freqplan [^\n]+)\n```\n\n```text\n(.*?)```", (ROOT / "README.md").read_text("utf-8"), re.S
)


def test_there_are_screens_to_compare():
    assert len(SHOWN) >= 3


@pytest.mark.parametrize(("command", "text"), SHOWN, ids=[command for command, _ in SHOWN])
def test_each_part_shown_is_printed_in_this_order(command, text, monkeypatch):
    monkeypatch.chdir(ROOT)
    printed = CliRunner().invoke(commands, shlex.split(command)[1:], catch_exceptions=False).stdout
    place = 0
    for part in text.split("[...]\n"):
        assert part in printed[place:]
        place = printed.index(part, place) + len(part)
