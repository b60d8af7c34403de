"""The full screen where the terminal carries ASCII only: every sign of every screen."""

from __future__ import annotations

import io
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.segment import Segment
from rungwise.tutor.language import ascii as lettering
from rungwise.tutor.screens.compat.plain_signs import PlainSigns
from rungwise.tutor.screens.pictures.bode import BodeView
from textual.color import Color
from textual.pilot import Pilot

from tests.support.samples import sample

from .stage import LARGE, MEDIUM, SMALL, answer_rightly, climb, question, settled, stage, text

plain = lettering.AsciiCells(cell_len).of


@pytest.fixture
def in_ascii() -> Iterator[None]:
    lettering.draw_in_ascii(True)
    yield
    lettering.draw_in_ascii(False)


def seen(pilot: Pilot[None]) -> str:
    """What is on the screen, which must be ASCII and fill it exactly."""
    shown = text(pilot)
    bad = {char for char in shown if not char.isascii()}
    assert not bad
    columns, rows = pilot.app.screen.size
    lines = shown.split("\n")
    assert len(lines) == rows and all(len(line) == columns for line in lines)
    return shown


@pytest.mark.usefixtures("in_ascii")
@pytest.mark.parametrize(
    "size", sample([SMALL, LARGE, (30, 8)], [SMALL, MEDIUM, LARGE, (60, 20), (30, 8)]), ids=str
)
async def test_every_screen_of_a_climb(size: tuple[int, int]) -> None:
    async with stage(size, family="series-fed-low-pass", seed=11) as pilot:
        seen(pilot)
        for key in ("f2", "f1", "f1", "f6", "f7", "escape", "f5", "escape", "ctrl+p", "escape"):
            await pilot.press(key)
            await pilot.pause(0.02)
            seen(pilot)
        await answer_rightly(pilot)
        while not climb(pilot).done:
            if question(pilot).choices:
                await pilot.press("b", "enter")
            else:
                await pilot.press(*"1/2", "enter")
            seen(pilot)
            await pilot.press("f3")
            seen(pilot)
            await pilot.press("enter")
        await pilot.press("enter")
        await settled(pilot)
        for _ in range(15):
            seen(pilot)
            await pilot.press("right")
        await pilot.press("tab")
        seen(pilot)
        await pilot.press("b")
        await settled(pilot)
        for key in ("right", "k", "m", "t", "c", "escape", "f", "escape", "tab", "tab"):
            await pilot.press(key)
            await settled(pilot)
            seen(pilot)


@pytest.mark.usefixtures("in_ascii")
async def test_words_are_spelt_out_and_drawings_are_made_for_ascii() -> None:
    async with stage(MEDIUM, family="rc-low-pass") as pilot:
        shown = seen(pilot)
        assert "ohm" in shown
        while not climb(pilot).done:
            await pilot.press("f4")
        await pilot.press("enter")
        await settled(pilot)
        chart = pilot.app.screen.query_one("#magnitude", BodeView).picture
        assert chart.text.isascii() and "+" in chart.text
        assert "[" not in chart.text


# --- when ---------------------------------------------------------------------------------------


def stream(encoding: str) -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BytesIO(), encoding=encoding)


@pytest.mark.parametrize(
    ("environ", "encoding", "ascii_only"),
    [
        ({}, "utf-8", False),
        ({}, "latin-1", True),
        ({}, "ascii", True),
        ({}, "cp437", True),
        ({"TERM": "xterm-256color"}, "utf-8", False),
        ({"TERM": "linux"}, "utf-8", True),
        ({"TERM": "vt220"}, "utf-8", True),
        ({"TERM": "linux-like"}, "utf-8", False),
        ({"TERM": "linux", "RUNGWISE_ASCII": "0"}, "utf-8", False),
        ({"TERM": "xterm", "RUNGWISE_ASCII": "1"}, "utf-8", True),
        ({"RUNGWISE_ASCII": "no"}, "ascii", False),
        ({"RUNGWISE_ASCII": ""}, "utf-8", False),
        ({"TERM": "dumb", "TEXTUAL_DRIVER": "a browser's"}, "ascii", False),
    ],
)
def test_when_the_screen_is_in_ascii(
    environ: dict[str, str], encoding: str, ascii_only: bool
) -> None:
    try:
        assert lettering.settle_screen(environ, stream(encoding)) == ascii_only
        assert lettering.ascii_screen() == ascii_only
    finally:
        lettering.draw_in_ascii(False)


def test_plain_output_follows_the_environment_too(monkeypatch: pytest.MonkeyPatch) -> None:
    assert lettering.carries_unicode(stream("utf-8"))
    assert not lettering.carries_unicode(stream("latin-1"))
    monkeypatch.setenv("RUNGWISE_ASCII", "1")
    assert not lettering.carries_unicode(stream("utf-8"))


# --- sign by sign -------------------------------------------------------------------------------


@given(st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=40))
def test_every_text_becomes_ascii_of_equal_width(typed: str) -> None:
    written = plain(typed)
    assert written.isascii() and "\n" not in written
    # Characters of no width go; every other keeps its columns.
    assert len(written) == sum(cell_len(char) for char in typed)


def test_signs_that_mean_different_things_stay_different() -> None:
    for signs in ("✓✗○–", "◇◆●▲", "▸◂↑↓", "→←", "×○⊗", "−+"):
        assert len(set(plain(signs))) == len(signs), signs
    assert plain("4.7 kΩ     C1") == "4.7 kohm   C1"
    assert plain("4.7 kΩ C1") == "4.7 kO C1"
    assert plain("45°      x") == "45 deg   x"
    assert plain("╭──╮ ⣿⠀") == "+--+ | "


def test_the_filter_keeps_styles_and_controls() -> None:
    line = [Segment("─ Ω", None), Segment("plain", None, None)]
    assert [s.text for s in PlainSigns().apply(line, Color.parse("black"))] == ["- O", "plain"]
