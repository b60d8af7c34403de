"""Cells of a workbook as the texts that a person sees in them, and what is doubtful about one.

A spreadsheet makes numbers and dates of what is typed.  A number is written with the digits that
it has (1590, not 1590.0); where nobody can know any longer what was typed, of a date or an error
say, the text says why it is to be looked at.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import datetime

from ...language.texts import speaker
from .cells import one_line

MOST_CELL = 4096
"""Characters kept of a cell: more than is read of an answer, a name or an id."""
MOST_ROWS = 20_000
MOST_COLUMNS = 256
MOST_PART = 16 * 1024 * 1024
"""Bytes of one part, unpacked: 20,000 rows of a roster have a quarter of it."""

_say = speaker("handins")
_PLAIN = re.compile(r"General|@|[#0?,]*[#0?](?:\.[#0?]+)?(%?)|0(?:\.0+)?E\+0+", re.IGNORECASE)
_PADDED = re.compile(r"0{2,40}")
_ASIDE = re.compile(r"\[[^\]]{0,80}\]|_.|\*.|;.*", re.DOTALL)
"""What changes a number's colour and room, and forms of negative ones."""


class NumberText(str):
    """The text of a cell that holds a number: its point says nothing of the writer's own sign."""

    __slots__ = ()


class DoubtfulText(str):
    """The text of a cell of which nobody knows what was typed; ``why`` says what happened."""

    __slots__ = ("why",)
    why: str

    def __new__(cls, text: str, why: str) -> DoubtfulText:
        """A text and what is doubtful about it."""
        found = super().__new__(cls, text)
        found.why = why
        return found


@dataclass(frozen=True, slots=True)
class WorkbookRow:
    """A row that is not empty; ``line`` is its number in the sheet, from 1."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WorkbookSheet:
    """A sheet of a workbook: its rows that are not empty."""

    name: str
    rows: tuple[WorkbookRow, ...]
    hidden: bool = False


@dataclass(frozen=True, slots=True)
class Workbook:
    """What a workbook says.

    Attributes:
        sheets: its sheets, in their order.
        saved: when it was last saved by its own word; ``None`` where it does not say.
        pictures: how many pictures are in it, which nobody reads.
    """

    sheets: tuple[WorkbookSheet, ...]
    saved: datetime | None = None
    pictures: int = 0


def text_of(value: str) -> str:
    """The text of a cell as it is kept: cut where it is far too long."""
    return value[:MOST_CELL]


def number_text(value: float, form: str = "General") -> str:
    """The number ``value`` in a cell of a spreadsheet's ``form``, as a person sees it."""
    bare = _ASIDE.sub("", form).strip() or "General"
    match = _PLAIN.fullmatch(bare)
    text = _digits(value * 100 if match and match[1] else value)
    if _PADDED.fullmatch(bare):
        text = text.zfill(len(bare))
    if match is None or not math.isfinite(value):
        return DoubtfulText(text, _say("cell.shown", form=one_line(form)[:40]))
    return NumberText(f"{text}{match[1] or ''}")


def _digits(value: float) -> str:
    """At most 15 digits, as many as a spreadsheet has."""
    if isinstance(value, int):
        return str(value)
    text = f"{value:.15g}"
    # With three digits behind it a point may be taken for a sign between thousands.
    return f"{text}0" if re.fullmatch(r"-?[1-9]\d{0,2}\.\d{3}", text) else text


def doubtful_text(shown: str, key: str, /, **values: object) -> DoubtfulText:
    """A text that a spreadsheet made something else of, or that it could not work out.

    Args:
        shown: what stands in the cell, or what it shows.
        key: of the words that say so: "date", "time", "error" or "formula".
        values: what fills them.
    """
    return DoubtfulText(text_of(shown), _say(f"cell.{key}", **values))
