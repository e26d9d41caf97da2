"""An evidence file (TOML) to `Evidence`; every fault with its line, its key, what was found and what to write."""

from __future__ import annotations

from freqplan.arguments import checked
from freqplan.errors import EvidenceError
from freqplan.evidence import Evidence
from freqplan.tomlfile import TomlFile, TomlSource, read_toml


@checked
def load_evidence(source: TomlSource) -> Evidence:
    """Read what was observed.

    Parameters
    ----------
    source : str, path or open file
        A text or binary file, or its name; ``"-"`` is standard input.

    Returns
    -------
    Evidence
        It knows where it was read, so that faults found later can be told with their lines.

    Raises
    ------
    EvidenceError
        Holds every fault found, in the order of the file.
    """
    file = evidence_file(source)
    return Evidence.from_file_keys(file.tables, origin=file.origin)


def evidence_file(source: TomlSource) -> TomlFile:
    """Read the tables of an evidence file, not yet looked at.

    Raises
    ------
    EvidenceError
        It is no TOML.
    """
    beginning = 'write [[symptom]] and under it what was observed, such as heard = "programme"'
    return read_toml(source, content="evidence", beginning=beginning, refusal=EvidenceError)
