"""Right answers and wrong ones through the whole of marking: hand-ins as CSV in, marks out.

Every student writes in one of several dialects of CSV and in a hand of their own (decimal points,
or commas); what they answer is right, or is not, by how it was made (``support/typed_kinds.py``),
or is what a known mistake leads to.  A sheet's answers are marked by ``rungwise sheet mark``
itself, once as planned and once with a wider tolerance.

``python -m tests.studies.answers_through_marking [COUNT [SEED]]`` marks so many of each (1,000);
exit status 1 where a right answer is marked wrong, more than 3 % of them are asked about, or a
wrong one is credited: with the wider tolerance, without a line of its own in ``widened.csv``, or
though a known mistake leads to it.
"""

from __future__ import annotations

import csv
import io
import json
import random
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import Literal

from click.testing import CliRunner
from rungwise.problems.analysis.response import Facts
from rungwise.problems.grading.grade import right_text
from rungwise.problems.quantities.separators import decimal_sign
from rungwise.problems.questions.model import Form, Problem, Question, Rung
from rungwise.problems.sheets.documents import key_document
from rungwise.problems.sheets.model import Heading, Key, KeyItem, Student
from rungwise.problems.slips.engine import far, predictions
from rungwise.tutor.classroom.marking.marks import ClassMarks, QuestionMark, marks_of
from rungwise.tutor.cli.sheet import sheet

from tests.support.typed_kinds import NEVER, RIGHT, WRONG, Typed, answers

from .slips_simulation import problems

PROBLEMS = 4
"""Problems of one sheet."""
WIDER = "10%"
MISTAKE = "a known mistake"
TITLE = "Answers of every spelling"

Rows = list[tuple[str, str]]


def _table(
    separator: str, quoting: Literal[0, 1] = csv.QUOTE_MINIMAL, end: str = "\r\n"
) -> Callable[[Rows], str]:
    def write(rows: Rows) -> str:
        out = io.StringIO(newline="")
        table = csv.writer(out, delimiter=separator, quoting=quoting, lineterminator=end)
        table.writerows(rows)
        return out.getvalue()

    return write


DIALECTS: tuple[tuple[str, Callable[[Rows], bytes]], ...] = (
    ("commas, UTF-8 with a mark", lambda rows: _table(",")(rows).encode("utf-8-sig")),
    ("semicolons, UTF-8", lambda rows: _table(";")(rows).encode()),
    ("tabs, UTF-16", lambda rows: _table("\t")(rows).encode("utf-16")),
    ("all quoted, line feeds", lambda rows: _table(",", csv.QUOTE_ALL, "\n")(rows).encode()),
    ("semicolons, said so", lambda rows: ("sep=;\r\n" + _table(";")(rows)).encode("utf-8-sig")),
    ("semicolons, UTF-16 without a mark", lambda rows: _table(";")(rows).encode("utf-16-le")),
)


@dataclass
class MarkedAnswers:
    """What became of the answers: (kind, what it has to be) → verdicts, and what went wrong."""

    verdicts: dict[tuple[str, str], Counter[str]] = field(default_factory=dict)
    dialects: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    wider: Counter[str] = field(default_factory=Counter)

    def count(self, truths: tuple[str, ...], *verdicts: str) -> int:
        """How many answers of a sort had one of the verdicts; of all, without one."""
        return sum(
            number
            for (_, of), counted in self.verdicts.items()
            for verdict, number in counted.items()
            if of in truths and (not verdicts or verdict in verdicts)
        )


@dataclass(frozen=True)
class _Sheet:
    """A student's key, and what they answer to each question."""

    key: Key
    typed: dict[str, Typed]
    dialect: int


def study(count: int, folder: Path, seed: int = 1) -> MarkedAnswers:
    """Have ``count`` right answers and as many wrong ones marked, in ``folder``; a few more."""
    chance = random.Random(seed)
    source = problems(sys.maxsize, first=seed)
    sheets: list[_Sheet] = []
    left = {RIGHT: count, WRONG: count}
    while any(number > 0 for number in left.values()):
        truths = (RIGHT,) if left[RIGHT] > left[WRONG] else (WRONG, NEVER, MISTAKE)
        made = _sheet(len(sheets) + 1, source, truths, chance)
        left[truths[0]] -= len(made.typed)
        sheets.append(made)
    found = MarkedAnswers()
    _make(folder, sheets, found)
    _note(found, sheets, _marked(folder), wider=False)
    marks = _marked(folder, "--tolerance", WIDER)
    lines = {(row["sheet"], row["question"]): row for row in _rows(folder, "widened.csv")}
    _note(found, sheets, marks, wider=True)
    _note_wider(found, sheets, marks, lines)
    return found


def _sheet(
    number: int,
    source: Iterator[tuple[Problem, Facts]],
    truths: tuple[str, ...],
    chance: random.Random,
) -> _Sheet:
    hand = chance.choice(("", "", ",", "."))
    items: list[KeyItem] = []
    typed: dict[str, Typed] = {}
    for place in range(1, PROBLEMS + 1):
        problem, known = next(source)
        items.append(
            KeyItem(place, replace(problem, seed=0), (Fraction(2),) * len(problem.questions))
        )
        for at, question in enumerate(problem.questions, 1):
            ways = [one for one in _ways(problem, known, question, chance) if one.truth in truths]
            ways = [one for one in ways if _fits(one, hand)]
            if ways:
                typed[f"{place}.{at}"] = chance.choice(ways)
    told = decimal_sign(one.text for one in typed.values())
    kept = {n: one for n, one in typed.items() if not one.decimal or one.decimal == told}
    if decimal_sign(one.text for one in kept.values()) != told:  # nobody could tell any more
        kept = {n: one for n, one in kept.items() if not one.decimal}
    key = Key(Heading(TITLE), Student(number, f"Student {number}"), tuple(items))
    return _Sheet(key, kept, chance.randrange(len(DIALECTS)))


def _ways(
    problem: Problem, known: Facts, question: Question, chance: random.Random
) -> Iterator[Typed]:
    """Some answers to a question, those of known mistakes among them."""
    yield from (one for one in answers(problem, known, question, chance) if one.kind != "blank")
    if question.form in (Form.SKETCH, Form.CHOICE):
        return  # of a sketch what is right has points; a choice is a mistake whichever is taken
    for found in predictions(problem.ladder, known, question):
        wrong = far(question, found.value) and not found.typed_unit
        if question.rung is Rung.LOW_PHASE and abs(question.figure) == 180:
            continue  # towards DC −180° is +180°
        if wrong and question.form is not Form.FORMULA:
            text = right_text(replace(question, truth=found.value))
            yield Typed(f"mistake in a {question.form}", MISTAKE, text)


def _fits(one: Typed, hand: str) -> bool:
    """Whether somebody who writes numbers in such a hand writes so."""
    told = decimal_sign([one.text])
    if hand == ",":  # whose 1.299 kHz are 1299 kHz
        return one.decimal == "," or (not one.decimal and "." not in one.text)
    return one.decimal in ("", ".") and told in ("", ".")


def _make(folder: Path, sheets: list[_Sheet], found: MarkedAnswers) -> None:
    """The class as `rungwise sheet make` writes it, and the hand-ins."""
    students = []
    (folder / "back").mkdir(parents=True)
    for one in sheets:
        number = one.key.student.number
        name = f"{number:03}-student-{number}"
        keys = folder / "out" / "keys" / name
        keys.mkdir(parents=True)
        text = json.dumps(key_document(one.key), ensure_ascii=False)
        (keys / "key.json").write_text(text, encoding="utf-8")
        students.append({"number": number, "folder": name, "name": one.key.student.name})
        dialect, write = DIALECTS[one.dialect]
        found.dialects[dialect] += len(one.typed)
        rows = [("question", "answer"), ("sheet", f"{number:03}"), ("title", TITLE)]
        rows += [(f"Q{n}", typed.text) for n, typed in one.typed.items()]
        (folder / "back" / f"{name}.csv").write_bytes(write(rows))
    plan = {"format": "rungwise.plan/3", "title": TITLE}
    document = {"format": "rungwise.class/1", "plan": plan, "students": students}
    (folder / "out" / "keys" / "class.json").write_text(json.dumps(document), encoding="utf-8")


def _marked(folder: Path, *options: str) -> ClassMarks:
    command = ["mark", str(folder / "out"), str(folder / "back"), "--workers", "1", *options]
    ran = CliRunner().invoke(sheet, command)
    if ran.exit_code:
        raise AssertionError(ran.output) from ran.exception
    return marks_of(json.loads((folder / "out" / "marks" / "marks.json").read_bytes()))


def _rows(folder: Path, name: str) -> list[dict[str, str]]:
    path = folder / "out" / "marks" / name
    if not path.exists():
        return []
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"), newline="")))


def _each(sheets: list[_Sheet], marks: ClassMarks) -> Iterator[tuple[Typed, QuestionMark, str]]:
    """Every answer with its mark, and what is said of it."""
    for one, student in zip(sheets, marks.students, strict=True):
        by_number = {mark.number: mark for mark in student.questions}
        families = {problem.number: problem.family for problem in student.problems}
        if not by_number:
            raise AssertionError(f"{student.name} was not marked: {student.state} {student.notes}")
        for number, typed in one.typed.items():
            mark, family = by_number[number], families[int(number.split(".")[0])]
            yield (
                typed,
                mark,
                (
                    f"{typed.kind} ({typed.truth}), {mark.rung}, {family}:"
                    f" {typed.text!r} is {mark.verdict}, {mark.understood} {mark.trouble}"
                    f" (truth {mark.answer}; {DIALECTS[one.dialect][0]})"
                ),
            )


def _note(found: MarkedAnswers, sheets: list[_Sheet], marks: ClassMarks, *, wider: bool) -> None:
    for typed, mark, told in _each(sheets, marks):
        if not wider:
            counted = found.verdicts.setdefault((typed.kind, typed.truth), Counter())
            counted[mark.verdict.value] += 1
        if typed.truth == RIGHT:
            if mark.verdict.value == "wrong" or mark.points not in (0, mark.of):
                found.faults.append(told)
            elif not mark.points and not wider:
                found.asked.append(told)
        elif mark.points and not wider:
            found.faults.append(told)


def _note_wider(
    found: MarkedAnswers,
    sheets: list[_Sheet],
    marks: ClassMarks,
    lines: dict[tuple[str, str], dict[str, str]],
) -> None:
    for one, student in zip(sheets, marks.students, strict=True):
        for mark in student.questions:
            typed = one.typed.get(mark.number)
            if typed is None or typed.truth == RIGHT:
                continue
            line = next(
                (row for (of, q), row in lines.items()
                 if int(of) == student.number and q == f"Q{mark.number}"), None,
            )  # fmt: skip
            fate = "credited" if mark.points else "not credited"
            listed = (
                "nothing is said"
                if line is None
                else (line["mistake"] and "as a mistake") or "listed"
            )
            if line is not None or mark.points:
                found.wider[f"{typed.truth}: {fate}, {listed}"] += 1
            if mark.points and (line is None or line["mistake"] or typed.truth == MISTAKE):
                found.faults.append(
                    f"{typed.text!r} ({typed.kind}) is credited by {WIDER}, {listed}"
                    f" (truth {mark.answer})"
                )


def main() -> int:
    """Mark as many as are asked for, and say what became of them."""
    count, seed = [*map(int, sys.argv[1:3]), *(1000, 1)[len(sys.argv[1:3]) :]]
    with tempfile.TemporaryDirectory() as folder:
        found = study(count, Path(folder), seed)
    for (kind, truth), counted in sorted(found.verdicts.items()):
        told = ", ".join(f"{number} {verdict}" for verdict, number in sorted(counted.items()))
        print(f"{truth:<16}{kind:<32}{told}")
    for line in (*found.faults[:60], *found.asked[:60]):
        print(line)
    print("Answers by dialect:", dict(found.dialects))
    print(f"With --tolerance {WIDER}:", dict(found.wider))
    right, wrong = found.count((RIGHT,)), found.count((WRONG, NEVER, MISTAKE))
    asked = found.count((RIGHT,), "unclear", "blank", "paper")
    share = asked / right
    print(
        f"{right:,} right answers: {found.count((RIGHT,), 'wrong')} marked wrong, {asked} asked"
        f" about ({100 * share:.2f} %); {wrong:,} others; {len(found.faults)} faults"
    )
    return int(bool(found.faults) or share > 0.03)


if __name__ == "__main__":
    sys.exit(main())
