"""Inputs made of others by small damage, where no coverage-guided fuzzer is installed and for a short test."""

from __future__ import annotations

import random
from collections.abc import Iterator

HOSTILE = (
    b"\0", b"\xff\xfe", b"\xef\xbb\xbf", b'"', b"'", b'"""', b"\\", b"[", b"]", b"[[", b"{", b"}", b"=", b".", b",",
    b";", b"\n", b"\r", b"\t", b"#", b"-", b"1e400", b"nan", b"inf", b"-0", b"0.1 Hz", b"9" * 50, b"\xe2\x80\xae",
    b"</script>", b"=1+1", b"\\u001b[2J", b"\x1b[2J", b"../../etc/passwd", b"300 GHz", b"1 Hz", b"0 MHz", b"unknown",
)  # fmt: skip


def mutated(seeds: tuple[bytes, ...], longest: int, drawn: random.Random) -> Iterator[bytes]:
    """Yield the seeds, then without end what damage makes of them, never more than `longest` bytes."""
    yield from seeds
    while True:
        data = drawn.choice(seeds)
        for _ in range(drawn.randint(1, 6)):
            data = _damaged(data, seeds, drawn)
        yield data[:longest]


def _damaged(data: bytes, seeds: tuple[bytes, ...], drawn: random.Random) -> bytes:
    start, end = sorted(drawn.randint(0, len(data)) for _ in range(2))
    end = min(end, start + 2 ** drawn.randint(0, 8))
    match drawn.randrange(6):
        case 0:
            return data[:start] + data[end:]
        case 1:
            return data[:start] + drawn.choice(HOSTILE) + data[start:]
        case 2:
            return data[:start] + data[start:end] * drawn.randint(2, 8) + data[end:]
        case 3:
            return data[:start] + drawn.randbytes(1) + data[start + 1 :]
        case 4:
            other = drawn.choice(seeds)
            cut = drawn.randint(0, len(other))
            return data[:start] + other[cut : cut + end - start] + data[end:]
        case _:
            digit = str(drawn.choice((0, 1, 9, 99999, 10**20))).encode()
            return data[:start] + digit + data[end:]
