"""Commented plans to begin with, so that nobody faces an empty file.

The figures are those usual for each kind of set (common practice, no source); the owner puts in his own.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from importlib import resources
from string import Template

from freqplan.arguments import checked
from freqplan.errors import Fault, PlanError

COMMENT_COLUMN = 34

SIDES = {
    "high": 'above the signal ("low": below it); left out: "unknown", both are answered',
    "low": 'below the signal ("high": above it); left out: "unknown", both are answered',
    "sum": 'IF minus dial setting: it falls as the dial rises ("high": it rises)',
}

DEVIATION = 'deviation = "75 kHz"  # peak deviation of a station; left out: 75 kHz\n'
STEREO = """
# The stereo decoder decides which whistles are heard.
#[stereo]
#decoder = "filtered"  # "none", "switching" or "filtered" (the default: roll-off ahead of it)
#deemphasis = "50 us"  # 50 us or 75 us by region; left out: 50 us
"""
MAINS = """#
# Caution: the chassis of an old mains set may be live, and its capacitors stay charged. Use an isolating
# transformer; unplug and discharge before you touch.
"""
AIR = """#
# Caution: never radiate a test signal on or near these frequencies. Listening rules differ by country.
"""


@dataclass(frozen=True)
class Kind:
    """A kind of set to begin with; the fields after `description` fill in the template.

    Attributes
    ----------
    name : str
        What to ask for, such as ``"fm-low"``.
    description : str
        One line, for a list to choose from.
    region : int
        ITU Region in which such sets are at home; 1 where they are at home in all.
    """

    name: str
    description: str
    title: str
    low: str
    high: str
    raster: str
    first_channel: str
    modulation: str
    intermediate: str
    tolerance: str
    oscillator: str
    bandwidth: str
    skirts: str
    before_rf_stage: int = 0
    before_mixer: int = 1
    loaded_q: int = 50
    caution: str = ""
    second: str = ""
    region: int = 1


def _fm(name: str, *, low: str = "87.5 MHz", high: str = "108 MHz", oscillator: str, region: int = 1) -> Kind:
    where = "above" if oscillator == "high" else "below"
    return Kind(
        name=name,
        description=f"FM broadcasting {low.split()[0]}-{high}, oscillator {where}",
        title=f"FM set {low.split()[0]}-{high}",
        low=low,
        high=high,
        raster="100 kHz",
        first_channel=low,
        modulation="fm",
        intermediate="10.7 MHz",
        tolerance="30 kHz",
        oscillator=oscillator,
        bandwidth="180 kHz",
        skirts="320 kHz",
        before_rf_stage=1,
        before_mixer=2,
        loaded_q=45,
        region=region,
    )


def _am(
    name: str, title: str, *, low: str, high: str, raster: str, first_channel: str, region: int = 1
) -> Kind:
    return Kind(
        name=name,
        description=f"{title} {low.split()[0]}-{high}, {raster} raster, IF 455 kHz, oscillator above",
        title=f"{title} set",
        low=low,
        high=high,
        raster=raster,
        first_channel=first_channel,
        modulation="am",
        intermediate="455 kHz",
        tolerance="3 kHz",
        oscillator="high",
        bandwidth="9 kHz",
        skirts="16 kHz",
        caution=MAINS,
        region=region,
    )


KINDS: tuple[Kind, ...] = (
    _fm("fm", oscillator="high"),
    _fm("fm-low", oscillator="low"),
    _fm("fm-76-95", low="76 MHz", high="95 MHz", oscillator="low", region=3),
    _am("am", "Medium wave", low="526.5 kHz", high="1606.5 kHz", raster="9 kHz", first_channel="531 kHz"),
    _am(
        "am-10",
        "Medium wave",
        low="530 kHz",
        high="1700 kHz",
        raster="10 kHz",
        first_channel="530 kHz",
        region=2,
    ),
    _am("long-wave", "Long wave", low="148.5 kHz", high="283.5 kHz", raster="9 kHz", first_channel="153 kHz"),
    _am("short-wave", "Short wave", low="5.9 MHz", high="18 MHz", raster="5 kHz", first_channel="5.9 MHz"),
    Kind(
        name="airband",
        description="Aeronautical voice 118-137 MHz, AM, 25 kHz raster, IF 10.7 MHz, oscillator above",
        title="Airband set",
        low="118 MHz",
        high="137 MHz",
        raster="25 kHz",
        first_channel="118 MHz",
        modulation="am",
        intermediate="10.7 MHz",
        tolerance="3 kHz",
        oscillator="high",
        bandwidth="15 kHz",
        skirts="27 kHz",
        before_rf_stage=1,
        before_mixer=2,
        caution=AIR,
    ),
    Kind(
        name="up-converting",
        description="0.15-30 MHz up to 45 MHz, then 455 kHz; first oscillator falling as the dial rises",
        title="Up-converting set",
        low="150 kHz",
        high="30 MHz",
        raster="5 kHz",
        first_channel="150 kHz",
        modulation="am",
        intermediate="45 MHz",
        tolerance="2 kHz",
        oscillator="sum",
        bandwidth="6 kHz",
        skirts="11 kHz",
        second="""#bandwidth = "15 kHz"  # of the filter behind this mixer: it keeps out the image of the next
#bandwidth_20db = "40 kHz"  # between its -20 dB points; left out: 16/9 of the bandwidth

[[conversion]]  # the second mixer
intermediate = "455 kHz"
tolerance = "1 kHz"
oscillator = "low"  # below the first IF
fixed_oscillator = "44.545 MHz"  # the crystal at the second mixer: it does not tune
""",
    ),
)
"""Every kind of set there is a plan for."""


@checked
def starter(kind: str) -> str:
    """Return a commented plan for a kind of set.

    Parameters
    ----------
    kind : str
        The `name` of one of `KINDS`.

    Returns
    -------
    str
        A plan file; it loads as it is, and with its optional lines taken in.

    Raises
    ------
    PlanError
        There is no such kind.
    """
    found = next((known for known in KINDS if known.name == kind), None)
    if found is None:
        names = ", ".join(known.name for known in KINDS)
        raise PlanError([Fault("no such kind of set", f"choose one of {names}", found=f'"{kind}"')])
    fm = found.modulation == "fm"
    template = Template(resources.files("freqplan").joinpath("data/start_plan.toml").read_text("utf-8"))
    text = template.substitute(
        asdict(found) | {"region": f"{'#' if found.region == 1 else ''}region = {found.region}"},
        side=SIDES[found.oscillator],
        deviation=DEVIATION if fm else "",
        stereo=STEREO if fm else "",
    )
    return "".join(f"{_aligned(line)}\n" for line in text.splitlines())


def _aligned(line: str) -> str:
    """Return `line` with the comment behind its value moved to a common column."""
    value, mark, comment = line.partition("  # ")
    return f"{value:<{COMMENT_COLUMN}}# {comment}" if mark else line
