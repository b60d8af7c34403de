"""The first page of a class report: what cost most, with a circuit for the board; what waits."""

import math
import re
from collections import defaultdict
from dataclasses import replace
from fractions import Fraction
from functools import cache
from io import BytesIO

import pypdf
import pytest
from click import Context
from lxml import html
from rungwise.problems.analysis.nodal import Network
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.quantities.read import read_quantity
from rungwise.tutor.classroom.marking.marks import (
    ClassMarks,
    HandInState,
    QuestionOutcome,
    SetApart,
    StudentMarks,
)
from rungwise.tutor.classroom.report.blocks import report_page
from rungwise.tutor.classroom.report.document import document
from rungwise.tutor.classroom.report.figures_of_class import Report, report
from rungwise.tutor.classroom.report.first_page import MOST_SHOWN, SlipShown, shown_slips
from rungwise.tutor.cli.sheet import sheet
from rungwise.tutor.documents.html import page_html
from rungwise.tutor.documents.pages_form import Page, PageBeside, PageFigure, Table
from rungwise.tutor.documents.pages_pictures import CircuitPicture
from rungwise.tutor.documents.pdf import page_pdf
from rungwise.tutor.documents.text import page_text
from rungwise.tutor.language.texts import plain
from rungwise.tutor.phrases.skills import slip_words
from scipy import optimize

from .marked_class import HOSTILE, answered, marked
from .test_report_personal import with_real_slips


def class_of(count: int, waits: int = 0) -> ClassMarks:
    """A class, of whom so many more are missing, unread and apart, with many files set apart."""
    marks = answered(with_real_slips(marked(count, seed=5, problems=4)))
    states = (HandInState.MISSING, HandInState.UNREAD, HandInState.APART)
    others = [
        StudentMarks(
            number=count + 2 + n,
            folder="x",
            name=f"{HOSTILE[n % len(HOSTILE)]} {'of a long name ' * 20}",
            state=states[n % 3],
            file="IMG_of_a_long_name.jpeg" if n % 3 else "",
        )
        for n in range(waits)
    ]
    apart = tuple(SetApart(file="a/" + "x" * 90, what="odd", remedy="m") for _ in range(waits))
    first, *rest = marks.students
    paper = getattr(QuestionOutcome, "PAPER", QuestionOutcome.UNCLEAR)
    if waits:
        problems = tuple(
            replace(p, questions=(replace(p.questions[0], verdict=paper), *p.questions[1:]))
            for p in first.problems
        )
        first = replace(first, problems=problems)
    return replace(marks, students=(first, *rest, *others), apart=apart)


CLASS = class_of(30)
FOUND = report(CLASS)


@cache
def boards() -> tuple[SlipShown, ...]:
    return shown_slips(FOUND)


def besides_boards() -> list[PageBeside]:
    return besides(report_page(FOUND, "follow-up.toml", boards()))


def besides(page: Page) -> list[PageBeside]:
    return [b for d in page.divisions for b in d.blocks if isinstance(b, PageBeside)]


def test_the_slips_that_cost_most_against_a_recount() -> None:
    lost: dict[str, Fraction] = defaultdict(Fraction)
    who: dict[str, set[int]] = defaultdict(set)
    for student in CLASS.students:
        for question in student.questions:
            if question.verdict is QuestionOutcome.WRONG and question.slips:
                lost[question.slips[0].slip] += question.of - question.points
                who[question.slips[0].slip].add(student.number)
    dearest = sorted(lost, key=lambda slip: (-lost[slip], -len(who[slip]), slip))[:MOST_SHOWN]
    assert [shown.counted.slip for shown in boards()] == dearest
    for beside, slip in zip(besides_boards(), dearest, strict=True):
        assert slip_words(slip).lower() in beside.title.lower()
        told = beside.said[0].text  # type: ignore[union-attr]
        assert f"{len(who[slip])} of 30" in told
        assert f"{float(lost[slip]):g}." in told


def _corner(ladder: Ladder) -> float:
    """Where the gain of a one-pole circuit is 3 dB below its larger end, in Hz."""
    network = Network(ladder)

    def gain(log: float) -> float:
        return abs(network.response(math.tau * 10**log))

    top = max(gain(-6), gain(15))
    log = optimize.brentq(lambda x: gain(x) - top / math.sqrt(2), -6, 15)
    return float(10**log)


def test_the_values_printed_are_those_of_the_circuit_drawn() -> None:
    """A class that only lost prefixes and loads: right and slipped by nodal analysis."""
    students = []
    for student in CLASS.students:
        problems = tuple(
            replace(
                p,
                questions=tuple(
                    q
                    if q.slips and q.slips[0].slip in ("load-ignored", "radians-as-hertz")
                    else replace(q, slips=())
                    for q in p.questions
                ),
            )
            for p in student.problems
        )
        students.append(replace(student, problems=problems))
    found = report(replace(CLASS, students=tuple(students)))
    page = report_page(found, "", shown_slips(found))
    text = " ".join(page_text(page).split())
    seen = set()
    for beside, shown in zip(besides(page), shown_slips(found), strict=True):
        assert isinstance(beside.figure, PageFigure)
        assert isinstance(beside.figure.picture, CircuitPicture)
        ladder = beside.figure.picture.ladder
        [table] = [block for block in beside.said if isinstance(block, Table)]
        asked, right, slipped = (str(row[1]) for row in table.rows)
        assert asked == "Frequency f₀"
        corner = _corner(ladder)
        assert float(read_quantity(right, "Hz").value) == pytest.approx(corner, rel=1e-3)
        if shown.counted.slip == "radians-as-hertz":
            wrong = corner * math.tau
        else:
            wrong = _corner(replace(ladder, load=None))
        assert float(read_quantity(slipped, "Hz").value) == pytest.approx(wrong, rel=1e-3)
        assert max(wrong, corner) > 1.4 * min(wrong, corner)
        assert f"right {right}" in text and f"with the slip {slipped}" in text
        seen.add(shown.counted.slip)
    assert seen == {"load-ignored", "radians-as-hertz"}


@pytest.mark.parametrize(("count", "waits"), [(8, 9), (30, 0), (120, 120)])
def test_the_first_page_is_one_page(count: int, waits: int) -> None:
    found = report(class_of(count, waits))
    data = page_pdf(report_page(found, "follow-up.toml", shown_slips(found)))
    first, second, *_ = (p.extract_text() for p in pypdf.PdfReader(BytesIO(data)).pages)
    for heading in ("Class report", "What cost most points", "What waits"):
        assert heading in first
    assert "Points\n" not in first
    assert re.search(r"^Points$", second, re.MULTILINE)
    assert "What waits" not in second and "apart.csv" not in second
    if waits:
        for key in (
            "Missing: ",
            "Files not read: ",
            "Answers not understood: ",
            "Files set apart: ",
        ):
            assert key in first


def test_what_waits_says_who_and_names_commands_that_there_are() -> None:
    marks = class_of(12, 12)
    found = report(marks)
    page = report_page(found, "", shown_slips(found))
    [waits] = [d for d in page.divisions if d.title == "What waits"]
    [table] = [block for block in waits.blocks if isinstance(block, Table)]
    cells = [cell for row in table.cells for cell in row]
    missing = [s for s in marks.students if s.state is HandInState.MISSING]
    assert cells[0].text == f"Missing: {len(missing)}"
    assert cells[1].text.startswith(plain(missing[0].name)[:20])
    commands = set(re.findall(r"rungwise sheet (\w+)", " ".join(cell.small for cell in cells)))
    assert commands == {"mark", "enter", "settle"}
    assert commands <= set(sheet.list_commands(Context(sheet)))
    # Everybody who is in no figure stands on the last page.
    last = page.divisions[-1].blocks[-1]
    assert isinstance(last, Table)
    assert len(last.rows) == sum(s.state is not HandInState.MARKED for s in marks.students)


def test_nothing_waits_where_all_is_decided() -> None:
    marked_only = tuple(s for s in CLASS.students if s.state is HandInState.MARKED)
    calm = tuple(
        replace(
            s,
            problems=tuple(
                replace(
                    p,
                    questions=tuple(
                        replace(q, verdict=QuestionOutcome.BLANK)
                        if q.verdict is QuestionOutcome.UNCLEAR
                        else q
                        for q in p.questions
                    ),
                )
                for p in s.problems
            ),
        )
        for s in marked_only
    )
    text = page_text(report_page(report(replace(CLASS, students=calm))))
    assert "every answer is decided" in text
    assert "In no figure" not in text


def test_the_three_forms_say_the_same_and_names_are_text() -> None:
    found = report(class_of(12, 12))
    page = report_page(found, "", shown_slips(found))
    tree = html.document_fromstring(page_html(page))
    text = " ".join(page_text(page).split())
    pdf = " ".join(
        " ".join(p.extract_text() for p in pypdf.PdfReader(BytesIO(page_pdf(page))).pages).split()
    )
    assert len(tree.xpath("//div[@class='beside']//h3")) == MOST_SHOWN
    for heading in tree.xpath("//h3"):
        assert heading.text_content() in text and heading.text_content() in pdf
    for cell in tree.xpath("//div[@class='beside']//td"):
        assert cell.text_content() in text and cell.text_content() in pdf
    assert not tree.xpath("//script | //bold")
    assert "<b>bold</b>" in tree.text_content()


def test_an_anonymous_first_page_says_nothing_of_anybody() -> None:
    found = report(class_of(12, 12), anonymous=True)
    boards = shown_slips(found)
    page = report_page(found, "", boards)
    text = page_text(page)
    assert "What waits" not in text and "long name" not in text
    assert len(besides(page)) == MOST_SHOWN
    assert "long name" not in str(document(found, boards))


def test_the_document_holds_the_boards_and_what_waits() -> None:
    told: dict[str, object] = document(FOUND, boards())
    board = told["board"]
    assert isinstance(board, list)
    assert [one["slip"] for one in board] == [shown.counted.slip for shown in boards()]
    for one, beside in zip(board, besides_boards(), strict=True):
        [table] = [block for block in beside.said if isinstance(block, Table)]
        assert [one["right"], one["slipped"]] == [str(row[1]) for row in table.rows[1:]]


def test_marks_of_another_version_have_no_board_and_no_crash() -> None:
    strange = tuple(
        replace(
            s,
            problems=tuple(
                replace(
                    p,
                    family="no-such",
                    questions=tuple(replace(q, rung="no-such-kind") for q in p.questions),
                )
                for p in s.problems
            ),
        )
        for s in CLASS.students
    )
    found: Report = report(replace(CLASS, students=strange))
    boards = shown_slips(found)
    assert all(shown.board is None for shown in boards)
    assert "No small circuit" in page_text(report_page(found, "", boards))
