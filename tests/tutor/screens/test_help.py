"""The help page of every screen, on every size of window."""

from __future__ import annotations

import gc
from time import process_time

import pytest
from rungwise.tutor.screens.common.help import HelpScreen, in_columns
from textual._styles_cache import StylesCache
from textual.events import Key
from textual.pilot import Pilot

from .stage import LARGE, MEDIUM, SMALL, drill, settled, squeezed, stage, text


async def read_through(pilot: Pilot[None]) -> str:
    """Everything on the page, scrolled from top to end."""
    shown = squeezed(pilot)
    for _ in range(8):
        await pilot.press("pagedown")
        await pilot.pause()
        shown += " " + squeezed(pilot)
    return shown


@pytest.mark.parametrize("size", [(60, 20), SMALL, MEDIUM, LARGE], ids=str)
async def test_help_of_the_drill_names_every_key_that_works_now(size: tuple[int, int]) -> None:
    async with stage(size, level=1) as pilot:
        under = drill(pilot)
        names = [
            active.binding.description
            for active in under.active_bindings.values()
            if active.binding.id and active.enabled
        ]
        before = pilot.app.screen.region
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HelpScreen)
        shown = await read_through(pilot)
        assert "Each question is a rung" in shown
        for name in names:
            assert name in shown, name
        assert "Copy selected" not in shown and "Focus Next" not in shown  # not in our words
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is under and under.region == before


async def test_help_leaves_the_page_under_it_as_it_was() -> None:
    async with stage(SMALL, level=1) as pilot:
        before = text(pilot)
        await pilot.press("f1", "f1")
        await pilot.pause()
        assert text(pilot) == before
        await pilot.press("f1", "f1", "f1", "f6")
        await settled(pilot)
        assert isinstance(pilot.app.screen, HelpScreen)
        assert len(pilot.app.screen_stack) == 2


async def test_keys_that_come_faster_than_help_opens_do_not_pile_up(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = []
    begin = HelpScreen.__init__
    monkeypatch.setattr(HelpScreen, "__init__", lambda *a: (made.append(a[0]), begin(*a))[1])
    async with stage(MEDIUM, level=1) as pilot:
        began = process_time()
        for _ in range(400):
            pilot.app.post_message(Key("f1", None))
        await settled(pilot)
        assert 1 <= len(made) < 100  # a hundred turns are more than are painted meanwhile
        assert process_time() - began < 20
        if isinstance(pilot.app.screen, HelpScreen):
            await pilot.press("escape")
            await settled(pilot)
        await pilot.press("f1")  # and the key is heard again
        await settled(pilot)
        assert isinstance(pilot.app.screen, HelpScreen)
        assert len(pilot.app.screen_stack) == 2


async def test_pages_that_were_closed_are_forgotten() -> None:
    def lines() -> int:
        gc.collect()
        return sum(isinstance(one, StylesCache) for one in gc.get_objects())

    async with stage(MEDIUM, level=1) as pilot:
        counts = []
        for _ in range(2):
            for _ in range(10):
                await pilot.press("f1")
                await pilot.pause()
                await pilot.press("escape")
                await pilot.pause()
            counts.append(lines())
        assert counts[1] <= counts[0] + 5


async def test_the_palette_leads_to_the_same_page() -> None:
    async with stage(MEDIUM, level=1) as pilot:
        pilot.app.action_show_help_panel()
        await settled(pilot)
        assert isinstance(pilot.app.screen, HelpScreen)


@pytest.mark.parametrize("width", [1, 20, 56, 74, 88, 200])
def test_keys_stand_in_as_many_columns_as_fit(width: int) -> None:
    keys = [(f"F{n}", f"what key {n} does") for n in range(1, 12)]
    table = in_columns(keys, width).plain.split("\n")
    across = table[0].count("what")
    assert sum(line.count("what") for line in table) == len(keys)
    assert across == 1 or max(map(len, table)) <= width
    assert across == {1: 1, 20: 1, 56: 2, 74: 3, 88: 3, 200: 3}[width]


def test_no_keys_no_table() -> None:
    assert in_columns([], 40).plain == ""
