"""A bench in an address: plan and station list as one path segment, so that nothing is kept about anybody.

What is too long for an address is kept in memory under the hash of what it holds, as long as there is room.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
import threading
import zlib
from collections import OrderedDict
from dataclasses import dataclass

from freqplan.errors import FreqplanError

LONGEST_SEGMENT = 60_000
"""Signs of an address that browsers and servers still pass on."""

LARGEST_BENCH = 2_000_000
"""Bytes of a bench unpacked: a plan and a station list of the largest size that the page takes."""

SHELF_ROOM = 32_000_000
"""Bytes kept in memory of what no address holds."""

KEPT = "kept-"
_KEYS = {"p": "plan_text", "s": "stations_text", "n": "stations_name", "t": "plan_name"}


class BenchError(FreqplanError):
    """An address holds no bench."""


class BenchGoneError(BenchError):
    """An address names a bench that was kept in memory and is there no more."""


@dataclass(frozen=True)
class Bench:
    """What somebody works on.

    Attributes
    ----------
    plan_text : str
        A plan as its file has it (TOML).
    stations_text : str
        A station list as its file has it (CSV); empty where there is none.
    stations_name, plan_name : str
        Names of the files, as far as they had one.
    """

    plan_text: str
    stations_text: str = ""
    stations_name: str = ""
    plan_name: str = ""


def pack(bench: Bench) -> str:
    """Return a bench as one segment of an address: letters, digits, ``-`` and ``_``.

    Raises
    ------
    BenchError
        A text holds half of a sign, which no file can.
    """
    packed = zlib.compress(_as_json(bench), level=9)
    return base64.urlsafe_b64encode(packed).decode("ascii").rstrip("=")


def unpack(segment: str) -> Bench:
    """Return the bench that `pack` wrote; the work is bounded whatever the segment holds.

    Raises
    ------
    BenchError
        It was not written by `pack`, or something of it is missing.
    """
    if len(segment) > LONGEST_SEGMENT:
        raise BenchError("this address is too long to hold a set")
    try:
        packed = base64.b64decode(segment + "=" * (-len(segment) % 4), altchars=b"-_", validate=True)
        told = json.loads(_inflated(packed).decode("utf-8"))
    except (binascii.Error, zlib.error, ValueError, RecursionError):
        raise _broken() from None
    if not isinstance(told, dict) or not set(told) <= set(_KEYS) or "p" not in told:
        raise _broken()
    if not all(isinstance(text, str) for text in told.values()):
        raise _broken()
    if any(_has_half_a_sign(text) for text in told.values()):
        raise _broken()
    return Bench(**{_KEYS[key]: text for key, text in told.items()})


def _has_half_a_sign(text: str) -> bool:
    """Return whether a text holds half of a surrogate pair, which JSON can tell of and no file can hold."""
    return any("\ud800" <= sign <= "\udfff" for sign in text)


def _as_json(bench: Bench) -> bytes:
    told = {key: text for key, name in _KEYS.items() if (text := getattr(bench, name)) or key == "p"}
    try:
        return json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode("utf-8")
    except UnicodeEncodeError:
        raise BenchError("a text holds signs that no file can hold; save it as UTF-8") from None


def _inflated(packed: bytes) -> bytes:
    """Return the content of a whole zlib stream and nothing behind it, or raise ValueError."""
    stream = zlib.decompressobj()
    content = stream.decompress(packed, LARGEST_BENCH)
    if not stream.eof or stream.unused_data:
        raise ValueError("too large, cut off, or followed by something")
    return content


def _broken() -> BenchError:
    return BenchError("this address does not hold a set; perhaps part of it was lost when it was copied")


class Shelf:
    """Benches too large for an address, the one used least lately going first; safe among threads."""

    def __init__(self, room: int = SHELF_ROOM) -> None:
        self._room, self._used = room, 0
        self._kept: OrderedDict[str, tuple[Bench, int]] = OrderedDict()
        self._lock = threading.Lock()

    def segment(self, bench: Bench) -> str:
        """Return the segment of an address for a bench, which is kept where no address holds it.

        Raises
        ------
        BenchError
            It is larger than anything the page takes.
        """
        content = _as_json(bench)
        if len(content) > LARGEST_BENCH:
            raise BenchError("plan and station list together are larger than 2 MB; shorten the list")
        packed = pack(bench)
        if len(packed) <= LONGEST_SEGMENT:
            return packed
        name = KEPT + hashlib.sha256(content).hexdigest()
        with self._lock:
            self._put(name, bench, len(content))
        return name

    def _put(self, name: str, bench: Bench, size: int) -> None:
        if name not in self._kept:
            self._kept[name] = bench, size
            self._used += size
        self._kept.move_to_end(name)
        while self._used > self._room and len(self._kept) > 1:
            _, (_, freed) = self._kept.popitem(last=False)
            self._used -= freed

    def bench(self, segment: str) -> Bench:
        """Return the bench of a segment.

        Raises
        ------
        BenchError
            The segment holds none.
        BenchGoneError
            It was kept, and is no more.
        """
        if not segment.startswith(KEPT):
            return unpack(segment)
        with self._lock:
            if segment not in self._kept:
                raise BenchGoneError(
                    "what this address stands for was too large for an address, and is no longer in memory"
                )
            self._kept.move_to_end(segment)
            return self._kept[segment][0]
