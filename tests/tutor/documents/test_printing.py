"""Sheets as they are printed: small circuits on a page, large print, plain letters, room, words."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from io import BytesIO

import pytest
from pypdf import PdfReader
from rungwise.problems.questions.model import Rung, Task
from rungwise.problems.sheets.inspection import ON_PAGE
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import (
    Paper,
    Plan,
    PlanSection,
    SheetError,
    Student,
    Symbols,
    Variant,
)
from rungwise.problems.sheets.plan import plan_of
from rungwise.problems.sheets.printing import PageFont, PrintOptions, Working
from rungwise.tutor.documents.drawings.schematic import schematic
from rungwise.tutor.documents.html import page_html
from rungwise.tutor.documents.pages import sheet_page
from rungwise.tutor.documents.pages_form import PageFigure, SmallCircuits
from rungwise.tutor.documents.pages_key import key_page
from rungwise.tutor.documents.pages_short_key import short_key_page
from rungwise.tutor.documents.pdf import page_pdf
from rungwise.tutor.documents.text import page_text

SEED = 2**61 + 12
ANN = Student(1, "Ann Example", "s1")
QUESTIONS = PlanSection(
    "Figures", levels=(2,), count=1, ask=(Rung.TYPE, Rung.POLES, Rung.CORNER, Rung.TRANSFER)
)
SKETCH = PlanSection("Lines", task=Task.SKETCH, levels=(2,), count=1, ask=(Rung.GAIN_SKETCH,))
LEAST = 7 / 9
"""The smallest a small circuit is drawn: its letters of 9 points have 7."""


@lru_cache(maxsize=32)
def made(plan: Plan) -> Variant:
    return draft(plan, ANN).variant


def sight(size: int, **more: object) -> Plan:
    section = PlanSection("At sight", count=size, by_inspection=size)
    return Plan("A quiz", SEED, (section,), **more)  # type: ignore[arg-type]


def mixed(printing: PrintOptions) -> Plan:
    return Plan("A quiz", SEED, (QUESTIONS, SKETCH), printing=printing)


def pdf(plan: Plan) -> PdfReader:
    data = page_pdf(sheet_page(made(plan).sheet), plan.paper)
    return PdfReader(BytesIO(data))


def letters(found: PdfReader) -> Iterator[tuple[float, str, str]]:
    """(size in points, font, text) of every piece of text."""
    pieces: list[tuple[float, str, str]] = []

    def visit(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        name = str(font["/BaseFont"]) if isinstance(font, dict) else ""
        if text.strip():
            scale = (abs(cm[0] * cm[3]) * abs(tm[0] * tm[3])) ** 0.5
            pieces.append((round(size * scale, 2), name, text.strip()))

    for page in found.pages:
        page.extract_text(visitor_text=visit)
    yield from pieces


def names(found: PdfReader) -> list[float]:
    """The sizes of the letters of parts, which are italic; their indices are upright."""
    return [
        points
        for points, font, text in letters(found)
        if "Italic" in font and re.fullmatch("[RLC]", text)
    ]


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("size", ON_PAGE)
def test_so_many_circuits_stand_on_a_page_below_the_head_of_the_sheet(
    size: int, paper: Paper
) -> None:
    found = pdf(sight(size, paper=paper))
    assert len(found.pages) == 1
    text = found.pages[0].extract_text()
    assert "Ann Example" in text
    words = text.split()
    rows = ON_PAGE[size].asked
    for number in range(1, size + 1):
        # Where four stand beside each other there is room for the number of the row alone.
        assert size == 20 or f"{number}.{rows}" in words
    assert Counter(words)["a"] >= size * rows


@pytest.mark.parametrize("symbols", Symbols)
def test_no_line_of_a_small_circuit_is_thinner_than_half_a_point(symbols: Symbols) -> None:
    for item in made(sight(20)).sheet.items:
        assert item.ladder is not None
        svg = schematic(item.ladder, symbols, values=False, small=True).svg
        widths = [float(width) for width in re.findall(r'stroke-width="([\d.]+)"', svg)]
        assert widths and min(widths) * LEAST >= 0.5


def test_names_of_parts_are_printed_in_seven_points_at_least() -> None:
    for size in (12, 20):
        sizes = names(pdf(sight(size)))
        assert len(sizes) > size and min(sizes) >= 7.0


def test_a_small_circuit_is_its_picture_and_a_row_of_letters_for_each_question() -> None:
    page = sheet_page(made(sight(12)).sheet)
    [_, grid] = page.divisions[0].blocks
    assert isinstance(grid, SmallCircuits) and grid.across == 3
    for exercise in grid.exercises:
        assert isinstance(exercise.figure, PageFigure)
        for row in exercise.asks:
            assert [option.letter for option in row.options] == list("abcde")[: len(row.options)]
    html, text = page_html(page), page_text(page)
    assert html.count('class="ticks"') == 60 and html.count('class="tick-box"') == 12 * 22
    assert "12.5  HF" in text and text.count("b) HP") == 12
    assert page.note == ""


def test_nothing_on_a_page_by_inspection_tells_its_key() -> None:
    """Two sheets whose circuits look alike have the same words around them."""
    variant = made(sight(12))
    other = replace(
        variant.sheet,
        parts=(replace(variant.sheet.parts[0], items=variant.sheet.parts[0].items[::-1]),),
    )
    words = [
        re.sub(r"[\d.]+", "", " ".join(sorted(page_text(sheet_page(sheet)).split())))
        for sheet in (variant.sheet, other)
    ]
    assert words[0] == words[1]


def test_keys_of_small_circuits_name_the_letters() -> None:
    variant = made(sight(9))
    short = page_text(short_key_page(variant.sheet, variant.key))
    long = key_page(variant.sheet, variant.key)
    for item, exercise in zip(variant.key.items, long.divisions[0].blocks, strict=True):
        assert not exercise.steps  # type: ignore[union-attr]
        for question, ask in zip(item.problem.questions, exercise.asks, strict=True):  # type: ignore[union-attr]
            [right] = [option for option in ask.options if option.right]
            if question.rung is Rung.POLES:
                assert f"{right.letter} {question.truth}" in short
    assert "For the teacher only" in short


def test_large_print_has_letters_of_eighteen_points_and_as_many_pages_as_it_needs() -> None:
    plain, large = mixed(PrintOptions()), mixed(PrintOptions(large=True))
    usual, found = pdf(plain), pdf(large)
    assert len(found.pages) > len(usual.pages)
    sizes = Counter(points for points, _, text in letters(found) for _ in text)
    assert sizes.most_common(1)[0][0] == 18.0
    # But for running heads and indices.
    assert sum(n for points, n in sizes.items() if points < 12) < sum(sizes.values()) / 20
    html = page_html(sheet_page(made(large).sheet))
    assert '<html lang="en" class="large">' in html
    assert "Ann Example" in found.pages[-1].extract_text()


def test_large_print_sets_small_circuits_one_below_the_other() -> None:
    found = pdf(sight(9, printing=PrintOptions(large=True)))
    assert 4 <= len(found.pages) <= 9
    assert min(names(found)) >= 17


def test_plain_letters_have_no_serifs() -> None:
    found = pdf(mixed(PrintOptions(font=PageFont.SANS)))
    fonts = Counter(font for _, font, text in letters(found) for _ in text)
    plain = sum(n for font, n in fonts.items() if "SourceSans" in font)
    assert plain > 0.9 * sum(fonts.values())
    html = page_html(sheet_page(made(mixed(PrintOptions(font=PageFont.SANS))).sheet))
    assert '<html lang="en" class="sans">' in html


def test_room_for_working_by_kind_of_question() -> None:
    working = Working(each=1, kinds=((Rung.CORNER, 9), (Rung.TYPE, 4)))
    page = sheet_page(made(mixed(PrintOptions(working=working))).sheet)
    asks = page.divisions[0].blocks[0].asks  # type: ignore[union-attr]
    assert [ask.answer.room for ask in asks if ask.answer] == [4, 1, 1, 9]
    # A choice has its room too, on paper as in a browser.
    roomy = Working(kinds=((Rung.TYPE, 40),))
    choice = replace(QUESTIONS, ask=(Rung.TYPE,))
    counts = [
        len(pdf(Plan("A quiz", SEED, (choice,), printing=PrintOptions(working=w))).pages)
        for w in (Working(), roomy)
    ]
    assert counts[0] < counts[1]
    html = page_html(page)
    assert "room9" in html and ".room9 {" in html and ".room4 {" in html


def test_a_quiz_on_paper_does_not_speak_of_files() -> None:
    for printing, said in ((PrintOptions(), True), (PrintOptions(answer_files=False), False)):
        page = sheet_page(made(mixed(printing)).sheet)
        assert ("answer file" in page_text(page)) is said
        assert ("answer file" in page_html(page)) is said
        ticked = page_text(sheet_page(made(sight(9, printing=printing)).sheet))
        assert ("answer file" in " ".join(ticked.split())) is said


LEAST_PLAN = {
    "format": "rungwise.plan/3",
    "title": "A quiz",
    "seed": SEED,
    "sections": [{"by_inspection": 9}],
}


def test_how_a_plan_says_it() -> None:
    table = {
        "large": True,
        "font": "sans",
        "working": {"each": 2, "corner": 6},
        "answer_files": False,
        "together": True,
        "cover": False,
        "duplex": False,
    }
    assert plan_of({**LEAST_PLAN, "print": table}).printing == PrintOptions(
        True, PageFont.SANS, Working(2, ((Rung.CORNER, 6),)), False, True, False, False
    )
    assert plan_of(LEAST_PLAN).printing == PrintOptions()
    assert plan_of({**LEAST_PLAN, "print": {"working": 3}}).printing.working == Working(3)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("large", "yes"),
        ("font", "comic"),
        ("working", -1),
        ("working", True),
        ("working", {"corner": 99}),
        ("working", {"nothing": 1}),
        ("lines", 3),
    ],
)
def test_what_a_plan_cannot_say(key: str, value: object) -> None:
    with pytest.raises(SheetError) as caught:
        plan_of({**LEAST_PLAN, "print": {key: value}})
    assert [trouble.path for trouble in caught.value.troubles] == [f"print.{key}"]
