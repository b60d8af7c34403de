"""Problems of sketches in the drill: drawn by keyboard, marked piece by piece, laid over."""

from __future__ import annotations

import pytest
from rungwise.problems.chance import Chance
from rungwise.problems.questions.model import Form, Rung, Task, Verdict
from rungwise.problems.questions.written import plain_truth
from rungwise.tutor.language import ascii as lettering
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.answers.answering import AnswerControls
from rungwise.tutor.screens.common.notes import Note
from rungwise.tutor.screens.drill.summit import SummitScreen
from rungwise.tutor.screens.pictures.schematic import SchematicView
from rungwise.tutor.screens.pictures.sketched import SketchedBode, SketchedPlane
from rungwise.tutor.screens.sketchpad.line import LinePad
from rungwise.tutor.screens.sketchpad.map import MapPad
from rungwise.tutor.screens.sketchpad.pad import Pad
from rungwise.tutor.screens.sketchpad.parts import SketchPaper, SketchPieces
from rungwise.tutor.screens.themes import THEMES
from textual import events
from textual.pilot import Pilot

from tests.support.samples import sample
from tests.support.sketch_keys import keys_of

from .sketch_scenes import gain, phase, plane, sketching
from .stage import (
    LARGE,
    MEDIUM,
    SMALL,
    answer_rightly,
    climb,
    drill,
    question,
    settled,
    squeezed,
    stage,
    text,
)
from .test_resuming import kept
from .test_themes import colours_wanted, legible

__all__ = ["colours_wanted"]  # a fixture for every test of a module

NARROW = (60, 20)


def pad(pilot: Pilot[None]) -> Pad:
    found = drill(pilot).query_one(AnswerControls).pad
    assert found is not None
    return found


def notes(pilot: Pilot[None]) -> str:
    return "\n".join(str(note.render()) for note in drill(pilot).query(Note))


async def to(pilot: Pilot[None], rung: Rung) -> None:
    """Skip to a sketch."""
    while question(pilot).rung is not rung:
        await pilot.press("f4")
    await pilot.pause()


@pytest.mark.parametrize(
    ("size", "level"), [(SMALL, 1), (MEDIUM, 2), (LARGE, 4), (SMALL, 6)], ids=str
)
async def test_a_whole_climb_of_sketches_by_keyboard(size: tuple[int, int], level: int) -> None:
    async with stage(size, level=level, task=Task.SKETCH) as pilot:
        sketched = 0
        while not climb(pilot).done:
            asked = question(pilot)
            if asked.form is not Form.SKETCH:
                await answer_rightly(pilot)
                continue
            sketched += 1
            await pilot.pause()
            await pilot.press(*keys_of(question(pilot)), "enter")
            mark = climb(pilot).rungs[climb(pilot).position - 1].last
            assert mark is not None and mark.verdict is Verdict.RIGHT, (asked.truth, mark)
            assert "the right one" in text(pilot)  # laid over it until Enter goes on
            await pilot.press("enter")
        assert sketched >= 2
        assert climb(pilot).summary().clean == len(climb(pilot).rungs)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, SummitScreen)


async def test_other_questions_have_the_screen_as_it_was() -> None:
    async with stage(SMALL, level=2, task=Task.SKETCH) as pilot:
        first = drill(pilot)
        assert not first.has_class("-drawing") and not drill(pilot).query(Pad)
        await to(pilot, Rung.GAIN_SKETCH)
        assert first.has_class("-drawing")
        while not climb(pilot).done:
            await pilot.press("f4")
        assert not first.has_class("-drawing")


async def test_a_wrong_sketch_shows_which_pieces_are_right_and_no_key() -> None:
    async with stage(MEDIUM, level=2, task=Task.SKETCH) as pilot:
        await to(pilot, Rung.GAIN_SKETCH)
        truth = str(plain_truth(question(pilot).truth))
        await pilot.press(
            *keys_of(question(pilot)), "down", "down", "down", "enter"
        )  # the level, 9 dB low
        mark = climb(pilot).current.last
        assert mark is not None and mark.verdict is Verdict.WRONG and mark.parts
        assert "✗ level" in text(pilot) and "✓ slope" in text(pilot)
        assert "✗ Wrong:" in notes(pilot) and "Right in it:" in notes(pilot)
        assert truth not in text(pilot) and truth not in notes(pilot)
        assert "the right one" not in text(pilot)
        await pilot.press("up", "up", "up", "enter")
        assert climb(pilot).rungs[climb(pilot).position - 1].outcome is Outcome.RIGHT


@pytest.mark.parametrize("rung", [Rung.GAIN_SKETCH, Rung.PHASE_SKETCH, Rung.MAP_SKETCH])
async def test_a_surrender_lays_the_right_sketch_over_it(rung: Rung) -> None:
    async with stage(MEDIUM, level=2, task=Task.SKETCH) as pilot:
        await to(pilot, rung)
        at = climb(pilot).position
        await pilot.press(*(["p"] if rung is Rung.MAP_SKETCH else ["a"]), "f3")
        assert climb(pilot).rungs[at].outcome is Outcome.SHOWN
        assert "the right one" in text(pilot) and "The answer:" in notes(pilot)
        assert "Enter to go on" in text(pilot)
        await pilot.press("a", "p", "tab", "down")  # the pad takes nothing more
        await pilot.press("enter")
        assert climb(pilot).done or question(pilot) is climb(pilot).rungs[at + 1].question


async def test_the_keys_of_the_drill_still_work() -> None:
    async with stage(SMALL, level=2, task=Task.SKETCH) as pilot:
        await to(pilot, Rung.GAIN_SKETCH)
        await pilot.press("2", "k", "question_mark", "f2")
        assert climb(pilot).current.hints == 2 and pad(pilot).work.typed == "2k"  # type: ignore[union-attr]
        await pilot.press("enter", "pagedown", "pageup")
        assert pad(pilot).text == "0 to 2 kHz, −20; level 0 dB"
        line = text(pilot).splitlines()[-1]
        assert "Submit" in line and "F2" in line and "F4" in line


@pytest.mark.parametrize("size", [NARROW, SMALL, MEDIUM, LARGE], ids=str)
async def test_everything_needed_is_in_sight(size: tuple[int, int]) -> None:
    async with stage(size, level=2, task=Task.SKETCH) as pilot:
        for rung in (Rung.GAIN_SKETCH, Rung.PHASE_SKETCH, Rung.MAP_SKETCH):
            await to(pilot, rung)
            await pilot.press("a", "z")
            await pilot.pause()
            shown = squeezed(pilot)
            assert "C1" in shown and "L1" in shown  # the circuit
            assert {Rung.MAP_SKETCH: "Place the poles"}.get(rung, "in straight lines") in shown
            picture = pad(pilot).query_one(SketchPaper).picture
            assert picture.height >= (7 if size == NARROW else 10)
            assert picture.width >= size[0] - 40
            assert ("move" in shown or "region" in shown) and "Enter Submit" in shown
            assert " ".join(picture.lines[0].split()) in shown


async def test_a_circuit_that_does_not_fit_can_be_scrolled() -> None:
    async with stage(NARROW, level=6, task=Task.SKETCH) as pilot:
        await to(pilot, Rung.GAIN_SKETCH)
        circuit = drill(pilot).query_one(SchematicView)
        before = pad(pilot).text
        await pilot.press(*["ctrl+right"] * 6, *["ctrl+down"] * 6)
        assert circuit.scroll_offset == (circuit.max_scroll_x, circuit.max_scroll_y) != (0, 0)
        await pilot.press(*["ctrl+left"] * 6, *["ctrl+up"] * 6)
        assert circuit.scroll_offset == (0, 0)
        assert pad(pilot).text == before and pad(pilot).has_focus


async def test_a_draft_comes_back_exactly() -> None:
    """What the record keeps of a drawing that is not submitted brings it back."""
    async with stage(SMALL, level=2, task=Task.SKETCH) as pilot:
        await to(pilot, Rung.GAIN_SKETCH)
        answering = drill(pilot).query_one(AnswerControls)
        assert answering.draft == ""
        await pilot.press("a", "down", "a", "left", "shift+tab")
        draft, drawn = answering.draft, pad(pilot).text
    async with stage(SMALL, level=2, task=Task.SKETCH) as pilot:
        await to(pilot, Rung.GAIN_SKETCH)
        answering = drill(pilot).query_one(AnswerControls)
        answering.restore("nonsense")
        assert answering.draft == ""
        answering.restore(draft)
        assert answering.draft == draft and pad(pilot).text == drawn
        found = pad(pilot)
        assert isinstance(found, LinePad) and found.desk.held == 0


@pytest.mark.parametrize("rung", [Rung.GAIN_SKETCH, Rung.MAP_SKETCH])
async def test_verdicts_come_back_with_the_draft(rung: Rung) -> None:
    """What was found wrong, then changed in one place, then left."""
    first, change = (["p"], ["z"]) if rung is Rung.MAP_SKETCH else (["a"], ["l", "down", "down"])
    async with stage(MEDIUM, level=2, task=Task.SKETCH) as pilot:
        await to(pilot, rung)
        await pilot.press(*first, "enter", *change)
        mark, draft = climb(pilot).current.last, drill(pilot).query_one(AnswerControls).draft
        assert mark is not None and mark.verdict is Verdict.WRONG
        marks, shown = dict(pad(pilot).marks), pad(pilot).query_one(SketchPaper).picture.text
    async with stage(MEDIUM, level=2, task=Task.SKETCH) as pilot:
        await to(pilot, rung)
        answering = drill(pilot).query_one(AnswerControls)
        answering.marked(mark.typed, mark)
        assert pad(pilot).text == mark.typed
        answering.restore(draft)
        assert dict(pad(pilot).marks) == marks
        assert pad(pilot).query_one(SketchPaper).picture.text == shown


STORIES = {
    "drawn": ("a", "down", "a", "left", "shift+tab"),
    "half typed": ("a", "4", "k"),
    "only typed": ("4", "k"),
    "found wrong, changed": ("a", "f2", "enter", "l", "down"),
    "given up, being read": ("a", "enter", "down", "f3"),
    "untouched": (),
}


@pytest.mark.parametrize("story", STORIES)
async def test_leaving_and_coming_back(story: str) -> None:
    """With a record: the same picture, pieces and notes on a tutor started anew."""

    def shown(pilot: Pilot[None]) -> tuple[str, ...]:
        found = drill(pilot)
        fields = found.query_one(SketchPieces)
        picture = found.query_one(SketchPaper).picture.text
        return picture, str(fields.render()), notes(pilot), str(climb(pilot).position)

    async with kept(ProblemRequest(2, None, 11, Task.SKETCH)) as pilot:
        while question(pilot).rung is not Rung.GAIN_SKETCH:
            await pilot.press("f4")
        await pilot.press(*STORIES[story])
        await settled(pilot)
        before = shown(pilot)
    async with kept() as pilot:
        for _ in range(20):  # a busy machine lays out a little later
            if shown(pilot) == before:
                break
            await pilot.pause(0.05)
        assert shown(pilot) == before


async def test_the_next_sketch_begins_with_an_empty_sheet() -> None:
    async with stage(SMALL, level=2, task=Task.SKETCH) as pilot:
        await to(pilot, Rung.MAP_SKETCH)
        await pilot.press("p", "z", "f4", "enter")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert climb(pilot).problem.seed == 8
        await to(pilot, Rung.MAP_SKETCH)
        found = pad(pilot)
        assert isinstance(found, MapPad) and found.text == "poles: none; zeros: none"


async def test_a_resize_in_the_middle_keeps_the_drawing() -> None:
    async with stage(SMALL, level=2, task=Task.SKETCH) as pilot:
        await to(pilot, Rung.GAIN_SKETCH)
        await pilot.press("a", "down", "2")
        chance = Chance(3, "resize")
        for _ in range(12):
            await pilot.resize_terminal(1 + chance.below(220), 1 + chance.below(70))
        await pilot.resize_terminal(*SMALL)
        await pilot.press("k", "enter", "enter")
        mark = climb(pilot).rungs[climb(pilot).position - 1].last or climb(pilot).current.last
        assert mark is not None and mark.typed.startswith("0 to 2 kHz, −40")


@pytest.mark.parametrize("size", [NARROW, MEDIUM], ids=str)
async def test_help_tells_of_the_pad_in_use(size: tuple[int, int]) -> None:
    async with stage(size, level=2, task=Task.SKETCH) as pilot:
        await pilot.press("f1")
        assert "piece by piece" not in squeezed(pilot)
        await pilot.press("escape")
        await to(pilot, Rung.GAIN_SKETCH)
        await pilot.press("f1")
        shown = squeezed(pilot)
        for _ in range(4):
            await pilot.press("pagedown")
            await pilot.pause()
            shown += squeezed(pilot)
        assert "piece by piece" in shown and "Add a break" in shown
        await pilot.press("escape")
        assert pad(pilot).has_focus


async def test_on_the_summit_what_was_sketched_lies_over_the_charts() -> None:
    async with stage(MEDIUM, level=2, task=Task.SKETCH) as pilot:
        await to(pilot, Rung.GAIN_SKETCH)
        await pilot.press(*keys_of(question(pilot)), "enter", "enter")
        await to(pilot, Rung.MAP_SKETCH)
        await pilot.press("p", "enter", "f3", "enter", "enter")
        await settled(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, SummitScreen)
        chart = screen.query_one("#magnitude", SketchedBode).picture
        other = screen.query_one("#phase", SketchedBode).picture
        assert "yours" in chart.text and "mine" in {span.role for span in chart.spans}
        assert "yours" not in other.text  # none was drawn
        roots = screen.query_one("#plane", SketchedPlane).picture
        assert "✗ yours: poles: 1 real; zeros: none" in roots.lines[-1]
        assert {len(line) for line in roots.lines} == {roots.width}


async def test_a_climb_without_sketches_has_a_summit_without_them() -> None:
    async with stage(MEDIUM, level=1) as pilot:
        while not climb(pilot).done:
            await pilot.press("f4")
        await pilot.press("enter")
        await settled(pilot)
        assert "yours" not in text(pilot)


async def test_sketches_are_legible_in_every_theme() -> None:
    app = sketching()
    async with app.run_test(size=MEDIUM) as pilot:
        for scene in (gain, phase, plane):
            await scene(pilot)
            for theme in THEMES:
                app.theme = theme.name
                await pilot.pause()
                await pilot.pause()
                legible(pilot, theme)


@pytest.mark.parametrize("size", sample([NARROW, MEDIUM], [NARROW, SMALL, MEDIUM]), ids=str)
async def test_sketches_on_a_terminal_of_ascii_only(size: tuple[int, int]) -> None:
    lettering.draw_in_ascii(True)
    try:
        async with stage(size, level=4, task=Task.SKETCH) as pilot:
            while not climb(pilot).done:
                if question(pilot).form is Form.SKETCH:
                    await pilot.press("a", "p", "down", "enter", "z")
                    assert text(pilot).isascii()
                    await pilot.press("f3")
                    assert text(pilot).isascii() and "right one" in text(pilot)
                    await pilot.press("enter")
                else:
                    await pilot.press("f4")
    finally:
        lettering.draw_in_ascii(False)


KEYS = (
    *("left", "right", "up", "down", "shift+left", "tab", "shift+tab", "home", "end"),
    *("enter", "enter", "enter", "escape", "delete", "backspace", "f1", "f2", "f3", "f4", "f6"),
    *("pageup", "pagedown", "ctrl+z", "ctrl+y", "f7", "ctrl+p"),
    *"adujclypzx0159.kM-?",
)
PASTES = ("4.7 kHz\n", "0 to 1 kHz, −20; level 0 dB", "\x1b[2J", "9" * 1_000_000, "\x00\u202e")


@pytest.mark.usefixtures("painted")
@pytest.mark.parametrize("seed", range(sample(2, 3)))
async def test_monkeys(seed: int) -> None:
    """140 keys a seed; ``python -m tests.journeys.monkey 20000`` plays for long."""
    chance = Chance(seed, "sketches")
    async with stage(SMALL, level=1 + 2 * seed, seed=seed, task=Task.SKETCH) as pilot:
        driver = pilot.app._driver
        assert driver is not None
        for _ in range(sample(7, 10)):
            for _ in range(20):
                pressed = chance.pick(KEYS)
                name = {"?": "question_mark", ".": "full_stop", "-": "minus"}.get(pressed, pressed)
                driver.send_message(events.Key(name, pressed if len(pressed) == 1 else None))
            await pilot.pause()
            if chance.below(4) == 0 and pilot.app.screen.focused is not None:
                pilot.app.screen.focused.post_message(events.Paste(chance.pick(PASTES)))
            if chance.below(4) == 0:
                await pilot.resize_terminal(1 + chance.below(220), 1 + chance.below(70))
            assert pilot.app._exception is None
        await pilot.resize_terminal(*SMALL)
        await settled(pilot)
        for _ in range(5):
            if pilot.app.screen is drill(pilot):
                break
            await pilot.press("escape")
        await settled(pilot)
        for _ in range(40):
            if climb(pilot).done:
                break
            await pilot.press("f4", "enter")
        assert climb(pilot).done
