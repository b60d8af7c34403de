"""A TrueType font in which every character is a square.

The tables are those of the OpenType specification (ISO/IEC 14496-22), each with no more in it
than has to be there.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable

EM = 1000


def font(family: str, characters: Iterable[str]) -> bytes:
    """The font file."""
    codes = sorted(set(map(ord, characters)))
    count = len(codes) + 1  # the first glyph stands for what is missing
    tables = {
        b"OS/2": _os2(),
        b"cmap": _cmap(codes),
        b"glyf": (glyph := _square()) * count,
        b"head": _head(),
        b"hhea": struct.pack(">HHhhhHhhhhhhhhhhhH", 1, 0, 800, -200, 0, EM, *[0] * 11, count),
        b"hmtx": struct.pack(">Hh", EM, 100) * count,
        b"loca": b"".join(struct.pack(">I", n * len(glyph)) for n in range(count + 1)),
        b"maxp": struct.pack(">IH13H", 0x10000, count, 4, 1, 0, 0, 2, *[0] * 8),
        b"name": _name(family),
        b"post": struct.pack(">IIhhIIIII", 0x30000, 0, -100, 50, 0, 0, 0, 0, 0),
    }
    head = struct.pack(">IHHHH", 0x10000, len(tables), 128, 3, 16 * len(tables) - 128)
    place = len(head) + 16 * len(tables)
    directory, body = b"", b""
    for tag, data in sorted(tables.items()):
        padded = data + b"\0" * (-len(data) % 4)
        total = sum(struct.unpack(f">{len(padded) // 4}I", padded)) & 0xFFFFFFFF
        directory += struct.pack(">4sIII", tag, total, place + len(body), len(data))
        body += padded
    return head + directory + body


def _square() -> bytes:
    points = ((100, 0), (900, 0), (900, 800), (100, 800))
    xs = [b[0] - a[0] for a, b in zip(((0, 0), *points), points, strict=False)]
    ys = [b[1] - a[1] for a, b in zip(((0, 0), *points), points, strict=False)]
    outline = struct.pack(">hhhhhHH", 1, 100, 0, 900, 800, 3, 0) + bytes([1] * 4)
    data = outline + struct.pack(">8h", *xs, *ys)
    return data + b"\0" * (-len(data) % 4)


def _head() -> bytes:
    return struct.pack(
        ">IIIIHHqqhhhhHHhhh",
        *(0x10000, 0x10000, 0, 0x5F0F3CF5, 0, EM, 0, 0),
        *(100, 0, 900, 800, 0, 8, 2, 1, 0),
    )


def _cmap(codes: list[int]) -> bytes:
    groups = b"".join(struct.pack(">III", code, code, n) for n, code in enumerate(codes, 1))
    table = struct.pack(">HHIII", 12, 0, 16 + len(groups), 0, len(codes)) + groups
    return struct.pack(">HHHHI", 0, 1, 3, 10, 12) + table


def _name(family: str) -> bytes:
    texts = {1: family, 2: "Regular", 4: family, 6: family.replace(" ", "")}
    data, records = b"", b""
    for number, text in texts.items():
        coded = text.encode("utf-16-be")
        records += struct.pack(">6H", 3, 1, 0x409, number, len(coded), len(data))
        data += coded
    return struct.pack(">HHH", 0, len(texts), 6 + len(records)) + records + data


def _os2() -> bytes:
    head = struct.pack(">HhHHH", 4, EM, 400, 5, 0)
    marks = struct.pack(">10h", *[0] * 10) + struct.pack(">h", 0) + bytes(10)
    ranges = struct.pack(">4I", 0, 0, 0, 0) + b"NONE"
    ends = struct.pack(">HHHhhhHH", 0x40, 0x20, 0xFFFF, 800, -200, 0, 800, 200)
    return head + marks + ranges + ends + struct.pack(">IIhhHHH", 1, 0, 500, 700, 0, 32, 1)
