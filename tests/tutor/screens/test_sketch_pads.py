"""The pads by keyboard and by mouse, without the drill around them."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import TypeVar

import pytest
from rungwise.problems.chance import Chance
from rungwise.problems.questions.model import Rung
from rungwise.problems.questions.written import READ
from rungwise.problems.sketches.compare import compare
from rungwise.problems.sketches.model import PlotBend, Region
from rungwise.problems.sketches.read import read_gain, read_phase
from rungwise.problems.sketches.read_map import read_map
from rungwise.tutor.drafting.line import Handle
from rungwise.tutor.language import ascii as lettering
from rungwise.tutor.screens.sketchpad.map import MapPad
from rungwise.tutor.screens.sketchpad.pad import Pad
from rungwise.tutor.screens.sketchpad.parts import PadKeys, SketchPaper, SketchPieces
from rungwise.tutor.screens.sketchpad.plots import GainPad, PhasePad
from rungwise.tutor.screens.themes import THEMES
from textual import events
from textual.app import App, ComposeResult
from textual.pilot import Pilot
from textual.widgets import Static

from tests.support.samples import sample

FRAME = (1.0, 1e6, -80.0, 40.0)
P = TypeVar("P", bound=Pad)


class Room(App[None]):
    """A pad with all the room there is."""

    def __init__(self, pad: Pad) -> None:
        super().__init__()
        self.pad = pad
        self.submitted: list[str] = []
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = THEMES[0].name

    def compose(self) -> ComposeResult:
        yield self.pad
        yield Static("other")

    def on_mount(self) -> None:
        self.pad.ask(FRAME)
        self.pad.focus()

    def on_pad_submitted(self, event: Pad.Submitted) -> None:
        self.submitted.append(event.text)


@asynccontextmanager
async def room(pad: P, size: tuple[int, int] = (80, 15)) -> AsyncIterator[tuple[Pilot[None], P]]:
    async with Room(pad).run_test(size=size) as pilot:
        await pilot.pause()
        yield pilot, pad


def submitted(pilot: Pilot[None]) -> list[str]:
    assert isinstance(pilot.app, Room)
    return pilot.app.submitted


def words(pad: Pad) -> str:
    """Everything on the pad."""
    return "\n".join(
        [
            pad.query_one(SketchPaper).picture.text,
            str(pad.query_one(SketchPieces).render()),
            str(pad.query_one(PadKeys).render()),
        ]
    )


def judged(pad: Pad, rung: Rung, truth: str) -> None:
    pad.judge(compare(READ[rung](truth), READ[rung](pad.text)))


# ------------------------------------------------------------------------------- gain


async def test_a_two_pole_low_pass_takes_eight_keys() -> None:
    async with room(GainPad()) as (pilot, pad):
        await pilot.press("4", "k", "7", "enter", "down", "enter")
        assert submitted(pilot) == ["0 to 4.7 kHz, −40; level 0 dB"]
        assert pad.text == submitted(pilot)[0]


async def test_keys_that_come_all_at_once_are_taken_in_order() -> None:
    async with room(GainPad()) as (pilot, _pad):
        driver = pilot.app._driver
        assert driver is not None
        for key in ["up", "a", *"4213", "enter", "a", *"1.9e4", "enter", "l", *"1.75", "enter"]:
            name = {".": "full_stop"}.get(key, key)
            driver.send_message(events.Key(name, key if len(key) == 1 else None))
        await pilot.pause()
        await pilot.press("enter")
        assert submitted(pilot) == ["+20 to 4.213 kHz, 0 to 19 kHz, −20; level 1.75 dB"]


async def test_by_arrows_alone() -> None:
    async with room(GainPad()) as (pilot, pad):
        await pilot.press("up", "a", "right", "right", "down", "tab")
        assert pad.desk.held == Handle.LEVEL
        await pilot.press("down", "down", "shift+up", "enter")
        assert submitted(pilot) == ["+20 to 5 kHz, −20; level −5.5 dB"]


async def test_what_is_selected_is_said_above_and_below_the_paper() -> None:
    async with room(GainPad()) as (pilot, pad):
        await pilot.press(*"1.6k", "enter", *["a"], *"16k", "enter", "shift+tab")
        assert "−20 dB/decade from 1.6 kHz to 16 kHz" in words(pad)
        assert "▸1.6 kHz → −20" in words(pad) and "◆" in words(pad)
        await pilot.press("tab")
        assert "−40 dB/decade from 16 kHz on" in words(pad) and "▸16 kHz → −40" in words(pad)
        await pilot.press("home")
        assert "0 dB/decade up to 1.6 kHz" in words(pad) and "▶" in words(pad)
        await pilot.press("l")
        assert "level 0 dB at the first break, 1.6 kHz" in words(pad)
        await pilot.press("end")
        assert pad.desk.held == 1


async def test_typing_is_read_while_it_goes_on() -> None:
    async with room(GainPad()) as (pilot, pad):
        await pilot.press("2", "k")
        assert "2k▏ = 2 kHz" in words(pad) and not pad.desk.drawing.bends
        await pilot.press("backspace", "0", "m")
        assert "20m▏ a frequency from 1 Hz to 1 MHz" in words(pad)
        await pilot.press("enter")
        assert pad.desk.typed == "20m"  # to be corrected
        await pilot.press("escape")
        assert pad.desk.typed == "" and not pad.desk.drawing.bends
        await pilot.press("2", "k", "right")  # an arrow puts it there and goes on
        assert pad.desk.bend == PlotBend(5000.0, -20)
        await pilot.press("2", "tab")
        assert pad.desk.drawing.bends == (PlotBend(2.0, -20),)


async def test_letters_are_typed_only_within_a_value() -> None:
    async with room(GainPad()) as (pilot, pad):
        await pilot.press("k", "g", "m", "question_mark")
        assert pad.desk.typed == "" and not pad.work.touched
        await pilot.press("l", "minus", "6", "space", "d", "B", "enter")
        assert pad.desk.drawing.level == -6.0


async def test_remove_undo_redo_clear() -> None:
    async with room(GainPad()) as (pilot, pad):
        await pilot.press("a", "a", "delete")
        assert len(pad.desk.drawing.bends) == 1
        await pilot.press("u")
        assert len(pad.desk.drawing.bends) == 2
        await pilot.press("y")
        assert len(pad.desk.drawing.bends) == 1
        await pilot.press("c")
        assert not pad.desk.drawing.bends
        await pilot.press("ctrl+z")
        assert len(pad.desk.drawing.bends) == 1
        await pilot.press("backspace")
        assert not pad.desk.drawing.bends


async def test_fine_steps_have_keys_that_every_terminal_sends() -> None:
    async with room(GainPad()) as (pilot, pad):
        await pilot.press("a", "full_stop", "full_stop", "comma")
        assert pad.desk.bend == PlotBend(1100.0, -20)
        await pilot.press("shift+right")
        assert pad.desk.bend == PlotBend(1200.0, -20)


async def test_an_empty_sheet_is_submitted_only_when_asked_twice() -> None:
    async with room(GainPad()) as (pilot, pad):
        assert pad.draft == ""
        await pilot.press("enter")
        assert not submitted(pilot) and "press Enter again" in words(pad)
        await pilot.press("enter")
        assert submitted(pilot) == ["0; level 0 dB"]


async def test_a_slope_without_a_break_is_not_submitted() -> None:
    async with room(GainPad()) as (pilot, _):
        await pilot.press("up", "enter", "enter")
        assert not submitted(pilot)


async def test_a_sketch_in_words_may_be_pasted_and_taken_back() -> None:
    async with room(GainPad()) as (pilot, pad):
        for text in ("+20 to 340 Hz, 0; level −6 dB\n", "\x1b[2J", "9" * 1_000_000, "[red]"):
            pad.post_message(events.Paste(text))
        await pilot.pause()
        assert pad.text == "+20 to 340 Hz, 0; level −6 dB"
        pad.post_message(events.Paste("1k5"))
        await pilot.pause()
        assert pad.text == "+20 to 1.5 kHz, 0; level −6 dB"
        await pilot.press("u", "u")
        assert pad.text == "0; level 0 dB"


# ------------------------------------------------------------------------------ phase


async def test_a_phase_with_a_jump() -> None:
    async with room(PhasePad()) as (pilot, pad):
        await pilot.press(*"1k", "enter", "down", "home", "a", "j", "up", "up")
        assert "jumps by +180°" in words(pad)
        await pilot.press(*"1k", "enter", "enter")
        assert submitted(pilot) == ["0 to 1 kHz, −90 to 1 kHz jump, +90 to 1 kHz, 0"]
        assert "ends 0°" in words(pad)


async def test_a_band_pass_phase() -> None:
    async with room(PhasePad()) as (pilot, pad):
        await pilot.press("up", *"3k3", "enter", "down")
        assert "turns by −180° around 3.3 kHz, from 330 Hz to 33 kHz" in words(pad)
        await pilot.press("enter")
        assert submitted(pilot) == ["+90 to 3.3 kHz, −90"]


# -------------------------------------------------------------------------------- map


async def test_a_map_by_keyboard() -> None:
    async with room(MapPad()) as (pilot, pad):
        await pilot.press("up", "p", "down", "right", "z", "o")
        assert "origin: 2 zeros" in words(pad) and "complex: 2 poles" in words(pad)
        assert "▸ origin" in words(pad)
        await pilot.press("delete", "x", "X", "enter")
        assert submitted(pilot) == ["poles: 1 complex pair; zeros: 1 at the origin"]


async def test_tab_goes_through_the_regions() -> None:
    async with room(MapPad()) as (pilot, pad):
        seen = []
        for _ in range(6):
            seen.append(pad.board.held)
            await pilot.press("tab")
        round_about = [Region.REAL, Region.ORIGIN, Region.RIGHT, Region.AXIS, Region.PAIR]
        assert seen == [*round_about, Region.REAL]


async def test_a_pole_can_be_put_into_the_right_half_plane() -> None:
    async with room(MapPad()) as (pilot, pad):
        await pilot.press("right", "right", "p")
        assert "right: 1 pole" in words(pad) and "▸ right half" in words(pad)
        await pilot.press("left", "z", "enter")
        assert submitted(pilot) == ["poles: 1 in the right half-plane; zeros: 1 at the origin"]


# ------------------------------------------------------------- verdicts and the right one


async def test_verdicts_are_shown_until_their_pieces_change() -> None:
    async with room(GainPad()) as (pilot, pad):
        await pilot.press(*"1k", "enter", "a", *"30k", "enter")
        judged(pad, Rung.GAIN_SKETCH, "0 to 1 kHz, −40; level −6 dB")
        await pilot.pause()
        assert "✗ level 0 dB" in words(pad) and "✓ slope 0" in words(pad)
        assert "✗ breaks: 2" in words(pad) and "✓" in pad.query_one(SketchPaper).picture.text
        assert "−6" not in str(
            pad.query_one(SketchPieces).render()
        )  # nothing says what would be right
        await pilot.press("l", "down")
        assert "level −3 dB" in words(pad) and "✗ level" not in words(pad)
        assert "✓ slope 0" in words(pad)
        await pilot.press("end", "delete")
        assert "✓" not in words(pad) and "✗" not in words(pad)


async def test_the_right_picture_ends_the_drawing() -> None:
    async with room(GainPad()) as (pilot, pad):
        await pilot.press(*"1k", "enter")
        drawn = pad.text
        pad.reveal(read_gain("0 to 3.3 kHz, −40; level −6 dB"))
        await pilot.pause()
        assert "the right one" in words(pad) and "3.3 kHz" in words(pad)
        await pilot.press("a", "down", "left", "5", "delete", "c", "u", "enter")
        assert pad.text == drawn and not submitted(pilot)
        pad.ask(FRAME)
        await pilot.pause()
        assert "the right one" not in words(pad) and pad.text == "0; level 0 dB"


async def test_the_right_map_is_laid_over_the_drawn_one() -> None:
    async with room(MapPad()) as (pilot, pad):
        await pilot.press("p", "p")
        pad.reveal(read_map("poles: 1 complex pair; zeros: none"))
        await pilot.pause()
        assert "(×)" in words(pad) and "the right one" in words(pad)


async def test_a_whole_turn_higher_is_the_same_phase() -> None:
    async with room(PhasePad()) as (pilot, pad):
        await pilot.press("down", "down", *"1k", "enter", "down")
        pad.reveal(read_phase("+180 to 1 kHz, 0"))
        await pilot.pause()
        assert pad._right is not None and pad._right.start == -180


# ------------------------------------------------------------------- leaving, coming back


@pytest.mark.parametrize("kind", [GainPad, PhasePad, MapPad])
async def test_a_draft_brings_everything_back(kind: type[Pad]) -> None:
    pressed = ("p", "up", "z", "p") if kind is MapPad else ("a", "a", "down", "shift+tab", "left")
    async with room(kind()) as (pilot, pad):
        await pilot.press(*pressed)
        draft, text, shown = pad.draft, pad.text, words(pad)
    async with room(kind()) as (pilot, again):
        assert again.restore(draft)
        await pilot.pause()
        assert again.draft == draft and again.text == text
        # The same picture and pieces; only what could be taken back is gone.
        assert words(again).splitlines()[:-1] == shown.splitlines()[:-1]


# ----------------------------------------------------------------- mouse, sizes, monkeys


async def test_a_click_selects() -> None:
    async with room(GainPad()) as (pilot, pad):
        await pilot.press(*"1k", "enter", *["a"], *"30k", "enter", "home")
        paper = pad.query_one(SketchPaper)
        chart = paper.picture
        left, top = chart.plot[:2]  # type: ignore[attr-defined]
        col = left + int(chart.frequency.cell(1000.0))  # type: ignore[attr-defined]
        await pilot.click(SketchPaper, offset=(col, top + 2))
        assert pad.desk.held == 0
        await pilot.click(SketchPaper, offset=(col + 4, top + 2))
        assert pad.desk.held == 0  # the piece after it
        await pilot.click(SketchPaper, offset=(left + 2, top + 2))
        assert pad.desk.held == Handle.START
        await pilot.click(SketchPieces, offset=(3, 0))
        assert pad.desk.held == Handle.LEVEL


async def test_a_click_on_a_key_is_that_key() -> None:
    async with room(GainPad(), (100, 15)) as (pilot, pad):
        line = str(pad.query_one(PadKeys).render())
        await pilot.click(PadKeys, offset=(line.index("add break"), 0))
        await pilot.pause()
        assert len(pad.desk.drawing.bends) == 1


async def test_a_click_selects_a_region() -> None:
    async with room(MapPad()) as (pilot, pad):
        await pilot.click(SketchPaper, offset=(5, 2))
        assert pad.board.held is Region.PAIR


@pytest.mark.parametrize("kind", [GainPad, PhasePad, MapPad])
@pytest.mark.parametrize("size", [(60, 9), (80, 13), (200, 40), (20, 6), (5, 3)])
async def test_any_window_and_plain_ascii(kind: type[Pad], size: tuple[int, int]) -> None:
    lettering.draw_in_ascii(True)
    try:
        async with room(kind(), size) as (pilot, pad):
            await pilot.press("a", "p", "down", "z", "2", "k")
            assert pad.query_one(SketchPaper).picture.text.isascii()
    finally:
        lettering.draw_in_ascii(False)


KEYS = (
    *("left", "right", "up", "down", "shift+left", "shift+right", "shift+up", "shift+down"),
    *("tab", "shift+tab", "home", "end", "enter", "escape", "delete", "backspace", "insert"),
    *"adujclypzoxPZXO0123456789.,kM-+µ?",
)


@pytest.mark.usefixtures("painted")
@pytest.mark.parametrize("kind", [GainPad, PhasePad, MapPad])
async def test_monkeys(kind: type[Pad]) -> None:
    chance = Chance(4, "pads", kind.__name__)
    async with room(kind(), (80, 24)) as (pilot, pad):
        for turn in range(sample(18, 30)):
            for _ in range(20):
                pressed = chance.pick(KEYS)
                character = pressed if len(pressed) == 1 else None
                pad.app._driver.send_message(events.Key(pressed, character))  # type: ignore[union-attr]
            await pilot.pause()
            if turn % 6 == 5:
                await pilot.resize_terminal(1 + chance.below(220), 1 + chance.below(60))
            assert pilot.app._exception is None
        assert pad.restore(pad.draft or pad.text)
