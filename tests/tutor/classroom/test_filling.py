"""Filling a sheet in: what is taken, what is kept, and what marking makes of it."""

from __future__ import annotations

import json
from pathlib import Path

import click
import pytest
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.model import Face, Form, Rung, Task, Verdict
from rungwise.problems.questions.values import texts
from rungwise.problems.sheets.documents import answers_template, sheet_document
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import Plan, PlanSection, Student, Variant
from rungwise.tutor.classroom.handins.files import answers_csv, read_csv, read_json
from rungwise.tutor.classroom.handins.fill_in import earlier, keeper, name_of, opened, read_sheet
from rungwise.tutor.classroom.handins.filling import Filling, of_response, parts_of
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.sheet.screen import SheetScreen
from textual.widgets import Static

from tests.support.samples import sample

from .plans import mixed

STUDENT = Student(3, 'O\'Neil, "Ann" [red]x[/]', "=cmd|x")


@pytest.fixture(scope="module")
def variant() -> Variant:
    return draft(mixed(seed=19, count=2), STUDENT).variant


@pytest.fixture
def filling(variant: Variant) -> Filling:
    return Filling(variant.sheet, "03")


def truths(variant: Variant) -> dict[str, str]:
    """The right answer to each question."""
    return {
        asked.number: right_text(question)
        for item, key in zip(variant.sheet.items, variant.key.items, strict=True)
        for asked, question in zip(item.questions, key.problem.questions, strict=True)
    }


def test_every_right_answer_is_read_and_kept_as_typed(variant: Variant, filling: Filling) -> None:
    right = truths(variant)
    for place, (_, asked) in enumerate(filling.places):
        filling.go(place)
        given = filling.give(right[asked.number])
        assert not given.trouble, (asked.rung, given)
        assert given.understood
    assert filling.open == 0
    assert filling.answers == right
    for item, key in zip(variant.sheet.items, variant.key.items, strict=True):
        for asked, question in zip(item.questions, key.problem.questions, strict=True):
            mark = grade(key.problem, question, filling.document()["answers"][asked.number])
            assert mark.verdict is Verdict.RIGHT


def test_nothing_tells_right_from_wrong(variant: Variant, filling: Filling) -> None:
    for place, (_, asked) in enumerate(filling.places):
        filling.go(place)
        if asked.form is Form.CHOICE:
            found = {bool(filling.give(choice.id).trouble) for choice in asked.choices}
            assert found == {False}


def test_what_can_not_be_read_is_told_once_and_then_taken(filling: Filling) -> None:
    place = next(n for n, (_, a) in enumerate(filling.places) if a.rung is Rung.CORNER)
    filling.go(place)
    first = filling.give("4.7 kx")
    assert "kx" in first.trouble
    assert filling.text == ""
    assert filling.give("4.8 kx").trouble
    again = filling.give("4.8 kx")
    assert not again.trouble
    assert filling.text == "4.8 kx"
    filling.give("  ")
    assert filling.text == ""


def test_hostile_texts_are_bounded(filling: Filling) -> None:
    for text in ("9" * 100_000, "(" * 5000, "\x1b[2J\x00", "__import__('os')", "‮abc"):
        for place in range(len(filling.places)):
            filling.go(place)
            filling.give(text)
            filling.give(text)
            assert len(filling.text) <= 1024


def test_a_response_is_drawn_by_the_circuit_that_has_it() -> None:
    section = PlanSection(task=Task.REVERSE, ask=(Rung.WHICH_CIRCUIT,), count=12)
    made = draft(Plan("x", 3, (section,)), STUDENT).variant
    for item, key in zip(made.sheet.items, made.key.items, strict=True):
        question = key.problem.questions[0]
        right = next(c for c in question.choices if c.id == question.truth)
        assert of_response(item) == read_circuit(dict(texts(right.values))["valued"])
    assert {item.face for item in made.sheet.items} == {Face.GAIN, Face.MAP}


def test_an_answer_may_name_the_parts_that_are_shown_and_no_value_is_made_up() -> None:
    ask = (Rung.ELEMENT_VALUE, Rung.BANDWIDTH), (Rung.WHICH_CIRCUIT, Rung.CORNER)
    # Which families can be asked it takes longer to find out than all the rest.
    named = ("series-rlc-across-r", "series-fed-band-pass", "shunt-fed-notch")
    plan = Plan(
        "x",
        5,
        tuple(
            PlanSection(task=Task.REVERSE, ask=each, count=sample(3, 6), families=sample(named, ()))
            for each in ask
        ),
    )
    made = draft(plan, STUDENT).variant
    seen = set()
    for item, key in zip(made.sheet.items, made.key.items, strict=True):
        known = {e.name: e.value for e in key.problem.ladder.elements()}
        parts = {e.name: e.value for e in parts_of(item)}
        assert all(parts[name] in (None, known.get(name)) for name in parts if name in known)
        asked_for = {name for name in parts if name in item.unvalued}
        assert all(parts[name] is None for name in asked_for)
        filling = Filling(made.sheet, "03")
        place = next(n for n, (one, a) in enumerate(filling.places) if one is item)
        filling.go(place + 1)
        unknown = next((name for name, value in parts.items() if value is None), None)
        for name in (unknown, next(n for n, value in parts.items() if value is not None)):
            if name is not None:
                given = filling.give(f"3*{name}")
                assert not given.trouble
                assert ("=" in given.understood) is (parts[name] is not None)
                seen.add(parts[name] is None)
        if filling.asked.rung is Rung.BANDWIDTH:  # f0 depends on the value that is asked for
            assert filling.give("f0/2").understood == "f₀/2"
    assert seen == {True, False}


# ---------------------------------------------------------------------------------- files


def folder(path: Path, variant: Variant) -> Path:
    """A student's folder as it is made."""
    (path / "sheet.json").write_text(json.dumps(sheet_document(variant.sheet)), encoding="utf-8")
    template = answers_template(variant.sheet, "03")
    (path / "answers.json").write_text(json.dumps(template), encoding="utf-8")
    (path / "answers.csv").write_bytes(answers_csv(template).encode("utf-8-sig"))
    return path


@pytest.mark.parametrize("ending", ["json", "csv"])
def test_answers_are_in_the_file_as_soon_as_given(
    tmp_path: Path, variant: Variant, ending: str
) -> None:
    here = folder(tmp_path, variant)
    target = here / f"answers.{ending}"
    sheet = read_sheet(here / "sheet.json")
    filling = Filling(sheet, name_of(here / "sheet.json", sheet), earlier(target, "03"))
    keep = keeper(filling, target)
    right = truths(variant)
    for place, (_, asked) in enumerate(filling.places):
        filling.go(place)
        filling.give(right[asked.number])
        if place % 5 == 0:
            keep()
            data = target.read_bytes()
            found = read_csv(data) if ending == "csv" else read_json(data)
            assert {n: t for n, (t, *_) in found.answers} == filling.answers
            assert found.sheet == "03"
    keep()
    later = Filling(sheet, "03", earlier(target, "03"))
    assert later.answers == right
    assert [p.name for p in here.iterdir() if p.name.endswith(".part")] == []


def test_files_that_are_no_sheet_or_hand_in_are_refused(tmp_path: Path, variant: Variant) -> None:
    here = folder(tmp_path, variant)
    other = json.loads((here / "answers.json").read_text(encoding="utf-8")) | {"sheet": "04"}
    (here / "other.json").write_text(json.dumps(other), encoding="utf-8")
    (here / "nonsense.json").write_text("[[[", encoding="utf-8")
    for name, says in (
        ("absent.json", "no such file"),
        ("nonsense.json", "not JSON"),
        ("answers.json", "rungwise.sheet/1"),
    ):
        with pytest.raises(click.ClickException, match=says):
            read_sheet(here / name)
    for name in ("other.json", "nonsense.json"):
        before = (here / name).read_bytes()
        with pytest.raises(click.ClickException, match="Nothing was changed"):
            opened(here, here / name)
        assert (here / name).read_bytes() == before
    with pytest.raises(click.BadParameter):
        opened(here, here / "answers.txt")


# ---------------------------------------------------------------------------------- screen


def prompt(app: Rungwise) -> str:
    return str(app.screen.query_one("#prompt", Static).render())


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_whole_sheet_by_keyboard(tmp_path: Path, size: tuple[int, int]) -> None:
    variant = draft(mixed(seed=19, count=1), STUDENT).variant
    here = folder(tmp_path, variant)
    sheet = read_sheet(here / "sheet.json")
    target = here / "answers.json"
    filling = Filling(sheet, "03")
    app = Rungwise(first=SheetScreen(filling, keeper(filling, target), target.name))
    right = truths(variant)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        for _, asked in filling.places:
            assert asked.number in prompt(app)
            text = right[asked.number]
            if asked.form is Form.CHOICE:
                await pilot.press("abcdefghij"[[c.id for c in asked.choices].index(text)])
            elif asked.form is Form.SKETCH:
                answering = app.screen.query_one("AnswerControls")
                answering.restore(text)  # type: ignore[attr-defined]
            else:
                app.screen.focused.value = text  # type: ignore[union-attr]
            await pilot.press("enter")
            await pilot.pause()
        assert filling.open == 0
        # A question before, changed, and left without Enter.
        place = next(n for n, (_, a) in enumerate(filling.places) if a.rung is Rung.CORNER)
        while filling.at > place:
            await pilot.press("f3")
        await pilot.pause()
        app.screen.focused.value = "1.25 kHz"  # type: ignore[union-attr]
        await pilot.press("pagedown")
        await pilot.pause()
        assert filling.item is filling.sheet.items[1]
        await pilot.press("pageup", "ctrl+q")
        await pilot.pause()
    kept = json.loads(target.read_text(encoding="utf-8"))
    changed = filling.places[place][1].number
    assert kept["answers"] == {**right, changed: "1.25 kHz"}
    assert kept["student"] == STUDENT.id


async def test_a_file_that_can_not_be_written_is_said(variant: Variant) -> None:
    def full() -> None:
        raise OSError(28, "No space left on device")

    filling = Filling(variant.sheet, "03")
    app = Rungwise(first=SheetScreen(filling, full, "answers.json"))
    async with app.run_test(size=(120, 40), notifications=True) as pilot:
        await pilot.press("a", "enter")
        await pilot.pause()
        said = " ".join(str(n.render()) for n in app.screen.query("Note Static, Note"))
        assert "No space left" in said + " ".join(n.message for n in app._notifications)
        assert filling.answers
