"""The drill on the screen, driven by keyboard and by mouse."""

from __future__ import annotations

import time

import pytest
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.model import Form, Problem, Question, Rung, Verdict
from rungwise.problems.slips.engine import predictions
from rungwise.tutor.language.texts import Words
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.full_circuit import ENDS
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.phrases import answer_text as saying
from rungwise.tutor.screens.answers import entry
from rungwise.tutor.screens.answers.choices import Choices
from rungwise.tutor.screens.answers.entry import MAX_TYPED, AnswerInput, TypingLine
from rungwise.tutor.screens.common import answer_notes
from rungwise.tutor.screens.common.help import HelpScreen
from rungwise.tutor.screens.common.keyline import KeyLine
from rungwise.tutor.screens.common.notes import Note, Notes
from rungwise.tutor.screens.common.onward import OnwardLine
from rungwise.tutor.screens.drill.summit import SummitScreen
from rungwise.tutor.screens.pictures.circuit import Circuit
from textual import events
from textual.geometry import Region
from textual.widgets import Static

from tests.support.samples import covering, sample
from tests.tutor.learning.test_climb import wrong_text

from .stage import (
    LARGE,
    SIZES,
    SMALL,
    answer,
    answer_rightly,
    climb,
    drill,
    question,
    settled,
    squeezed,
    stage,
    text,
    type_in,
)


def notes(pilot) -> str:  # type: ignore[no-untyped-def]
    return "\n".join(str(note.render()) for note in drill(pilot).query(Note))


async def to_form(pilot, *forms: Form) -> None:  # type: ignore[no-untyped-def]
    """Skip to the next question of one of these forms."""
    while question(pilot).form not in forms:
        await pilot.press("f4")


@pytest.mark.parametrize(("level", "size"), covering([1, 2, 4, 6], SIZES))
async def test_a_whole_climb_by_keyboard(level: int, size: tuple[int, int]) -> None:
    async with stage(size, level=level) as pilot:
        while not climb(pilot).done:
            await answer_rightly(pilot)
        outcomes = {state.question.rung: state.outcome for state in climb(pilot).rungs}
        assert all(outcomes.pop(end, Outcome.SPARED) is Outcome.SPARED for end in ENDS)
        assert set(outcomes.values()) == {Outcome.CLEAN}  # and all that was asked was right
        assert climb(pilot).summary().clean == len(outcomes)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, SummitScreen)
        await pilot.press("enter")
        await settled(pilot)
        assert pilot.app.screen is drill(pilot)
        assert climb(pilot).problem.seed == 8 and climb(pilot).position == 0


@pytest.mark.parametrize("level", [1, 4])
async def test_the_ends_are_asked_after_an_error_at_the_type(level: int) -> None:
    async with stage(level=level) as pilot:
        await answer(pilot, wrong_text(question(pilot)))
        while not climb(pilot).done:
            await answer_rightly(pilot)
        first, *others = climb(pilot).rungs
        assert first.question.rung is Rung.TYPE and first.outcome is Outcome.RIGHT
        assert {*ENDS} & {state.question.rung for state in others}
        assert {state.outcome for state in others} == {Outcome.CLEAN}


async def test_a_wrong_answer_is_flagged_before_anything_else_is_asked() -> None:
    async with stage(level=1) as pilot:
        first = question(pilot)
        assert first.form is Form.CHOICE
        await answer(pilot, wrong_text(first))
        assert question(pilot) is first
        assert "✗ Wrong:" in text(pilot)
        crossed = next(line for line in text(pilot).splitlines() if "✗ " in line)
        assert crossed  # told by a sign, not by colour alone
        await answer_rightly(pilot)
        assert climb(pilot).rungs[0].outcome is Outcome.RIGHT
        assert "✓ Right." in text(pilot)


async def test_a_slip_is_named_with_its_sentence() -> None:
    async with stage((120, 40), level=1) as pilot:
        while True:
            await to_form(pilot, Form.QUANTITY)
            known = climb(pilot)
            guesses = [
                p
                for p in predictions(known.problem.ladder, known.facts, question(pilot))
                if p.in_play
            ]
            if guesses:
                break
        await type_in(pilot, f"{float(guesses[0].value):.6g}")
        mark = known.current.last
        assert mark is not None and mark.verdict is Verdict.WRONG
        assert guesses[0].slip in [hit.slip for hit in mark.slips]
        sentence = Words.load().slip(mark.slips[0])
        assert sentence in notes(pilot)


async def test_nonsense_is_explained_and_not_counted() -> None:
    async with stage(level=1) as pilot:
        await to_form(pilot, Form.COUNT, Form.QUANTITY)
        await type_in(pilot, "bananas")
        assert "Not understood:" in text(pilot) and "bananas" in notes(pilot)
        assert climb(pilot).current.wrong_tries == 0
        assert question(pilot) is drill(pilot).body.asked


async def test_typing_is_echoed_as_it_is_read() -> None:
    async with stage(level=1) as pilot:
        await to_form(pilot, Form.QUANTITY)
        await pilot.press(*"4k7")
        assert "read as 4.7 kHz" in text(pilot)
        await pilot.press("escape")
        assert "read as" not in text(pilot)
        assert drill(pilot).query_one(AnswerInput).value == ""


async def test_a_formula_is_drawn_while_it_is_typed() -> None:
    async with stage((120, 40), level=4) as pilot:
        await to_form(pilot, Form.FORMULA)
        await pilot.press(*"1/(s+1)")
        lines = text(pilot).splitlines()
        row = next(i for i, line in enumerate(lines) if "───" in line and "read as" in lines[i - 2])
        assert "1" in lines[row - 1] and "s + 1" in lines[row + 1]


@pytest.mark.parametrize("key", ["f2", "question_mark"])
async def test_three_hints_and_no_more(key: str) -> None:
    async with stage((120, 40), level=1) as pilot:
        await to_form(pilot, Form.QUANTITY)
        await pilot.press("7", key)
        assert drill(pilot).query_one(AnswerInput).value == "7"
        assert "Hint 1 of 3." in notes(pilot)
        assert not drill(pilot).query_one(Circuit)._marked
        await pilot.press(key)
        assert drill(pilot).query_one(Circuit)._marked
        await pilot.press(key, key)
        assert "Hint 3 of 3." in notes(pilot) and "No further hint." in notes(pilot)
        assert climb(pilot).current.hints == 3
        await answer_rightly(pilot)
        assert not drill(pilot).query_one(Circuit)._marked


@pytest.mark.parametrize("form", [Form.CHOICE, Form.QUANTITY])
async def test_a_surrender_shows_the_answer_and_waits(form: Form) -> None:
    async with stage(level=1) as pilot:
        await to_form(pilot, form)
        asked, place = question(pilot), climb(pilot).position
        await pilot.press("f3")
        assert climb(pilot).rungs[place].outcome is Outcome.SHOWN
        shown = (
            Words.load().choice(asked, next(c for c in asked.choices if c.id == asked.truth))
            if form is Form.CHOICE
            else right_text(asked)
        )
        assert f"The answer: {shown}" in squeezed(pilot)
        assert drill(pilot).body.asked is asked  # still there to be read
        assert drill(pilot).focused is drill(pilot).query_one(OnwardLine)
        for key in ("f2", "f3", "f4", "x", "7"):  # nothing else counts while it is read
            await pilot.press(key)
        assert climb(pilot).position == place + 1
        await pilot.press("enter")
        assert drill(pilot).body.asked is question(pilot)


async def test_no_key_on_the_screen_before_an_answer_or_a_surrender() -> None:
    for level in (2, 5):
        async with stage(LARGE, level=level) as pilot:
            while not climb(pilot).done:
                asked = question(pilot)
                if asked.form in (Form.QUANTITY, Form.RATIO, Form.FORMULA):
                    truth = right_text(asked)
                    await type_in(pilot, wrong_text(asked))
                    await pilot.press("f2", "f2")
                    assert truth not in squeezed(pilot), asked.rung
                await pilot.press("f4")
            titles = [Words.load().title(s.question.rung) for s in climb(pilot).rungs]
            assert all(title in text(pilot) for title in titles)


async def test_rungs_ahead_are_not_named() -> None:
    async with stage(LARGE, level=4) as pilot:
        ahead = [Words.load().title(s.question.rung) for s in climb(pilot).rungs[1:]]
        assert not [title for title in ahead if len(title) > 4 and title in text(pilot)]


async def test_a_climb_by_mouse_alone() -> None:
    async with stage(level=1) as pilot:
        asked = question(pilot)
        choices = drill(pilot).query_one(Choices)
        right = [choice.id for choice in asked.choices].index(str(asked.truth))
        await pilot.click(choices, offset=(9, right))
        assert choices.picked == right and climb(pilot).position == 0
        await pilot.click(choices, offset=(9, right))
        assert climb(pilot).rungs[0].outcome is Outcome.CLEAN
        line = drill(pilot).query_one(KeyLine)
        second = climb(pilot).position
        for words in ("Hint", "Show"):
            await pilot.click(line, offset=(str(line.render()).index(words), 0))
        rungs = climb(pilot).rungs
        assert rungs[second].outcome is Outcome.SHOWN and rungs[second].hints == 1
        await pilot.click(OnwardLine)
        await pilot.click(line, offset=(str(line.render()).index("Skip"), 0))
        assert rungs[second + 1].outcome is Outcome.SKIPPED


async def test_notes_scroll_by_keyboard() -> None:
    async with stage(SMALL, level=4) as pilot:
        await to_form(pilot, Form.QUANTITY)
        await pilot.press("f2", "f2", "f2")
        await pilot.pause()
        assert "Hint 3 of 3." in text(pilot) and "Hint 1 of 3." not in text(pilot)
        for _ in range(5):
            await pilot.press("pageup")
        assert "Hint 1 of 3." in text(pilot)
        for _ in range(5):
            await pilot.press("pagedown")
        assert "Hint 1 of 3." not in text(pilot)


async def test_an_enter_too_many_answers_nothing() -> None:
    async with stage(level=1) as pilot:
        await pilot.press("enter", "enter")
        assert not climb(pilot).current.marks
        await answer_rightly(pilot)
        second = question(pilot)
        await pilot.press("enter", "enter", "enter")
        assert question(pilot) is second and not climb(pilot).current.marks


async def test_keys_faster_than_marks_answer_no_later_question() -> None:
    async with stage(level=1) as pilot:
        asked = question(pilot)
        right = [choice.id for choice in asked.choices].index(str(asked.truth))
        choices = drill(pilot).query_one(Choices)
        choices.action_pick(right)
        for _ in range(5):  # submitted five times before the screen can mark the first
            choices.action_submit()
        await pilot.pause()
        first, *later = climb(pilot).rungs
        assert first.outcome is Outcome.CLEAN and len(first.marks) == 1
        assert not any(state.marks for state in later)


async def test_choices_by_arrows_and_letters() -> None:
    async with stage(level=1) as pilot:
        choices = drill(pilot).query_one(Choices)
        last = len(question(pilot).choices) - 1
        for keys, picked in (
            (["down"], 0),
            (["down"], 1),
            (["home"], 0),
            (["up"], last),
            (["end"], last),
            (["down"], 0),
            (["b"], 1),
            (["1"], 0),
            (["z"], 0),
        ):
            await pilot.press(*keys)
            assert choices.picked == picked, keys
        choices.ask(["x", "y"])
        await pilot.press("up")
        assert choices.picked == 1


async def test_a_paste_of_a_megabyte_is_cut() -> None:
    async with stage(level=1) as pilot:
        await to_form(pilot, Form.QUANTITY)
        line = drill(pilot).query_one(AnswerInput)
        line.post_message(events.Paste("9" * 1_000_000))
        await pilot.pause()
        assert len(line.value) == MAX_TYPED
        await pilot.press("enter")
        assert climb(pilot).current.wrong_tries + len(climb(pilot).current.marks) >= 1
        line.post_message(events.Paste("\x1b[2J\x00evil\n[red]1[/red]"))
        await pilot.pause()
        assert "\x1b" not in line.value


async def test_a_text_that_takes_long_to_read_is_not_read_at_every_key(monkeypatch) -> None:
    """The readings are measured here, since the counted work bounds them on no slow machine."""
    reads = []

    def slow(climb, question, typed, width):
        reads.append(typed)
        start = time.thread_time()
        while time.thread_time() - start < 2 * entry.SLOWEST:
            pass
        return [f"seen {typed}"]

    async with stage(level=1) as pilot:
        await to_form(pilot, Form.QUANTITY)
        monkeypatch.setattr(saying, "echo", slow)
        await pilot.press("4", "7")
        assert reads == ["4", "47"]
        assert "seen 47" in squeezed(pilot)
        await pilot.press("0", "0", "k")
        assert reads == ["4", "47"]
        assert "Slow to read: press Enter." in squeezed(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert len(climb(pilot).current.marks) + climb(pilot).position >= 1
        drill(pilot).query_one(TypingLine).line.value = ""
        await pilot.press("5")
        assert reads[-1] == "5"


async def test_one_slow_reading_alone_changes_nothing(monkeypatch) -> None:
    """The first reading of a session loads modules, and the collector has its pauses."""
    reads = []

    def slow_once(climb, question, typed, width):
        reads.append(typed)
        start = time.thread_time()
        while len(reads) == 1 and time.thread_time() - start < 2 * entry.SLOWEST:
            pass
        return [f"seen {typed}"]

    async with stage(level=1) as pilot:
        await to_form(pilot, Form.QUANTITY)
        monkeypatch.setattr(saying, "echo", slow_once)
        await pilot.press("4", "7", "1")
        assert reads == ["4", "47", "471"]
        assert "seen 471" in squeezed(pilot)


async def test_what_is_typed_is_never_markup() -> None:
    async with stage(level=1) as pilot:
        await to_form(pilot, Form.QUANTITY)
        await type_in(pilot, "[bold red]7[/]")
        assert "[bold red]7[/]" in squeezed(pilot)


async def test_the_screen_asks_for_room_and_keeps_what_is_typed() -> None:
    async with stage(level=1) as pilot:
        await to_form(pilot, Form.QUANTITY)
        await pilot.press(*"4.7 k".replace(" ", ""))
        for size in ((30, 10), (59, 24), (80, 19), (5, 3), (1, 1)):
            await pilot.resize_terminal(*size)
            assert "Hint" not in text(pilot)
        await pilot.resize_terminal(30, 10)
        assert "at least 60 columns by 20 rows" in squeezed(pilot)
        await pilot.resize_terminal(*SMALL)
        assert drill(pilot).query_one(AnswerInput).value == "4.7k"
        await pilot.press("7")
        assert drill(pilot).query_one(AnswerInput).value == "4.7k7"


@pytest.mark.parametrize(("level", "size"), covering(range(1, 7), [(60, 20), *SIZES]))
async def test_prompt_and_answer_are_in_sight(level: int, size: tuple[int, int]) -> None:
    async with stage(size, level=level) as pilot:
        while not climb(pilot).done:
            shown = squeezed(pilot)
            asked = question(pilot)
            prompt = Words.load().prompt(asked)
            assert prompt.split("?")[0].split(". ")[0][:40] in shown, (size, asked.rung)
            control = drill(pilot).query_one(Choices if asked.form is Form.CHOICE else TypingLine)
            assert control.region.bottom <= size[1] - 1, (size, asked.rung)
            await pilot.press("f4")


async def explained(pilot, room: int) -> tuple[int, int]:  # type: ignore[no-untyped-def]
    """(rows of the newest note, rows of it in sight); its first row must be in sight."""
    note = [*drill(pilot).query(Note)][-1]
    shown = drill(pilot).query_one(Notes).region.intersection(Region(0, 0, 80, room - 1))
    assert note.region.height and note.region.y >= shown.y and note.region.y < shown.bottom
    return note.region.height, note.region.intersection(shown).height


@pytest.mark.parametrize("part", sample([0], [0, 1, 2, 3]))
async def test_what_explains_a_wrong_answer_is_in_sight_at_80_by_24(part: int) -> None:
    """Of a sixteenth of the families; ``python -m tests.studies.explained_in_sight`` asks all."""
    whole, cut = await explained_in_sight([family.name for family in FAMILIES][part::16])
    assert len(cut) <= whole * 0.05, (whole, cut)


async def explained_in_sight(families: list[str]) -> tuple[int, list[tuple[str, Rung, int, int]]]:
    """Of every question to be chosen from, the longest of the explanations, at 80 by 24.

    How many are in sight as a whole, and those that are not: a list of several slips begins at
    the top and turns page by page.
    """
    whole = 0
    cut = []
    async with stage(SMALL, level=1) as pilot:
        for family in families:
            wish = ProblemRequest(None, family, 1)
            problem = wish.problem()
            drill(pilot).fetch(wish)
            await settled(pilot)
            await settled(pilot)
            assert climb(pilot).problem == problem
            while not climb(pilot).done:
                asked = question(pilot)
                if asked.form is Form.CHOICE:
                    wrong = [c.id for c in asked.choices if c.id != asked.truth]
                    longest = max(wrong, key=lambda c, q=asked: said(problem, q, c))  # type: ignore[misc]
                    await answer(pilot, longest)
                    await pilot.pause()
                    await pilot.pause()
                    rows, seen = await explained(pilot, SMALL[1])
                    if rows == seen:
                        whole += 1
                    else:
                        cut.append((family, asked.rung, rows, seen))
                        assert seen >= 2, cut
                        for _ in range(rows):
                            await pilot.press("pagedown")
                        note = [*drill(pilot).query(Note)][-1]
                        shown = drill(pilot).query_one(Notes).region
                        assert note.region.bottom <= shown.bottom
                await pilot.press("f4")
    return whole, cut


def said(problem: Problem, asked: Question, choice: str) -> int:
    """How long the explanation of a wrong choice is."""
    return len("".join(answer_notes.of_mark(asked, grade(problem, asked, choice))))


async def test_choices_lie_closer_once_one_was_wrong() -> None:
    async with stage(SMALL, level=1) as pilot:
        choices = drill(pilot).query_one(Choices)
        asked = question(pilot)
        before = choices.size.height
        wrong = next(i for i, c in enumerate(asked.choices) if c.id != asked.truth)
        await answer(pilot, asked.choices[wrong].id)
        await pilot.pause()
        assert choices.size.height < before
        ids = [choice.id for choice in asked.choices]
        for i, words in enumerate(choices._words):  # every one in sight, and clicked where it is
            line = next(n for n, row in enumerate(text(pilot).splitlines()) if f" {words} " in row)
            col = text(pilot).splitlines()[line].index(words)
            await pilot.click(offset=(col, line))
            assert choices.picked == i or i == ids.index(str(asked.truth))
        await answer_rightly(pilot)
        assert climb(pilot).rungs[0].outcome is Outcome.RIGHT


async def test_the_keys_that_work_now_are_shown() -> None:
    async with stage(SMALL, level=1) as pilot:
        line = str(drill(pilot).query_one(KeyLine).render())
        for key in ("Enter", "F1", "F2", "F3", "F4", "F5", "^Q"):
            assert key in line
        await pilot.press("f3")
        line = str(drill(pilot).query_one(KeyLine).render())
        assert "Go on" in line and "Hint" not in line and "Skip" not in line


async def test_help_and_palette_open_and_close() -> None:
    async with stage((120, 40), level=1) as pilot:
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HelpScreen)
        await pilot.press("f1")
        await pilot.pause()
        assert pilot.app.screen is drill(pilot)
        await pilot.press("ctrl+p")
        await pilot.pause()
        assert pilot.app.screen is not drill(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is drill(pilot)


async def test_the_palette_holds_what_has_a_key() -> None:
    async with stage((120, 40), level=1) as pilot:
        await pilot.press("ctrl+p")
        await pilot.pause()
        await pilot.press(*"skip")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert climb(pilot).rungs[0].outcome is Outcome.SKIPPED


async def test_the_chooser_changes_level_and_family() -> None:
    async with stage(level=1) as pilot:
        await pilot.press("f5")
        await pilot.pause()
        await pilot.press("down", "down", "enter")
        await settled(pilot)
        assert climb(pilot).problem.level == 3
        await pilot.press("f5")
        await pilot.pause()
        await pilot.press("right", "down", "enter")
        await settled(pilot)
        family = climb(pilot).problem.family
        assert drill(pilot).wish.family == family
        await pilot.press("f5")
        await pilot.pause()
        await pilot.press("escape")
        await settled(pilot)
        assert climb(pilot).problem.family == family


async def test_quitting_asks_nothing() -> None:
    async with stage(level=1) as pilot:
        await pilot.press("ctrl+q")
        await pilot.pause()
        assert not pilot.app.is_running or pilot.app._exit


async def test_a_seed_that_makes_no_problem_is_explained(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(self: ProblemRequest) -> None:
        raise ValueError("no circuit fits.")

    async with stage(level=1) as pilot:
        monkeypatch.setattr(ProblemRequest, "problem", refuse)
        drill(pilot)._spare = None
        drill(pilot).fetch(ProblemRequest(1, None, 99))
        await settled(pilot)
        prompt = str(drill(pilot).query_one("#prompt", Static).render())
        assert "99" in prompt and "no circuit fits." in prompt
        for key in ("f2", "f3", "f4", "enter", "a"):
            await pilot.press(key)
        monkeypatch.undo()
        drill(pilot).fetch(ProblemRequest(1, None, 8))
        await settled(pilot)
        assert climb(pilot).problem.seed == 8
