"""Short keys: a table to mark by, of one sheet on a page; and one of everybody's right answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from ...problems.analysis.response import Facts, facts
from ...problems.formulas.layout import echo
from ...problems.formulas.tree import Formula
from ...problems.grading.grade import right_text
from ...problems.questions.model import Form, Problem, Question
from ...problems.sheets.inspection import chosen
from ...problems.sheets.model import Heading, Key, KeyItem, Sheet, SheetSection, Student
from ...problems.solutions.step import Equation
from ..language.texts import Words, entry, fill
from .pages import LETTERS, clean, date_text, language_of, page, shortened, who
from .pages_form import Division, Page, PageKind, Paragraph, Table
from .pages_marking import counts_as_right, right_answer, slip_rows, slips_of_choice

_LINE = 225
"""Characters side by side in a wide table."""
_NAME = 26
_APART = 2
_LIKELIEST = 4
"""Slips of a question that are told: the long key has them all."""
_DRAWN = "✎"
"""What stands for a sketch or a formula, which no table holds."""


def short_key_page(sheet: Sheet, key: Key) -> Page:
    """The right answers to a ``sheet``, which are in its ``key``, with limits and slips."""
    items = {one.number: one for one in key.items}
    divisions = tuple(_division(part, items) for part in sheet.parts)
    made = page(sheet, divisions, key=True)
    return replace(made, opening=(), note=entry("sheet", "short.note"))


def _division(part: SheetSection, items: dict[int, KeyItem]) -> Division:
    found = [items[item.number] for item in part.items]
    table = _of_boxes(found) if part.by_inspection else _of_questions(found)
    return Division(clean(part.title), (table,))


def _of_boxes(items: Sequence[KeyItem]) -> Table:
    """A row a circuit: the letter of each box, and what stands in it."""
    rungs = tuple(dict.fromkeys(q.rung for item in items for q in item.problem.questions))
    head = (entry("sheet", "short.circuit"), *(entry("sheet", f"inspect.label.{r}") for r in rungs))
    rows = []
    for item in items:
        boxes = {q.rung: _box(q) for q in item.problem.questions}
        rows.append((str(item.number), *(boxes.get(rung, "") for rung in rungs)))
    numeric = (True, *(False for _ in rungs))
    return Table(entry("sheet", "short.boxes"), head, tuple(rows), numeric, (), dense=True)


def _box(question: Question) -> str:
    ids = [choice.id for choice in question.choices]
    right = chosen(question)
    if right not in ids:
        return right_text(question)
    place = ids.index(right)
    figure = right.lstrip("+-").isdigit()
    words = Words.load().choice(question, question.choices[place])
    return f"{LETTERS[place]} {words if figure else entry('sheet', f'inspect.short.{right}')}"


def _of_questions(items: Sequence[KeyItem]) -> Table:
    head = tuple(entry("sheet", f"short.{key}") for key in ("number", "asked", "right", "slips"))
    rows = [row for item in items for row in _rows(item)]
    caption = entry("sheet", "short.answers")
    return Table(caption, head, tuple(rows), (False,) * len(head), (3, 2), dense=True)


def _rows(item: KeyItem) -> Iterator[tuple[str, ...]]:
    problem, known, words = item.problem, facts(item.problem.ladder), Words.load()
    for place, question in enumerate(problem.questions, 1):
        yield (
            f"{item.number}.{place}",
            words.title(question.rung),
            _right(question),
            _slips(problem, known, question),
        )


def _right(question: Question) -> str:
    """The right answer, and what else counts as it."""
    answer = _said(right_answer(question))
    if question.form is Form.CHOICE:
        place = LETTERS.index(answer)
        words = Words.load().choice(question, question.choices[place])
        return fill("sheet", "short.choice", [("letter", answer), ("words", words)])
    counts = counts_as_right(question)
    if question.form in (Form.COUNT, Form.SLOPE, Form.ANGLE, Form.FORMULA):
        return answer
    if question.form is Form.SKETCH:
        return "; ".join((answer, *counts))
    return fill("sheet", "short.limits", [("answer", answer), ("counts", "; ".join(counts))])


def _slips(problem: Problem, known: Facts, question: Question) -> str:
    """What slips lead to, and their names."""
    if question.choices:
        ids = [choice.id for choice in question.choices]
        of = slips_of_choice(problem, known, question)
        found = [(LETTERS[ids.index(id_)], name) for id_, name in of.items() if id_ in ids]
        told = sorted(found)
    elif question.form in (Form.FORMULA, Form.SKETCH):
        return "; ".join(row.name for row in slip_rows(problem, known, question)[:_LIKELIEST])
    else:
        rows = slip_rows(problem, known, question)[:_LIKELIEST]
        told = [(" / ".join(map(_said, row.answers)), row.name) for row in rows]
    keyed = (fill("sheet", "short.slip", [("answer", a), ("name", n)]) for a, n in told)
    return "; ".join(keyed)


def _said(answer: str | Equation) -> str:
    """An answer on one line."""
    if isinstance(answer, str):
        return answer
    return _formula(answer.formula) if answer.formula is not None else answer.lead


def _formula(formula: Formula) -> str:
    return echo(formula).replace("2·π", "2π")


# ------------------------------------------------------------------------- everybody's answers


@dataclass(frozen=True, slots=True)
class AnswerRow:
    """One student's right answers: (question number, its short text), in order."""

    student: Student
    answers: tuple[tuple[str, str], ...]


def answer_row(key: Key) -> AnswerRow:
    """The right answers of a ``key``, each as short as it can be marked by."""
    found = (
        (f"{item.number}.{place}", _short(question))
        for item in key.items
        for place, question in enumerate(item.problem.questions, 1)
    )
    return AnswerRow(key.student, tuple(found))


def _short(question: Question) -> str:
    if question.choices:
        ids = [choice.id for choice in question.choices]
        right = chosen(question)
        return LETTERS[ids.index(right)] if right in ids else right_text(question)
    if question.form in (Form.FORMULA, Form.SKETCH):
        return _DRAWN
    # Units are the question's; a column of them is hard to read down.
    return right_text(question).removesuffix(question.unit).strip()


def answer_table_page(heading: Heading, rows: Iterable[AnswerRow]) -> Page:
    """Everybody's right answers, question by question, to mark by eye.

    The ``heading`` is the sheets'; ``rows`` stand in the order in which the students' papers lie.
    """
    found = tuple(rows)
    numbers = list(dict.fromkeys(number for row in found for number, _ in row.answers))
    known = [dict(row.answers) for row in found]
    width = {n: max(len(n), *(len(one.get(n, "")) for one in known)) + _APART for n in numbers}
    first = [_named(row.student) for row in found]
    tables = []
    for columns in _fitting(numbers, width):
        head = (entry("sheet", "short.sheet"), *columns)
        body = (
            (name, *(one.get(number, "") for number in columns))
            for name, one in zip(first, known, strict=True)
        )
        numeric = (False,) * len(head)
        caption = entry("sheet", "short.table")
        tables.append(Table(caption, head, tuple(body), numeric, (), dense=True))
    return Page(
        PageKind.KEY,
        language_of(heading),
        clean(heading.title) or entry("sheet", "head.sheet"),
        tuple(filter(None, (clean(heading.course), date_text(heading.date)))),
        clean(heading.course),
        (),
        (Division("", tuple(tables)),) if tables else (),
        fill("sheet", "short.table-note", [("sign", _DRAWN)]),
        wide=True,
    )


def _named(student: Student) -> str:
    name = shortened(clean(student.name or student.id).strip(), _NAME)
    return " ".join(filter(None, (who(student), name, clean(student.variant))))


def _fitting(numbers: Iterable[str], width: dict[str, int]) -> Iterator[tuple[str, ...]]:
    """The questions in lots whose columns stand side by side on a page."""
    lot: list[str] = []
    room = _LINE - _NAME - 8
    for number in numbers:
        if lot and sum(width[one] for one in lot) + width[number] > room:
            yield tuple(lot)
            lot = []
        lot.append(number)
    if lot:
        yield tuple(lot)


def cover_page(
    heading: Heading, group: str, rows: Iterable[tuple[Student, int]], seats: dict[int, str]
) -> Page:
    """What lies on top of a group's sheets: whose they are, in this order.

    Args:
        heading: of the sheets.
        group: its name; "" for the whole class.
        rows: the students in order, and how many pages each has.
        seats: by the students' numbers.
    """
    found = tuple(rows)
    keys = ["place", "sheet", "name", "id"]
    keys += ["variant"] if any(s.variant for s, _ in found) else []
    keys += ["seat"] if any(seats.values()) else []
    keys.append("pages")

    def cells(place: int, student: Student, pages: int) -> tuple[str, ...]:
        texts = {
            "place": str(place),
            "sheet": who(student),
            "name": shortened(clean(student.name)),
            "id": shortened(clean(student.id)),
            "variant": clean(student.variant),
            "seat": clean(seats.get(student.number, "")),
            "pages": str(pages),
        }
        return tuple(texts[key] for key in keys)

    table = Table(
        entry("sheet", "cover.caption"),
        tuple(entry("sheet", f"cover.{key}") for key in keys),
        tuple(cells(place, *row) for place, row in enumerate(found, 1)),
        tuple(key in ("place", "pages") for key in keys),
        (2,),
    )
    named = fill("sheet", "cover.group", [("group", clean(group))]) if group else ""
    pages = sum(count for _, count in found)
    counted = fill("sheet", "cover.count", [("count", len(found)), ("pages", pages)])
    return Page(
        PageKind.SHEET,
        language_of(heading),
        clean(heading.title) or entry("sheet", "head.sheet"),
        tuple(filter(None, (named, clean(heading.course), date_text(heading.date)))),
        named or clean(heading.course),
        (Paragraph(counted),),
        (Division("", (table,)),),
    )
