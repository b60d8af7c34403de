"""Workbooks and archives damaged in every way that comes to mind, and bombs: a reason each.

Each is one file of a folder of hand-ins.  What it unpacks to is counted where the standard library
unpacks, by no code of ours; what it takes of memory, by ``tracemalloc``.
"""

from __future__ import annotations

import io
import random
import re
import struct
import tempfile
import time
import tracemalloc
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from unittest.mock import patch

from rungwise.tutor.classroom.handins.workbook import MOST_UNPACKED
from rungwise.tutor.classroom.marking.folder import hand_ins
from rungwise.tutor.classroom.marking.hand_in import HandIn

from .handed_in import as_csv, as_json, as_ods, as_xlsx, typed, zipped

SLOWEST = 10.0
"""Seconds of processor time for one file; the largest that is read takes a third of it."""
MOST_MEMORY = 4 * MOST_UNPACKED
"""Bytes of memory for one file: its parts, what they are put together to, and their rows."""
Chance = random.Random
Files = dict[str, bytes]


@dataclass(frozen=True, slots=True)
class Damaged:
    """What came of some: how many of each kind, and the most that one of them took."""

    outcomes: Counter[str]
    unpacked: int
    memory: int
    seconds: float


# ------------------------------------------------------------------------------- what is damaged


@cache
def whole(kind: str, number: int) -> bytes:
    """A hand-in of a kind, as it should be."""
    answers = typed(number, 1)
    if kind == "xlsx":
        return as_xlsx(number, answers)
    if kind == "ods":
        return as_ods(number, answers)
    return zipped(
        {
            "Ann/answers.csv": as_csv(number, answers),
            "Bob/answers.json": as_json(number, answers),
            "Cem/answers.xlsx": as_xlsx(number, answers),
            "Dee/mine.zip": zipped({"answers.ods": as_ods(number, answers), "a.jpg": b"\xff\xd8"}),
        }
    )


def parts(data: bytes) -> Files:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


# --------------------------------------------------------------------------------- its bytes


def _flip(data: bytes, chance: Chance) -> bytes:
    out = bytearray(data)
    for _ in range(chance.choice((1, 2, 5, 30, 300))):
        out[chance.randrange(len(out))] ^= 1 << chance.randrange(8)
    return bytes(out)


def _cut(data: bytes, chance: Chance) -> bytes:
    return data[: chance.randrange(len(data))]


def _lose(data: bytes, chance: Chance) -> bytes:
    start = chance.randrange(len(data))
    return data[:start] + data[start + chance.choice((1, 4, 46, 500)) :]


def _cut_directory(data: bytes, chance: Chance) -> bytes:
    start = data.index(b"PK\x01\x02")
    end = data.rindex(b"PK\x05\x06")
    return chance.choice(
        (data[:start], data[:end], data[:start] + data[end:], data[start:], data[: start + 46],
         data[:start] + data[start:end] * 2 + data[end:], data + data, b"junk" * 99 + data)
    )  # fmt: skip


def _lie(data: bytes, chance: Chance) -> bytes:
    """A field of the directory says something else."""
    out = bytearray(data)
    heads = [m.start() for m in re.finditer(b"PK\x01\x02", data)]
    at = chance.choice(heads)
    # version, flags, method, time, crc, packed, unpacked, name, extra, comment, attributes, offset
    field, form = chance.choice(
        ((6, "<H"), (8, "<H"), (10, "<H"), (12, "<I"), (16, "<I"), (20, "<I"), (24, "<I"),
         (28, "<H"), (30, "<H"), (32, "<H"), (38, "<I"), (42, "<I"))
    )  # fmt: skip
    most = 2 ** (8 * struct.calcsize(form)) - 1
    value = chance.choice((0, 1, 2, 9, 12, 14, 99, 2**15, most - 1, most, chance.randrange(most)))
    struct.pack_into(form, out, at + field, min(value, most))
    return bytes(out)


def _lie_at_the_end(data: bytes, chance: Chance) -> bytes:
    out = bytearray(data)
    end = data.rindex(b"PK\x05\x06")
    field, form = chance.choice(((4, "<H"), (8, "<H"), (10, "<H"), (12, "<I"), (16, "<I")))
    most = 2 ** (8 * struct.calcsize(form)) - 1
    struct.pack_into(form, out, end + field, chance.choice((0, 1, most, chance.randrange(most))))
    if chance.random() < 0.5:  # and a directory of archives beyond 4 GiB that leads anywhere
        far = chance.randrange(2**63)
        record = struct.pack("<4sQHHIIQQQQ", b"PK\x06\x06", 44, 45, 45, 0, 0, far, far, far, far)
        place = struct.pack("<4sIQI", b"PK\x06\x07", 0, chance.choice((end, far)), 1)
        return bytes(out[:end]) + record + place + bytes(out[end:])
    return bytes(out)


def _swap(data: bytes, chance: Chance) -> bytes:
    """Members under each other's names."""
    found = parts(data)
    one, other = chance.choice(list(found)), chance.choice(list(found))
    found[one], found[other] = found[other], found[one]
    return zipped(found)


def _without(data: bytes, chance: Chance) -> bytes:
    found = parts(data)
    name = chance.choice(list(found))
    gone = found.pop(name)
    if chance.random() < 0.5:
        found[chance.choice(("xl/x.xml", "..", "/a.csv", "a/../../b.csv", "a" * 60_000))] = gone
    return zipped(found)


# --------------------------------------------------------------------------------- its XML

_PIECES = (
    b"<", b">", b"&", b"&#0;", b"&#x110000;", b"<a>", b"</a>", b"\0", b"\xff", b"<![CDATA[",
    b"<!--", b"<?x", b' r="A1"', b"<row/>", b"<c/>", b"<v>1e999</v>", b"<v>9</v>", b"<f>1</f>",
    b"<table:table-row/>", b"<text:s/>", "\u202e".encode(),
)  # fmt: skip
_VALUES = (
    b"", b"0", b"-1", b"nan", b"1e999", b"9" * 5000, b"1048577", b"XFE1", b"ZZZZ9999999999", b"A0",
    b"s", b"d", b"b", b"e", b"str", b"inlineStr", b"float", b"date", b"percentage", b"99999999",
    b"x" * 40_000, b"2026-99-99", b"\xf0\x9f\x98\x80",
)  # fmt: skip


def _xml(data: bytes, chance: Chance) -> bytes:
    """Something in one of the parts is not as it should be."""
    found = parts(data)
    names = [name for name in found if name.endswith((".xml", ".rels"))] or list(found)
    for _ in range(chance.choice((1, 1, 3))):
        name = chance.choice(names)
        one = found[name]
        if not one:
            continue
        at = chance.randrange(len(one))
        match chance.randrange(6):
            case 0:
                one = one[:at] + chance.choice(_PIECES) + one[at:]
            case 1:
                one = one[:at]
            case 2:
                one = one[:at] + one[at + chance.choice((1, 5, 50)) :]
            case 3:
                one = _flip(one, chance)
            case _:
                spots = list(re.finditer(rb'="([^"]*)"|<(?:v|t|text:p)>([^<]*)<', one))
                if spots:
                    spot = chance.choice(spots)
                    group = 1 if spot[1] is not None else 2
                    one = one[: spot.start(group)] + chance.choice(_VALUES) + one[spot.end(group) :]
        found[name] = one
    return zipped(found)


def _encode(data: bytes, chance: Chance) -> bytes:
    found = parts(data)
    name = chance.choice(list(found))
    text = found[name].decode("utf-8", "replace")
    found[name] = text.encode(chance.choice(("utf-16", "utf-32", "utf-7", "cp500")), "replace")
    return zipped(found)


# ---------------------------------------------------------------------------------- bombs


def _main_part(found: Files, chance: Chance) -> str:
    names = [n for n in found if re.fullmatch(r"xl/[\w/]+\.xml|content\.xml", n)] or list(found)
    return chance.choice(names)


def _entities(data: bytes, chance: Chance) -> bytes:
    found = parts(data)
    name = _main_part(found, chance)
    ten = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    doctype = chance.choice(
        (f'<!DOCTYPE x [<!ENTITY a0 "ha">{ten}]>', '<!DOCTYPE x SYSTEM "http://127.0.0.1/x.dtd">',
         '<!DOCTYPE x [<!ENTITY a9 SYSTEM "file:///etc/passwd">]>', "<!DOCTYPE x>")
    )  # fmt: skip
    one = re.sub(rb"^<\?xml[^>]*\?>\s*", b"", found[name])
    found[name] = doctype.encode() + re.sub(rb"(<(?:t|v|text:p)>)", rb"\1&a9;", one)
    return zipped(found)


def _ratio(data: bytes, chance: Chance) -> bytes:
    """A part that is a hundred megabytes of next to nothing."""
    found = parts(data)
    name = _main_part(found, chance)
    unit = chance.choice((b" ", b"<row/>", b"<c/>", b"<a>", b"<si><t>x</t></si>",
                          b"<table:table-row/>", b"\0"))  # fmt: skip
    size = chance.choice((1_000_000, 20_000_000, 100_000_000))
    one = found[name]
    at = one.rfind(b"</")
    stuffed = zlib.compressobj(9, wbits=-15)
    body = b"".join(
        (
            stuffed.compress(one[:at]),
            *(stuffed.compress(unit * (100_000 // len(unit))) for _ in range(size // 100_000)),
            stuffed.compress(one[at:]),
            stuffed.flush(),
        )
    )
    crc = zlib.crc32(one[:at])
    for _ in range(size // 100_000):
        crc = zlib.crc32(unit * (100_000 // len(unit)), crc)
    length = len(one) + size // 100_000 * (100_000 // len(unit)) * len(unit)
    return _with_packed(found, name, body, zlib.crc32(one[at:], crc), length)


def _with_packed(found: Files, name: str, body: bytes, crc: int, length: int) -> bytes:
    """An archive in which one member's packed bytes are given."""
    small = zipped({**found, name: b""})
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(small)) as old:
        order = old.namelist()
    out, directory = bytearray(), bytearray()
    for each in order:
        packed = body if each == name else found[each]
        method, size = (8, length) if each == name else (0, len(found[each]))
        check = crc if each == name else zlib.crc32(found[each])
        fields = (20, 0x800, method, 0, 0x5D7E, check, len(packed), size, len(each.encode()), 0)
        offset = len(out)
        out += struct.pack("<4s5HIIIHH", b"PK\x03\x04", *fields) + each.encode() + packed
        directory += struct.pack(
            "<4s6HIIIHHHHHII", b"PK\x01\x02", 20, *fields, 0, 0, 0, 0, offset
        ) + each.encode()  # fmt: skip
    end = struct.pack("<4s4HIIH", b"PK\x05\x06", 0, 0, len(order), len(order), len(directory),
                      len(out), 0)  # fmt: skip
    made.write(bytes(out) + bytes(directory) + end)
    return made.getvalue()


def _nested(data: bytes, chance: Chance) -> bytes:
    """Archives within archives, many of each."""
    inner = chance.choice((data, zipped({"a.csv": b"0" * 10_000_000})))
    for _ in range(chance.choice((2, 3, 6))):
        inner = zipped({f"{n}.zip": inner for n in range(chance.choice((1, 8)))})
    return inner


def _overlap(data: bytes, chance: Chance) -> bytes:
    """Many entries of the directory that all lead to the same bytes."""
    start, end = data.index(b"PK\x01\x02"), data.rindex(b"PK\x05\x06")
    count = chance.choice((50, 2000, 70_000))
    first = data[start:]
    lengths = struct.unpack_from("<3H", first, 28)
    entry = first[: 46 + sum(lengths)]
    directory = entry * count
    tail = struct.pack("<4s4HIIH", b"PK\x05\x06", 0, 0, count & 0xFFFF, count & 0xFFFF,
                       len(directory), start, 0)  # fmt: skip
    return data[:start] + directory + tail if end else data


def _repeated(data: bytes, chance: Chance) -> bytes:
    """One element that says that it stands for a million, or for the last row of all."""
    found = parts(data)
    for name, one in found.items():
        if name == "content.xml":
            what = chance.choice((b"table:table-row", b"table:table-cell", b"text:p"))
            more = chance.choice((b"rows", b"columns"))
            times = chance.choice((b"1048576", b"99999999999", b"-5", b"x"))
            found[name] = one.replace(
                b"<" + what, b"<" + what + b" table:number-" + more + b'-repeated="' + times + b'"'
            )
        elif name.startswith("xl/worksheets/"):
            old, new = chance.choice(
                ((b'r="2"', b'r="1048576"'), (b'r="3"', b'r="999999999999"'), (b'r="A', b'r="XFD'),
                 (b"<dimension", b'<dimension x="A1:XFD1048576"'), (b"<sheetData>",
                 b"<sheetData>" + b"<row>" * 70), (b't="inlineStr"', b't="s"'))
            )  # fmt: skip
            found[name] = one.replace(old, new)
    return zipped(found)


WAYS: tuple[Callable[[bytes, Chance], bytes], ...] = (
    _flip, _flip, _cut, _lose, _cut_directory, _lie, _lie, _lie_at_the_end, _swap, _without,
    _xml, _xml, _xml, _xml, _encode, _entities, _ratio, _nested, _overlap, _repeated,
)  # fmt: skip


def damaged(place: int, seed: int) -> tuple[str, bytes, str]:
    """(file name, bytes, way) of a damaged package; the same each time."""
    chance = Chance(f"{seed} {place}")
    kind = ("xlsx", "ods", "zip")[place % 3]
    way = WAYS[(place // 3) % len(WAYS)]
    data = way(whole(kind, 1 + place % 4), chance)
    return f"{place}.{kind}", data, way.__name__.strip("_")


# ------------------------------------------------------------------------------ what comes of it


@contextmanager
def counted() -> Iterator[list[int]]:
    """How many bytes the standard library unpacks, in the one element of a list."""
    total = [0]
    read = zipfile.ZipExtFile.read

    def counting(file: zipfile.ZipExtFile, n: int | None = -1) -> bytes:
        found = read(file, n)
        if file._compress_type != zipfile.ZIP_STORED:  # type: ignore[attr-defined]
            total[0] += len(found)
        return found

    with patch.object(zipfile.ZipExtFile, "read", counting):
        yield total


def survey(count: int, seed: int = 1, start: int = 0) -> Damaged:
    """Look at so many; what came of them.

    Raises:
        AssertionError: one of them does what none should.
    """
    outcomes: Counter[str] = Counter()
    most = [0, 0, 0.0]
    for place in range(start, start + count):
        name, data, way = damaged(place, seed)
        with tempfile.TemporaryDirectory(prefix="rungwise-") as folder, counted() as unpacked:
            (Path(folder) / name).write_bytes(data)
            tracemalloc.start()
            before = time.process_time()
            try:
                found = list(hand_ins(Path(folder)))
                memory = tracemalloc.get_traced_memory()[1]
            finally:
                tracemalloc.stop()
            seconds = time.process_time() - before
            assert [path.name for path in Path(folder).rglob("*")] == [name]
        told = f"{place} ({way})"
        for one in found:
            _check(one, told)
        kinds = {_what(one) for one in found}
        outcomes[next(k for k in ("apart", "unread", "read", "ours", "system") if k in kinds)] += 1
        assert unpacked[0] <= MOST_UNPACKED, f"{told}: {unpacked[0]:,} bytes"
        assert memory <= MOST_MEMORY, f"{told}: {memory:,} bytes of memory"
        assert seconds <= SLOWEST, f"{told}: {seconds:.1f} s"
        most = [max(pair) for pair in zip(most, (unpacked[0], memory, seconds), strict=True)]
    return Damaged(outcomes, int(most[0]), int(most[1]), most[2])


def _what(one: HandIn) -> str:
    if one.fate is not None:
        return one.fate.value
    return "read" if one.answers is not None else "unread" if one.unread else "apart"


def _check(one: HandIn, told: str) -> None:
    assert one.file.isprintable(), told
    if one.fate is None and one.answers is None:
        assert one.what and one.remedy, told
        assert one.what.isprintable() and one.remedy.isprintable(), f"{told}: {one.what!r}"
        assert len(one.what) < 400, f"{told}: {one.what!r}"
    if one.answers is not None:
        texts = [text for _, of_it in one.answers.answers for text in of_it]
        assert all(len(text) <= 1025 for text in texts), told
