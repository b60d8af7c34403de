"""What Textual does by itself, wherever we do otherwise.

A test that fails here says that Textual does something else now: the module in
``tutor/screens/compat`` that is named in it can go, or has to change.
"""

from __future__ import annotations

import inspect
import pkgutil
from importlib import import_module
from typing import Any, ClassVar

import pytest
import textual
from rungwise.tutor import screens
from rungwise.tutor.screens import compat
from rungwise.tutor.screens.compat.at_once import AtOnce
from rungwise.tutor.screens.compat.enduring import Enduring
from rungwise.tutor.screens.compat.menu import Menu, Palette
from rungwise.tutor.screens.compat.one_row import OneRowInput
from rungwise.tutor.screens.compat.terminal_driver import Pastes
from rungwise.tutor.screens.compat.theming import Themed
from rungwise.tutor.screens.compat.untold import bound_keys, is_leaving
from textual import events
from textual._xterm_parser import XTermParser
from textual.app import App, ComposeResult, InvalidThemeError
from textual.binding import BindingType
from textual.command import CommandPalette
from textual.drivers.linux_driver import LinuxDriver
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static

pytestmark = pytest.mark.usefixtures("painted")

SERIES = "8.2"
MODULES = [info.name for info in pkgutil.iter_modules(compat.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_every_module_says_for_which_version_and_why(name: str) -> None:
    said = import_module(f"{compat.__name__}.{name}").__doc__ or ""
    assert f"Textual {SERIES} " in said


def test_the_version_that_the_modules_were_written_for_is_the_one_here() -> None:
    """Another one: go through the modules, and say its number in them and here."""
    assert textual.__version__.startswith(f"{SERIES}.")


def test_nothing_private_of_textual_is_overridden_elsewhere() -> None:
    found = []
    for info in pkgutil.walk_packages(screens.__path__, f"{screens.__name__}."):
        if info.name.startswith(compat.__name__):
            continue
        module = import_module(info.name)
        for kind in vars(module).values():
            if not (inspect.isclass(kind) and kind.__module__ == info.name):
                continue
            theirs = [base for base in kind.__mro__ if base.__module__.startswith("textual.")]
            found += [
                f"{info.name}.{kind.__name__}.{name}"
                for name, value in vars(kind).items()
                if name.startswith("_") and not name.startswith("__") and inspect.isroutine(value)
                if any(inspect.isroutine(vars(base).get(name)) for base in theirs)
            ]
    assert not found


def shown(app: App[None]) -> str:
    lines = app.screen._compositor.render_strips(app.screen.size)
    return "".join(segment.text for line in lines for segment in line)


# enduring


class Breaking(Static):
    """A widget whose handler raises an exception at a click."""

    def on_click(self) -> None:
        raise ZeroDivisionError


async def test_enduring_a_fault_in_a_handler_ends_the_message_loop_of_its_widget() -> None:
    class Bare(App[None]):
        def compose(self) -> ComposeResult:
            yield Breaking("x")

    app = Bare()
    with pytest.raises(ZeroDivisionError):
        async with app.run_test() as pilot:
            await pilot.click(Breaking)
    assert app.return_code == 1


async def test_enduring_with_it_the_widget_lives_on(monkeypatch: pytest.MonkeyPatch) -> None:
    class Ours(Enduring):
        endures = True

        def compose(self) -> ComposeResult:
            yield Breaking("x")

    app = Ours()
    monkeypatch.setattr(app, "_tell", lambda *_: None)
    async with app.run_test() as pilot:
        await pilot.click(Breaking)
        assert app.query_one(Breaking).is_running and not is_leaving(app)


# terminal_driver


def keys_in(text: str) -> list[str]:
    """The keys that Textual takes a pasted text for."""
    parser = XTermParser(False)
    return [event.key for event in parser.feed(text) if isinstance(event, events.Key)]


def test_terminal_driver_keys_are_read_inside_a_paste() -> None:
    pasted = "\x1b[200~ab\x1b[Acd\x1b[201~"
    assert keys_in(pasted)
    assert keys_in(Pastes().feed(pasted)) == []


def test_terminal_driver_bytes_that_are_no_text_end_the_program() -> None:
    source = inspect.getsource(LinuxDriver.run_input_thread)
    assert 'getincrementaldecoder("utf-8")().decode' in source, "strict: it raises an exception"


# plain_signs


async def test_plain_signs_borders_are_box_characters_whatever_the_terminal() -> None:
    class Bare(App[None]):
        CSS = "Static { border: round red; }"

        def compose(self) -> ComposeResult:
            yield Static("x")

    app = Bare()
    async with app.run_test():
        assert "╭" in shown(app)


# menu


@pytest.mark.parametrize(("kind", "breaks"), [(OptionList, True), (Menu, False)])
async def test_menu_paging_a_list_that_is_not_laid_out(kind: Any, breaks: bool) -> None:
    class Listing(App[None]):
        def compose(self) -> ComposeResult:
            yield kind()

    app = Listing()
    async with app.run_test():
        menu = app.query_one(kind)
        menu.add_options(["one", "two", "three"])
        menu.highlighted = 0
        if breaks:
            with pytest.raises((KeyError, IndexError)):
                menu.action_page_down()
        else:
            menu.action_page_down()


class Unstyled(Palette):
    """Ours, without the colours of our themes."""

    CSS_PATH = None


@pytest.mark.parametrize(("kind", "breaks"), [(CommandPalette, True), (Unstyled, False)])
async def test_menu_a_palette_left_again_takes_another_screen_with_it(
    kind: Any, breaks: bool
) -> None:
    app = App[None]()
    async with app.run_test() as pilot:
        palette, other = kind(), ModalScreen[None]()
        await app.push_screen(palette)
        await app.push_screen(other)  # what was picked has opened it
        palette.dismiss()
        await pilot.pause()
        assert (other not in app.screen_stack) is breaks


# at_once


class Told(Widget, can_focus=True):
    """Takes figures itself, and "b" by a binding; remembers which came first."""

    BINDINGS: ClassVar[list[BindingType]] = [("b", "tell", "tell")]

    def __init__(self) -> None:
        super().__init__()
        self.told: list[str] = []

    def check_consume_key(self, key: str, character: str | None) -> bool:
        return key.isdigit()

    async def on_key(self, event: events.Key) -> None:
        if event.key.isdigit():
            self.told.append(event.key)

    def action_tell(self) -> None:
        self.told.append("b")


class ToldAtOnce(AtOnce, Told):
    """The same in the order the keys come."""


@pytest.mark.parametrize(("kind", "order"), [(Told, ["1", "b"]), (ToldAtOnce, ["b", "1"])])
async def test_at_once_typing_overtakes_bindings(kind: type[Told], order: list[str]) -> None:
    class Typing(App[None]):
        def compose(self) -> ComposeResult:
            yield kind()

    app = Typing()
    async with app.run_test() as pilot:
        widget = app.query_one(kind)
        widget.focus()
        await pilot.pause()
        for key in ("b", "1"):
            app.post_message(events.Key(key, key).set_sender(app))
        await pilot.pause()
        assert widget.told == order


# one_row


@pytest.mark.parametrize(("kind", "lays_out"), [(Input, True), (OneRowInput, False)])
async def test_one_row_everything_is_laid_out_at_every_key(
    kind: type[Input], lays_out: bool
) -> None:
    class Typing(App[None]):
        def compose(self) -> ComposeResult:
            yield kind()

    app = Typing()
    async with app.run_test():
        line = app.query_one(kind)
        line._layout_required = False
        line.value = "1"
        assert line._layout_required is lays_out


# theming


@pytest.fixture(params=[(App, False), (Themed, True)], ids=["textual", "ours"])
def themed(request: pytest.FixtureRequest) -> tuple[App[None], bool]:
    kind, ours = request.param
    return kind(), ours


async def test_theming_the_palette_is_no_child_of_the_app(themed: tuple[App[None], bool]) -> None:
    app, ours = themed
    async with app.run_test() as pilot:
        palette = CommandPalette()
        await app.push_screen(palette)
        assert palette not in app.children
        seen: list[object] = []
        real = app.stylesheet.update
        app.stylesheet.update = lambda root, animate=False: (  # type: ignore[method-assign]
            seen.append(root),
            real(root, animate=animate),
        )[1]
        app.theme = "nord"
        await pilot.pause()
        assert (palette in seen) is ours


async def test_theming_an_unknown_name_is_refused(themed: tuple[App[None], bool]) -> None:
    app, ours = themed
    async with app.run_test():
        before = app.theme
        if ours:
            app.theme = "no-such-theme"
        else:
            with pytest.raises(InvalidThemeError):
                app.theme = "no-such-theme"
        assert app.theme == before


# untold


async def test_untold_there_is_no_public_way_to_ask() -> None:
    app = App[None]()
    assert not {"driver", "is_exiting", "exiting", "is_leaving"} & set(dir(app))
    assert not hasattr(app, "bound_keys")
    assert "ctrl+q" in bound_keys(app) and "f12" not in bound_keys(app)
    async with app.run_test():
        assert not is_leaving(app)
        app.exit()
        assert is_leaving(app)
