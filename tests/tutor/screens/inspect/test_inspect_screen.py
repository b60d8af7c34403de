"""The inspection drill by keyboard and mouse: a round, errors, hints, keys that come too early."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from rungwise.problems.analysis.ends import end_facts
from rungwise.problems.questions.looks import LOOK_KINDS, Look, LookKind
from rungwise.tutor.coach.looking import begin_round
from rungwise.tutor.language import ascii as lettering
from rungwise.tutor.language.texts import fill
from rungwise.tutor.learning.looks import LookEvent
from rungwise.tutor.learning.rounds import LookResult, Round
from rungwise.tutor.phrases import looks as phrases
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.common.unsaved import Unsaved
from rungwise.tutor.screens.inspect.screen import InspectPhase, InspectScreen
from rungwise.tutor.screens.inspect.strip import ChoiceStrip
from rungwise.tutor.screens.inspect.view import LookView
from rungwise.tutor.store.keeper import Keeper
from textual import events
from textual.pilot import Pilot

from ..stage import SIZES, SMALL, settled, squeezed, text


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keys count as soon as a circuit is painted: a pilot sees at once."""
    monkeypatch.setattr(InspectScreen, "UNSEEN", 0.0)
    monkeypatch.setattr(InspectScreen, "UNREAD", 0.0)


@asynccontextmanager
async def looking(
    size: tuple[int, int] = SMALL,
    *,
    seed: int = 7,
    length: int = 24,
    kinds: Sequence[LookKind] = (LookKind.TYPE,),
    made: Callable[..., Round] = Round,
    heard: list[LookEvent] | None = None,
) -> AsyncIterator[Pilot[None]]:
    """The tutor at the first look of a round."""
    listener = heard.append if heard is not None else None
    app = Rungwise(rounds=lambda *_: made(seed, length, kinds, listener=listener))
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        yield pilot


def screen(pilot: Pilot[None]) -> InspectScreen:
    found = pilot.app.screen
    assert isinstance(found, InspectScreen)
    return found


def look(pilot: Pilot[None]) -> Look:
    found = screen(pilot).look
    assert found is not None
    return found


def key_of(asked: Look, answer: str) -> str:
    return asked.row.keys[asked.answers.index(answer)]


def wrong(asked: Look) -> str:
    return next(answer for answer in asked.answers if answer != asked.truth)


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


async def answer_rightly(pilot: Pilot[None]) -> None:
    await press(pilot, key_of(look(pilot), look(pilot).truth))


# A round


@pytest.mark.usefixtures("at_once")
@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_a_round_by_keys(size: tuple[int, int]) -> None:
    """Right: the next stands there.  Wrong: explained, the two ends, back; then the page."""
    heard: list[LookEvent] = []
    async with looking(size, length=8, heard=heard) as pilot:
        first = look(pilot)
        assert phrases.prompt(first) in text(pilot) and "1 of 8" in text(pilot)
        for element in first.ladder.elements():
            assert element.name in text(pilot)
        await answer_rightly(pilot)
        assert heard[-1].right and heard[-1].cold and heard[-1].seconds > 0
        assert "✓" in text(pilot) and "2 of 8" in text(pilot)

        asked = look(pilot)
        answered = wrong(asked)
        await press(pilot, key_of(asked, answered))
        assert not heard[-1].right and screen(pilot).phase is InspectPhase.ONWARD
        shown = squeezed(pilot)
        fact = screen(pilot).round.events and phrases.choice(asked, answered)
        assert f"✗ {fact}?" in shown and f"✓ {phrases.choice(asked, asked.truth)}" in shown
        count = len(heard)
        await press(pilot, "1", "a", "5")  # read in peace: nothing answers now
        assert len(heard) == count and screen(pilot).phase is InspectPhase.ONWARD

        low, high = end_facts(asked.ladder)
        await press(pilot, "enter")
        assert look(pilot).kind is LookKind.LOW_END and look(pilot).ladder == asked.ladder
        assert (look(pilot).truth == "passes") is low.passes
        await answer_rightly(pilot)
        assert look(pilot).kind is LookKind.HIGH_END
        assert (look(pilot).truth == "passes") is high.passes
        await answer_rightly(pilot)
        assert [event.scaffold for event in heard[-2:]] == [True, True]

        back = []
        while screen(pilot).phase is InspectPhase.ANSWER:
            back.append(look(pilot).structure)
            await answer_rightly(pilot)
        assert asked.structure in back[1:5]  # it returns after two to four looks
        assert len([event for event in heard if not event.scaffold]) == 8

        shown = squeezed(pilot)
        assert screen(pilot).phase is InspectPhase.PAGE and "7 of 8 right" in shown
        assert fill("inspect", "page.asked") in shown
        assert fill("looks", f"type.choices.{asked.truth}") in shown
        await press(pilot, "1")
        assert screen(pilot).phase is InspectPhase.PAGE
        await press(pilot, "enter")
        await settled(pilot)
        assert screen(pilot).phase is InspectPhase.ANSWER and "1 of 8" in text(pilot)


def one_look_each(heard: list[LookEvent]) -> Callable[..., Round]:
    """Rounds of one look, of one kind after another."""
    kinds = iter([row.kind for row in LOOK_KINDS])

    def made(*_: object) -> Round:
        return Round(7, 1, (next(kinds),), listener=heard.append)

    return made


@pytest.mark.usefixtures("at_once")
async def test_every_kind_is_asked_and_explained_and_keys_stay_where_they_are() -> None:
    heard: list[LookEvent] = []
    app = Rungwise(rounds=one_look_each(heard))
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        strip, view = (app.screen.query_one(part) for part in (ChoiceStrip, LookView))
        starts = {key: start for key, _, start, _ in strip.places(strip.size.width)}
        for number, row in enumerate(LOOK_KINDS, 1):
            asked = look(pilot)
            assert asked.kind is row.kind
            assert " ".join(phrases.prompt(asked, seen=True).split()) in squeezed(pilot)
            line = text(pilot).splitlines()[strip.region.y][strip.gutter.left :]
            for key, answer in zip(row.keys, asked.answers, strict=True):
                word = phrases.choice(asked, answer)
                assert line[starts[key] :].startswith(key if word == key else f"{key} {word}")
            await press(pilot, key_of(asked, wrong(asked)))
            assert screen(pilot).phase is InspectPhase.ONWARD and not heard[-1].right
            assert view.picture.width <= view.size.width
            assert view.picture.height <= view.size.height or "PgDn" in text(pilot)
            while screen(pilot).phase is not InspectPhase.PAGE:
                await press(
                    pilot, *(["enter"] if screen(pilot).phase is InspectPhase.ONWARD else ["1"])
                )
            if number < len(LOOK_KINDS):
                await press(pilot, "enter")
                await settled(pilot)


# Keys


@pytest.mark.usefixtures("at_once")
@pytest.mark.parametrize("kind", [LookKind.TYPE, LookKind.POLES])
async def test_letters_are_keys_where_the_first_is_one(kind: LookKind) -> None:
    heard: list[LookEvent] = []
    async with looking(heard=heard, kinds=(kind,)) as pilot:
        for number in range(3):
            asked = look(pilot)
            await press(pilot, "abcde"[asked.answers.index(asked.truth)])
            if asked.row.first_key == 1:
                assert heard[-1].right and len(heard) == number + 1
            else:
                assert len(heard) == number  # a count has only its own key
                await answer_rightly(pilot)


async def test_a_key_for_a_circuit_that_nobody_has_seen_is_no_answer() -> None:
    """Two keys at once: the second was pressed before the next circuit stood there."""
    heard: list[LookEvent] = []
    async with looking(heard=heard) as pilot:
        await pilot.pause(InspectScreen.UNSEEN + 0.05)
        key = key_of(look(pilot), look(pilot).truth)
        typed = [events.Key(one, one) for one in (key, "1", "2", "3", "4", "5")]
        for event in typed:
            pilot.app.post_message(event.set_sender(pilot.app))
        await settled(pilot)
        assert len(heard) == 1 and heard[0].right
        assert screen(pilot).phase is InspectPhase.ANSWER


async def test_an_enter_too_many_skips_no_explanation() -> None:
    async with looking() as pilot:
        await pilot.pause(InspectScreen.UNSEEN + 0.05)
        for key in (key_of(look(pilot), wrong(look(pilot))), "enter"):
            event = events.Key(key, key if len(key) == 1 else None)
            pilot.app.post_message(event.set_sender(pilot.app))
        await settled(pilot)
        assert screen(pilot).phase is InspectPhase.ONWARD
        await pilot.pause(InspectScreen.UNREAD + 0.05)
        await press(pilot, "enter")
        assert screen(pilot).phase is InspectPhase.ANSWER


@pytest.mark.usefixtures("at_once")
@pytest.mark.parametrize(
    ("kind", "size"),
    [
        (LookKind.TYPE, SMALL),
        (LookKind.TYPE, (62, 22)),
        (LookKind.WHICH_RESPONSE, SMALL),
        (LookKind.WHICH_CIRCUIT, SMALL),
    ],
)
async def test_clicks_answer_too(kind: LookKind, size: tuple[int, int]) -> None:
    heard: list[LookEvent] = []
    async with looking(size, heard=heard, kinds=(kind,), seed=5) as pilot:
        strip, view = (screen(pilot).query_one(part) for part in (ChoiceStrip, LookView))
        for _ in range(4):
            asked = look(pilot)
            place = asked.answers.index(asked.truth)
            if kind is LookKind.TYPE:
                lines = text(pilot).splitlines()[strip.region.y : strip.region.bottom]
                sought = f"{asked.row.keys[place]} {phrases.choice(asked, asked.truth)}"
                [row] = [y for y, line in enumerate(lines) if sought in line]
                await pilot.click(ChoiceStrip, offset=(lines[row].index(sought) + 3, row))
            else:
                spot = view.picture.spots[place]
                await pilot.click(LookView, offset=(spot.x + 5, spot.y + spot.height // 2))
            await pilot.pause()
            assert heard[-1].right


@pytest.mark.usefixtures("at_once")
async def test_hints_and_the_answer() -> None:
    heard: list[LookEvent] = []
    async with looking(heard=heard) as pilot:
        asked = look(pilot)
        for level in (1, 2, 3):
            await press(pilot, "f2")
            assert " ".join(phrases.hint(asked, level).split()[:3]) in squeezed(pilot)
            assert fill("inspect", "hint", [("level", level)]) in squeezed(pilot)
        await press(pilot, "question_mark")
        assert fill("inspect", "no-more-hints") in squeezed(pilot)
        await answer_rightly(pilot)
        assert heard[-1].right and heard[-1].hints == 3 and not heard[-1].cold
        asked = look(pilot)
        await press(pilot, "f3")
        assert heard[-1].answered == "" and not heard[-1].right
        shown = squeezed(pilot)
        assert f"✓ {phrases.choice(asked, asked.truth)}" in shown
        assert " ".join(phrases.why(asked).split()[:4]) in shown
        await press(pilot, "f2", "f3")  # they are for a look that is being asked
        assert len(heard) == 2
        await press(pilot, "enter")
        assert screen(pilot).phase is InspectPhase.ANSWER


@pytest.mark.usefixtures("at_once")
async def test_after_a_slow_right_answer_one_sentence_says_why() -> None:
    class Slow(Round):
        def answer(self, choice: str, seconds: float = 0.0) -> LookResult:
            return replace(super().answer(choice, seconds), slow=True)

    async with looking(made=Slow) as pilot:
        asked = look(pilot)
        await answer_rightly(pilot)
        assert screen(pilot).phase is InspectPhase.ONWARD
        assert " ".join(phrases.why(asked).split()[:4]) in squeezed(pilot)
        await press(pilot, "enter")
        assert screen(pilot).phase is InspectPhase.ANSWER and look(pilot) is not asked


@pytest.mark.usefixtures("at_once")
async def test_somebody_wrong_at_once_is_shown_one_look_step_by_step() -> None:
    def placing(*words: object, **more: object) -> Round:
        return Round(*words, **more, placing=True)  # type: ignore[arg-type]

    async with looking(made=placing) as pilot:
        asked = look(pilot)
        await press(pilot, key_of(asked, wrong(asked)), "enter")
        assert fill("inspect", "worked") in squeezed(pilot)
        assert screen(pilot).phase is InspectPhase.ONWARD
        await press(pilot, "enter")
        assert look(pilot).kind is LookKind.LOW_END


# Rooms


@pytest.mark.usefixtures("at_once")
async def test_where_the_window_is_too_small_and_grows_again() -> None:
    async with looking((50, 15)) as pilot:
        assert "at least 60 columns" in squeezed(pilot)
        await pilot.resize_terminal(60, 20)
        await settled(pilot)
        asked = look(pilot)
        assert phrases.prompt(asked) in text(pilot) and "5 flat" in text(pilot)
        await answer_rightly(pilot)
        await pilot.resize_terminal(120, 40)
        await settled(pilot)
        for element in look(pilot).ladder.elements():
            assert element.name in text(pilot)
        assert "1 low-pass" in text(pilot)


@pytest.mark.usefixtures("at_once")
async def test_in_ascii() -> None:
    lettering.draw_in_ascii(True)
    try:
        async with looking(kinds=[row.kind for row in LOOK_KINDS], length=12) as pilot:
            while screen(pilot).phase is not InspectPhase.PAGE:
                assert text(pilot).isascii(), text(pilot)
                if screen(pilot).phase is InspectPhase.ANSWER:
                    asked = look(pilot)
                    await press(pilot, key_of(asked, asked.answers[0]))
                else:
                    await press(pilot, "enter")
            assert text(pilot).isascii() and "of 12 right" in text(pilot)
    finally:
        lettering.draw_in_ascii(False)


# The record


@pytest.mark.usefixtures("at_once")
async def test_looks_are_kept_and_a_record_that_cannot_be_is_told(tmp_path: Path) -> None:
    keeper = Keeper(home=tmp_path / "home")
    app = Rungwise(keeper=keeper, rounds=begin_round)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        await answer_rightly(pilot)
        await settled(pilot)
        assert [seen.look.right for seen in keeper.looks()] == [True]
        assert not pilot.app.screen.query_one(Unsaved).display
    keeper.close()

    in_the_way = tmp_path / "file"
    in_the_way.write_text("no folder")
    keeper = Keeper(home=in_the_way)
    app = Rungwise(keeper=keeper, rounds=begin_round)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        await answer_rightly(pilot)
        await settled(pilot)
        assert screen(pilot).phase is InspectPhase.ANSWER  # it goes on all the same
        unsaved = pilot.app.screen.query_one(Unsaved)
        assert unsaved.display and " ".join(keeper.trouble.split()[:3]) in squeezed(pilot)
    keeper.close()


async def test_a_round_that_cannot_be_made_says_why() -> None:
    def fails(*_: object) -> Round:
        raise LookupError("no circuit is a low-pass")

    app = Rungwise(rounds=fails)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        assert "no circuit is a low-pass" in squeezed(pilot)
        await press(pilot, "1", "f2", "f3", "enter")
        assert screen(pilot).phase is InspectPhase.ROUND
