"""Where there is ink on printed pages, and where their parts begin: measured, not computed."""

from __future__ import annotations

import io
import re
import struct
import zlib
from dataclasses import dataclass
from typing import Any

import pypdf
from rungwise.problems.sheets.model import Paper
from rungwise.tutor.documents import pdf, pdf_compiler
from rungwise.tutor.documents.pages_form import Page

_PPI = 12.0
_TOP, _FOOT = 25.0, 19.0
"""Millimetres of the margins, which the header and the footer stand in."""
_ITEM = re.compile(r"\s*\d+\.(\d+)?\s*\Z")
"""The number of a question or of a step, as it stands in the left column."""
_COLUMN = 58.0
"""Points from the left edge, to which nothing else begins with such a number."""
_WHITE = 250


@dataclass(frozen=True)
class PrintedPage:
    """One page, in millimetres from the top of its text.

    Attributes:
        high: how much room there is for text.
        ink: where the last ink ends.
        items: where questions and steps begin, from the top down.
    """

    high: float
    ink: float
    items: tuple[float, ...]

    @property
    def empty(self) -> float:
        """The share of the page that is white below the last ink."""
        return 1 - self.ink / self.high

    @property
    def first(self) -> float:
        """How tall what begins the page is: headings, drawing and the first question or step."""
        later = [place for place in self.items[1:] if place > 0]
        return later[0] if later else self.ink


def printed(page: Page, paper: Paper = Paper.A4) -> list[PrintedPage]:
    """The pages of a document as typst sets them.

    Args:
        page: the document.
        paper: what it is set on.
    """
    files: Any = {"main.typ": pdf._template(), "data": pdf._data(page, paper).encode()}
    drawn: Any = pdf_compiler._compiler("").compile(input=files, format="png", ppi=_PPI)
    drawn = [drawn] if isinstance(drawn, bytes) else drawn
    texts = pypdf.PdfReader(io.BytesIO(pdf.page_pdf(page, paper))).pages
    return [_page(*one) for one in zip(map(rows, drawn), texts, strict=True)]


def _page(darkest: list[int], text: pypdf.PageObject) -> PrintedPage:
    tall = 25.4 / 72 * float(text.mediabox.height)
    high = tall - _TOP - _FOOT
    places = [(n + 1) * 25.4 / _PPI - _TOP for n, dark in enumerate(darkest) if dark < _WHITE]
    found: list[float] = []

    def note(said: str, cm: list[float], tm: list[float], _font: object, _size: object) -> None:
        x, y = tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5]
        if _ITEM.match(said) and x < _COLUMN:
            found.append(tall - y * 25.4 / 72 - _TOP - 3)  # the top of its digits

    text.extract_text(visitor_text=note)
    inside = [place for place in places if 0 < place <= high]
    return PrintedPage(high, max(inside, default=0.0), tuple(sorted(found)))


def rows(png: bytes) -> list[int]:
    """The darkest sample of each row of a PNG of 8 bits a sample (W3C PNG, 9 and 13)."""
    place, packed, wide, tall, samples = 8, b"", 0, 0, 4
    while place < len(png):
        length, kind = struct.unpack(">I4s", png[place : place + 8])
        body = png[place + 8 : place + 8 + length]
        if kind == b"IHDR":
            wide, tall, depth, colour = struct.unpack(">IIBB", body[:10])
            assert depth == 8
            samples = {0: 1, 2: 3, 4: 2, 6: 4}[colour]
        elif kind == b"IDAT":
            packed += body
        place += length + 12
    data, size, found = zlib.decompress(packed), wide * samples, []
    above = bytearray(size)
    for row in range(tall):
        start = row * (size + 1)
        line = bytearray(data[start + 1 : start + 1 + size])
        _unfilter(data[start], line, above, samples)
        found.append(min(line[::samples]))
        above = line
    return found


def _unfilter(kind: int, line: bytearray, above: bytearray, back: int) -> None:
    for n in range(len(line)):
        left, up = line[n - back] if n >= back else 0, above[n]
        corner = above[n - back] if n >= back else 0
        match kind:
            case 1:
                line[n] = (line[n] + left) & 255
            case 2:
                line[n] = (line[n] + up) & 255
            case 3:
                line[n] = (line[n] + (left + up) // 2) & 255
            case 4:
                near = min((left, up, corner), key=lambda one: abs(left + up - corner - one))
                line[n] = (line[n] + near) & 255
