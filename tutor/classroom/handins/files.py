"""Hand-ins as files: ``answers.csv`` for spreadsheets and ``answers.json`` for programs.

The table has a head and then one row a question, to be filled in its last column::

    question,asked,answer
    sheet,leave this row as it is:,03
    student,leave this row as it is:,Ann Other
    variant,leave this row as it is:,B          (only where sheets have variants)
    Q1.1,corner frequency in Hz:,
    Q1.2,filter type:,

Questions are written "Q1.10", since a spreadsheet makes the number 1.1 of "1.10" and a date of
"3.2".  The answer stands last, so that one with a comma in it, typed without quotation marks,
stays whole.  The column ``asked`` is for the eye; its cells end with a colon, so that none of
them is taken for an answer where cells were left out.

It may also come back as a workbook, which :mod:`workbook` makes rows of.

What comes back is hostile until read.  The readers take any bytes, look at no more than
:data:`MOST_BYTES` of them, and either give :class:`Answers` or raise :class:`BadTable` with a
reason and a remedy; the work they do grows with the length of the file and with nothing else.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import chain
from typing import Any

from ....problems.quantities.separators import decimal_sign
from ....problems.quantities.spelling import shown
from ....problems.sheets.model import ANSWERS_FORMAT, Sheet
from ...files.names import question_place
from ...language.texts import Words, speaker
from .cells import row, unguarded
from .table import BadTable, decoded, refused, rows
from .workbook_cells import DoubtfulText, NumberText, Workbook, WorkbookRow

MOST_BYTES = 1024 * 1024
"""Longest hand-in that is read; a sheet of a thousand questions has a tenth of it."""
MOST_ROWS = 20_000
MOST_ANSWER = 1025
"""Characters kept of an answer: one more than the grader reads, so that it says "too long"."""
MOST_LABEL = 500
"""Characters kept of a name or of what stands in place of a question's number."""
MOST_DEPTH = 4
"""Brackets within brackets in ``answers.json``; a hand-in has two."""

_IDENTIFYING = ("title", "sheet", "student", "variant")
_QUESTION, _ASKED, _ANSWER = "question", "asked", "answer"
_KEEP = "leave this row as it is:"
_NUMBER = re.compile(r"(?:q(?:uestion)?)?[ .]?(\d{1,4})[.,](\d{1,4})\.?")
ASKED_END = ":"
"""What a cell of the column ``asked`` ends with, so that it is never taken for an answer."""
_MOST_BEFORE = 20
"""Rows of a workbook's sheet before the head of its table."""
_say = speaker("handins")
_MOST_TEXTS = 4
"""Different answers kept of one question; two already need a human."""


@dataclass(frozen=True, slots=True)
class Answers:
    """What a hand-in says.

    Attributes:
        sheet: the sheet's number as it stands there; "" where it says none.
        student: the student's id or name as it stands there.
        title: the title of the sheet, where the hand-in names it.
        answers: question number ("3.2") → the different texts given; more than one where a
            question is answered twice and not alike.  Blank answers are left out.  In the
            order of the numbers.
        strays: (label, text) of answers to no question that has a number.
        notes: what is odd about the file though it was read.
        variant: the variant of the sheet, where the hand-in names it.
        doubts: question number → why nobody knows what was typed there.
        saved: when it was last saved, by its own word; ``None`` where it does not say.
        pictures: how many pictures are in it, which are not read.
    """

    sheet: str = ""
    student: str = ""
    title: str = ""
    answers: tuple[tuple[str, tuple[str, ...]], ...] = ()
    strays: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    variant: str = ""
    doubts: tuple[tuple[str, str], ...] = ()
    saved: datetime | None = None
    pictures: int = 0

    @property
    def blank(self) -> bool:
        """Whether nothing at all was answered."""
        return not (self.answers or self.strays)


def answers_csv(template: Mapping[str, Any], asked: Mapping[str, str] | None = None) -> str:
    """A template of answers as a table to be filled in.

    Args:
        template: what ``answers_template`` of a sheet gives.
        asked: question number ("3.2") → what is asked, in a few words; for the eye.

    Returns:
        The text of the file.  Written as UTF-8 with a byte order mark (``utf-8-sig``) it opens
        rightly in every spreadsheet.
    """
    told = {n: f"{what.rstrip(': ')}{ASKED_END}" for n, what in (asked or {}).items() if what}
    named = [(name, _KEEP, str(template[name])) for name in _IDENTIFYING if name in template]
    questions = [(f"Q{n}", told.get(n, ""), str(text)) for n, text in template["answers"].items()]
    return "".join(map(row, [(_QUESTION, _ASKED, _ANSWER), *named, *questions]))


def read_csv(data: bytes) -> Answers:
    """Read ``answers.csv`` as any spreadsheet saved it.

    Raises:
        BadTable: it is too long, in no known encoding, or no such table.
    """
    text, notes = decoded(data, MOST_BYTES)
    found, separator = rows(text, MOST_ROWS)
    head = next(found, None)
    if head is None:
        raise refused("table.empty")
    names = [_folded(cell) for cell in head]
    if _QUESTION in names and _ANSWER in names:
        columns = len(names), names.index(_QUESTION), names.index(_ANSWER)
    elif _label(head[0]) is not None:  # the head is missing, and its rows are clear
        columns = 3, 0, 2
        found = chain([head], found)
    else:
        raise refused("table.head", head=shown(" ".join(head).strip(), 60))
    collected = _Collected(notes)
    for cells in found:
        label, value = _cells(cells, columns, separator)
        collected.add(label, unguarded(value))
    return collected.answers()


def read_book(book: Workbook) -> Answers:
    """What a ``book`` says: its one sheet with answers; without any, one with questions.

    Raises:
        BadTable: no sheet, or more than one, holds answers.
    """
    found, troubles = [], []
    for sheet in book.sheets:
        try:
            found.append((sheet.name, _sheet_answers(sheet.rows)))
        except BadTable as error:
            troubles.append((sheet.rows, error))
    filled = [one for one in found if not one[1].blank]
    if len(filled) > 1:
        raise refused("workbook.two", first=shown(filled[0][0]), second=shown(filled[1][0]))
    if not found:
        raise next((error for rows, error in troubles if rows), refused("workbook.empty"))
    _, answers = (filled or found)[0]
    notes = answers.notes
    if book.pictures:
        notes = (*notes, _say("note.pictures", count=book.pictures))
    return replace(answers, notes=notes, saved=book.saved, pictures=book.pictures)


def _sheet_answers(found: Sequence[WorkbookRow]) -> Answers:
    first, columns, body = _table(found)
    pairs = [_cells(list(one.cells[first:]), columns, " ") for one in body]
    collected = _Collected([])
    for (label, _), value in zip(pairs, _alike([value for _, value in pairs]), strict=True):
        collected.add(label, unguarded(value))
    return collected.answers()


def _table(found: Sequence[WorkbookRow]) -> tuple[int, tuple[int, int, int], Sequence[WorkbookRow]]:
    """Where the table of answers begins in a sheet, which columns it has, and its rows."""
    heads = [[_folded(cell) for cell in one.cells] for one in found[:_MOST_BEFORE]]
    for place, names in enumerate(heads):
        if _QUESTION in names and _ANSWER in names:
            first = next(n for n, name in enumerate(names) if name)
            names = names[first:]
            columns = len(names), names.index(_QUESTION), names.index(_ANSWER)
            return first, columns, found[place + 1 :]
    for names in heads:  # the head is missing, and its rows are clear
        first = next((n for n, name in enumerate(names) if name), 0)
        if names and question_number(names[first]) is not None:
            return first, (3, 0, 2), found
    raise refused("workbook.no_questions")


def _alike(values: list[str]) -> list[str]:
    """Numbers of cells, which have a point whoever typed them, with the hand's own decimal sign.

    Where the texts beside them don't tell it, but hold a number that it decides about, a number
    is written so that it doesn't tell either.
    """
    typed = [value for value in values if not isinstance(value, NumberText | DoubtfulText)]
    sign = decimal_sign(typed)
    open_ = not sign and any(re.search(r"\d[.,]\d{3}(?!\d)", value) for value in typed)
    return [
        value
        if not isinstance(value, NumberText)
        else value.replace(".", ",")
        if sign == ","
        else re.sub(r"(?<!\d)(\d++)\.(\d++)", _without_point, value)
        if open_
        else value
        for value in values
    ]


def _without_point(match: re.Match[str]) -> str:
    return f"{match[1]}{match[2]}e-{len(match[2])}"


def read_json(data: bytes) -> Answers:
    """Read ``answers.json``.

    Raises:
        BadTable: it is too long, no JSON, or no such document.
    """
    text, notes = decoded(data, MOST_BYTES)
    _check_depth(text)
    try:
        document = json.loads(
            text,
            parse_int=str,
            parse_float=str,
            parse_constant=str,
            object_pairs_hook=_Pairs,
        )
    except (ValueError, RecursionError) as error:
        if isinstance(error, json.JSONDecodeError):
            raise refused("json.line", line=error.lineno) from None
        raise refused("json.none") from None
    if not isinstance(document, _Pairs) or document.get("format") != ANSWERS_FORMAT:
        raise refused("json.format", format=ANSWERS_FORMAT)
    collected = _Collected(notes)
    for name in _IDENTIFYING:
        for value in document.all(name):
            collected.add(name, _text(value, name))
    answers = document.all("answers")
    if len(answers) != 1 or not isinstance(answers[0], _Pairs):
        raise refused("json.no_answers")
    if len(answers[0].pairs) > MOST_ROWS:
        raise refused("json.long", most=MOST_ROWS)
    for label, value in answers[0].pairs:
        if _label(label) in _IDENTIFYING:
            collected.strays.append((label[:MOST_LABEL], _text(value, label)))
        else:
            collected.add(label, _text(value, label))
    return collected.answers()


def _cells(cells: list[str], columns: tuple[int, int, int], separator: str) -> tuple[str, str]:
    width, question, answer = columns
    kept = list(cells)
    while kept and not kept[-1].strip():
        kept.pop()
    label = kept[question] if question < len(kept) else ""
    if answer == width - 1 and question == 0:
        # All that follows is the answer, so that one with a bare comma in it stays whole.
        rest = kept[1:]
        if width > 2 and rest and (not rest[0].strip() or rest[0].rstrip().endswith(ASKED_END)):
            rest = rest[width - 2 :]
        return label, _joined(rest, separator)
    if len(kept) > width:
        raise refused("table.cells", label=shown(label))
    return label, kept[answer] if answer < len(kept) else ""


def _joined(cells: list[str], separator: str) -> str:
    """Cells as one text, of the kind that they are."""
    if len(cells) == 1:
        return cells[0]
    text = separator.join(cells)
    doubtful = next((cell for cell in cells if isinstance(cell, DoubtfulText)), None)
    if doubtful is not None:
        return DoubtfulText(text, doubtful.why)
    return NumberText(text) if cells and isinstance(cells[0], NumberText) else text


class _Pairs:
    """A JSON object with all its members, doubled ones too."""

    __slots__ = ("pairs",)

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        self.pairs = pairs

    def all(self, name: str) -> list[Any]:
        return [value for key, value in self.pairs if key == name]

    def get(self, name: str) -> Any:
        found = self.all(name)
        return found[0] if len(found) == 1 else None


_STRING = re.compile(r'"(?:[^"\\]|\\.)*+"?', re.DOTALL)


def _check_depth(text: str) -> None:
    """Refuse brackets within brackets before a parser goes down into them."""
    depth = 0
    for bracket in re.findall(r"[\[\]{}]", _STRING.sub("", text)):
        depth += 1 if bracket in "[{" else -1
        if depth > MOST_DEPTH:
            raise refused("json.deep", most=MOST_DEPTH)


def _text(value: object, label: str) -> str:
    if value is None:
        return ""
    if not isinstance(value, str):
        raise refused("json.text", label=shown(label))
    return value


def _folded(cell: str) -> str:
    # Longer than any word of ours; a letter may fold to many.
    return unicodedata.normalize("NFKC", cell.strip()[:40]).lstrip("'").casefold()


def _label(cell: str) -> str | None:
    """What a row is about: a question's number, one of the identifying words, or ``None``."""
    folded = _folded(cell)
    if folded in _IDENTIFYING:
        return folded
    match = _NUMBER.fullmatch(folded)
    return f"{int(match[1])}.{int(match[2])}" if match else None


class _Collected:
    """Rows as they come."""

    def __init__(self, notes: list[str]) -> None:
        self.notes = notes
        self.named: dict[str, str] = {}
        self.found: dict[str, list[str]] = {}
        self.strays: list[tuple[str, str]] = []
        self.doubts: dict[str, str] = {}

    def add(self, cell: str, value: str) -> None:
        why = value.why if isinstance(value, DoubtfulText) else ""
        # JSON may hold lone surrogates, which are text to nobody.
        value = value[:MOST_ANSWER].strip().encode("utf-8", "replace").decode()
        if not value:
            return
        label = _label(cell)
        if label is None:
            self.strays.append((cell[:MOST_LABEL].strip(), value))
        elif label in _IDENTIFYING:
            if self.named.setdefault(label, value[:MOST_LABEL]) != value[:MOST_LABEL]:
                first, second = shown(self.named[label]), shown(value)
                raise refused("table.two", label=label, first=first, second=second)
        else:
            texts = self.found.setdefault(label, [])
            if value not in texts and len(texts) < _MOST_TEXTS:
                texts.append(value)
            if why:
                self.doubts[label] = why

    def answers(self) -> Answers:
        return Answers(
            title=self.named.get("title", ""),
            sheet=self.named.get("sheet", ""),
            student=self.named.get("student", ""),
            variant=self.named.get("variant", ""),
            answers=tuple(
                (n, tuple(self.found[n])) for n in sorted(self.found, key=question_place)
            ),
            strays=tuple(self.strays),
            notes=tuple(self.notes),
            doubts=tuple(sorted(self.doubts.items())),
        )


def question_number(cell: str) -> str | None:
    """The number of a question, "3.2", however a cell writes it; ``None`` where it is none."""
    label = _label(cell)
    return None if label in _IDENTIFYING else label


def asked_in_words(sheet: Sheet) -> dict[str, str]:
    """What each question asks, in a few words."""
    words = Words.load()
    return {
        question.number: " ".join(
            filter(None, (words.title(question.rung), question.unit and f"in {question.unit}"))
        )
        for item in sheet.items
        for question in item.questions
    }
