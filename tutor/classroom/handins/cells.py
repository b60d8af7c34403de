"""Cells of the tables that marking writes: RFC 4180, and none that a spreadsheet would run.

A spreadsheet takes a cell that begins with ``=``, ``+``, ``-`` or ``@`` for a formula, whatever
put it there; a name in a roster or a text in a hand-in can be one.  Such a cell is given an
apostrophe in front, as a hand that types text into a spreadsheet would do (OWASP, "CSV
Injection", https://owasp.org/www-community/attacks/CSV_Injection).  The same goes for what
follows a ``;``: where that separates cells, the quotation marks of RFC 4180 do not hold a cell
together.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterable

from ...language.texts import UNPRINTABLE

_RUN = "=+-@"
_WITHIN = re.compile(r"(;\s*)([=+\-@＝＋－＠﹦﹢﹣﹫⁺⁻])")


def one_line(text: str) -> str:
    """Text as one line that can be printed anywhere: no controls, no marks that reorder it."""
    if text.isprintable():
        return " ".join(text.split())
    spaced = "".join(" " if c.isspace() else c for c in text)
    # Characters of other planes' kinds (unassigned, surrogates, private) can be shown by nobody.
    kept = "".join(c for c in UNPRINTABLE.sub("", spaced) if unicodedata.category(c)[0] != "C")
    return " ".join(kept.split())


def guarded(text: str) -> str:
    """The text as a cell that no spreadsheet takes for a formula; one line, all of it kept."""
    line = one_line(text)
    if _runs(line):
        line = f"'{line}"
    return _WITHIN.sub(r"\1'\2", line)


def unguarded(cell: str) -> str:
    """A cell without the apostrophe that :func:`guarded`, or a hand, put in front."""
    return cell[1:] if cell[:1] == "'" and _runs(cell[1:].lstrip()) else cell


def _runs(text: str) -> bool:
    # The wide and the small forms fold to the signs themselves.
    return bool(text) and unicodedata.normalize("NFKC", text[0])[:1] in tuple(_RUN)


def row(cells: Iterable[object]) -> str:
    """One line of a table, ended as RFC 4180 has it; every text guarded, numbers as they are."""
    line = io.StringIO()
    csv.writer(line, lineterminator="\r\n").writerow(
        [guarded(cell) if isinstance(cell, str) else cell for cell in cells]
    )
    return line.getvalue()
