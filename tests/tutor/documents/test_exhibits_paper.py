"""Exhibits on paper: curves read back from the drawing, fine grids, once for all who share one."""

from __future__ import annotations

import itertools
import json
import re
import xml.etree.ElementTree as ET
from fractions import Fraction

import numpy as np
import pytest
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate import predict
from rungwise.problems.questions.exhibit import Chart, Exhibit
from rungwise.problems.questions.model import Face, Problem, Rung, Task
from rungwise.problems.sheets.documents import key_document, key_of, sheet_document, sheet_of
from rungwise.problems.sheets.model import (
    FixedCircuit,
    Plan,
    PlanSection,
    ProblemLot,
    SheetError,
    Student,
    Variant,
)
from rungwise.problems.sheets.problems import check_fixed, fixed_problem
from rungwise.problems.sheets.variant import assembled
from rungwise.tutor.classroom.interchange.qti_item import QtiExercise
from rungwise.tutor.documents.drawings.axes_exhibit import ALONE, drawing
from rungwise.tutor.documents.pages import sheet_page
from rungwise.tutor.documents.pages_form import Exercise, PageQuestion
from rungwise.tutor.documents.pages_key import key_page

from tests.support.exhibits import four, gain, notch_map
from tests.support.pages import sheet_html, sheet_text

from .svg_reading import points

SVG = "{http://www.w3.org/2000/svg}"


def paths(svg: str, thick: float) -> list[list[tuple[float, float]]]:
    """The lines drawn so thick."""
    found = []
    for path in ET.fromstring(svg).iter(f"{SVG}path"):
        if path.get("stroke-width") == f"{thick:g}":
            found += points(path.get("d") or "")
    return found


@pytest.mark.parametrize("measured", [False, True])
def test_a_curve_is_drawn_through_its_points(measured: bool) -> None:
    shown = gain(measured=measured)
    svg = drawing(shown).svg
    line = [point for run in paths(svg, 1.3) for point in run]
    (frame,) = [r for r in ET.fromstring(svg).iter(f"{SVG}rect") if r.get("stroke-width") == "0.8"]
    wide, tall = float(frame.get("width") or 0), float(frame.get("height") or 0)
    labels = {
        float((t.text or "").replace("−", "-")): float(t.get("y") or 0)
        for t in ET.fromstring(svg).iter(f"{SVG}text")
        if re.fullmatch(r"−?\d+", t.text or "") and t.get("text-anchor") == "end"
    }
    assert tall == ALONE and len(labels) >= 5
    top, bottom = max(labels), min(labels)
    xs, ys = np.array(line).T
    for f, level in shown.plots[0].points:
        x = np.log10(f / 1e3) * wide
        y = (top - level) / (top - bottom) * tall
        assert np.interp(x, xs, ys) == pytest.approx(y, abs=0.35)


def test_an_edge_can_be_read_to_five_per_cent() -> None:
    """Lines of the grid stand no further apart than that, and a printer's dot twenty times."""
    for shown in (gain(), four(Chart.GAIN, together=True)):
        svg = drawing(shown).svg
        fine = [run[0][0] for run in paths(svg, 0.25) if run[0][0] == run[-1][0]]
        low, high = shown.plots[0].points[0][0], shown.plots[0].points[-1][0]
        (frame,) = [
            r for r in ET.fromstring(svg).iter(f"{SVG}rect") if r.get("stroke-width") == "0.8"
        ]
        wide = float(frame.get("width") or 0)
        places = sorted(low * (high / low) ** (x / wide) for x in {0.0, wide, *fine})
        steps = [b / a for a, b in itertools.pairwise(places)]
        assert max(steps) < 1.21 and sorted(steps)[len(steps) // 2] < 1.06
        gaps = [b - a for a, b in itertools.pairwise(sorted({*fine}))]
        assert min(gaps) > 3.0


def test_letters_name_curves_and_patterns_tell_them_apart() -> None:
    svg = drawing(four(Chart.GAIN, together=True)).svg
    bold = [t.text for t in ET.fromstring(svg).iter(f"{SVG}text") if t.get("font-weight")]
    assert sorted(filter(None, bold)) == ["a", "b", "c", "d"]
    dashes = {p.get("stroke-dasharray") for p in ET.fromstring(svg).iter(f"{SVG}path")}
    assert len(dashes) >= 4


@pytest.mark.parametrize("shown", [gain(), notch_map(), *map(four, Chart)])
def test_no_drawing_is_wider_than_its_page_and_all_have_words(shown: Exhibit) -> None:
    for room in (240.0, 480.0):
        made = drawing(shown, room)
        assert made.width <= room + 6 and made.height < 240
        assert len(made.alt) > 20 and not re.search(r"\bQ\b|√", made.alt)


# ----------------------------------------------------------------------------- whole sheets


def of(way: str, family: str) -> Problem:
    """A problem of one thing to predict."""
    for seed in range(200):
        problem = predict.generate(seed, family=family)
        if way in {rung.value for rung in (q.rung for q in problem.questions)}:
            return problem
    raise AssertionError(way)


def made(problem: Problem) -> Variant:
    plan = Plan("Predictions", 7, (PlanSection("One", "", problem.task, count=1),))
    lot = ProblemLot(0, family=problem.family, seed=problem.seed)
    return assembled(plan, Student(1, "Ann", "4711"), [lot], [problem])


def asks(page: object) -> list[PageQuestion]:
    divisions = page.divisions  # type: ignore[attr-defined]
    blocks = [block for division in divisions for block in division.blocks]
    return [ask for block in blocks if isinstance(block, Exercise) for ask in block.asks]


def test_what_is_shared_stands_once_before_the_first() -> None:
    found = made(of("read-q", "series-rlc-across-r"))
    shared = [q.exhibit for q in found.sheet.items[0].questions]
    for page in (sheet_page(found.sheet), key_page(found.sheet, found.key)):
        about = [ask.about is not None for ask in asks(page)]
        firsts = [shared.index(one) == n for n, one in enumerate(shared)]
        assert about == firsts and about[0]
    text = sheet_text(found.sheet)
    assert text.count("The gain against frequency") == sum(
        one.chart is Chart.GAIN for one in set(filter(None, shared))
    )


def test_exhibits_come_back_from_documents() -> None:
    found = made(of("read-q", "series-rlc-across-r"))
    assert sheet_of(json.loads(json.dumps(sheet_document(found.sheet)))) == found.sheet
    assert key_of(json.loads(json.dumps(key_document(found.key)))) == found.key


HIDDEN = ("read-q", "which-gain-curve", "pole-radius")


@pytest.mark.parametrize("rung", HIDDEN)
def test_a_sheet_without_its_circuit_gives_nothing_of_it_away(rung: str) -> None:
    """Neither the family nor a part nor its value, nor what is right, in any form of the sheet."""
    problem = of(rung, "series-rlc-across-r")
    assert problem.face is Face.NONE
    found = made(problem)
    document = sheet_document(found.sheet)
    texts = {"json": json.dumps(document, ensure_ascii=False), "html": sheet_html(found.sheet)}
    texts["text"] = sheet_text(found.sheet)
    for name, text in texts.items():
        assert problem.family not in text and "seed" not in text.lower(), name
        for element in problem.ladder.elements():
            assert not re.search(rf"\b{element.name}\b", text), (name, element.name)
    assert "ladder" not in texts["json"] and "truth" not in texts["json"]
    (item,) = found.sheet.items
    for asked, question in zip(item.questions, problem.questions, strict=True):
        assert asked.exhibit == question.exhibit
        if not question.choices and question.rung not in (Rung.READ_SLOPE, Rung.READ_TURN):
            assert repr(question.truth) not in texts["json"]
    assert set(document["parts"][0]["items"][0]) <= {"number", "task", "face", "questions"}


def test_items_show_the_exhibit_with_words_that_are_no_key() -> None:
    problem = of("which-gain-curve", "series-rlc-across-r")
    found = made(problem)
    (item,) = found.sheet.items
    heading = found.sheet.heading
    for ending in ("svg", "png"):
        exercise = QtiExercise("p1", item, problem, heading.symbols, "en", ending)
        items, images = exercise.made()
        shown = [one for one in items if f'<img src="x1-1.{ending}"' in one.data.decode()]
        assert shown and {"x1-1.svg", f"x1-1.{ending}"} <= set(images)
        (alt,) = re.findall(r'<img src="x1-1\.\w+" alt="([^"]+)"', shown[0].data.decode())
        assert "a:" in alt and "d:" in alt and not re.search(r"\bQ\b|√|½", alt)


def test_what_is_read_is_right_within_what_can_be_read() -> None:
    problem = of("read-q", "series-rlc-across-r")
    read = next(q for q in problem.questions if q.rung is Rung.READ_Q)
    assert read.tolerance >= Fraction(5, 100)


def test_a_typed_circuit_is_asked_what_its_plan_says() -> None:
    """Read off its curve, it is not drawn; what can't be asked of it is told."""
    tank = FixedCircuit(read_circuit("series R 1 kΩ; shunt L 10 mH || C 100 nF"), "Mine")
    asked = (Rung.READ_CORNER, Rung.READ_Q)
    section = PlanSection("One", task=Task.PREDICT, ask=asked, circuits=(tank,))
    check_fixed(section, tank)
    problem = fixed_problem(section, tank)
    assert problem.face is Face.NONE
    assert [q.rung for q in problem.questions] == list(section.ask)
    assert problem == fixed_problem(section, tank)
    one_pole = FixedCircuit(read_circuit("series R 1 kΩ; shunt C 100 nF"), "")
    with pytest.raises(SheetError, match="read-q"):
        check_fixed(section, one_pole)
