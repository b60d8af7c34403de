"""Problem sheets: those lying in this folder, to be filled in, and how a teacher makes them."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from ...language.texts import plain, speaker
from ..common.frame import DialogFrame
from ..common.keyline import KeyLine
from ..common.keys import bound
from ..common.leaving import Leaving
from ..compat.menu import Menu

if TYPE_CHECKING:
    from collections.abc import Iterator

SHEET = "sheet.json"
MOST, DEEPEST, ENTRIES = 200, 3, 5000
"""Sheets shown, folders within folders looked into, and entries looked at."""

say = speaker("filling")


def sheets_below(folder: Path) -> list[Path]:
    """The sheets in a folder and in those within it, in order; keys' folders are left out."""
    return sorted(_below(folder))[:MOST]


def _below(folder: Path) -> Iterator[Path]:
    looked = 0
    for here, inside, files in os.walk(folder, followlinks=False):
        depth = len(Path(here).relative_to(folder).parts)
        inside[:] = sorted(n for n in inside if n != "keys" and n[:1] != ".") * (depth < DEEPEST)
        looked += len(inside) + len(files)
        if SHEET in files:
            yield Path(here) / SHEET
        if looked > ENTRIES:
            return


class SheetList(Menu):
    """The sheets found."""

    BINDINGS: ClassVar[list[BindingType]] = [bound("enter", "select", "fill-in")]


class SheetsScreen(Leaving["Path | None"], ModalScreen["Path | None"]):
    """A list of the sheets in a ``folder``; dismissed with the one to fill in."""

    CSS_PATH = "list.tcss"
    HELP = say("help.sheets")
    BINDINGS: ClassVar[list[BindingType]] = [bound("escape", "dismiss(None)", "close")]

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self._folder = folder
        self._sheets: list[Path] = []

    def compose(self) -> ComposeResult:
        """The list, and what a teacher types."""
        with DialogFrame(say("sheets.title"), id="sheets"):
            yield Static(say("sheets.looking"), id="here", markup=False)
            yield SheetList(id="found", markup=False)
            with VerticalScroll(id="making", can_focus=False):
                yield Static(Content(say("sheets.making")), markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Look through the folder beside the first paint."""
        self.query_one(SheetList).display = False
        self._look()

    @work(thread=True)
    def _look(self) -> None:
        self.call_later(self._looked, sheets_below(self._folder))

    def _looked(self, sheets: list[Path]) -> None:
        self._sheets = sheets
        here, menu = self.query_one("#here", Static), self.query_one(SheetList)
        here.update(Content(say("sheets.found" if self._sheets else "sheets.none")))
        menu.display = bool(self._sheets)
        for index, path in enumerate(self._sheets):
            shown = path.parent.relative_to(self._folder).as_posix()
            name = self._folder.name if shown == "." else shown
            menu.add_option(Option(Content(plain(name)), str(index)))
        if self._sheets:
            menu.highlighted = 0
            menu.focus()

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(self._sheets[event.option_index])
