"""Picking a circuit of the catalogue for the bench."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from ....problems.catalogue.families import FAMILIES
from ....problems.circuits.model import Ladder
from ...drafting.bench import example
from ...language.texts import Words, fill
from ..common.picking import PickScreen
from .frame import key


class CatalogueScreen(PickScreen[Ladder | None]):
    """Every family by level."""

    BINDINGS: ClassVar[list[BindingType]] = [
        key("enter", "pick", "pick"),
        key("down", "move(1)", "part", show=False),
        key("up", "move(-1)", "part-up", show=False),
        key("pagedown", "move(8)", "page", show=False),
        key("pageup", "move(-8)", "page-back", show=False),
        key("escape", "dismiss(None)", "close"),
    ]
    DEFAULT_CSS = """
    CatalogueScreen #picking { width: 84%; max-width: 84; max-height: 34; }
    #family-about {
        height: auto; min-height: 2; max-height: 4; padding: 0 1; color: $ink-quiet;
        border-top: solid $ink-line;
    }
    """

    def __init__(self) -> None:
        super().__init__(fill("bench", "catalogue.title"), fill("bench", "catalogue.find"))

    def beneath(self) -> Iterator[Widget]:
        """A sentence on the family."""
        yield Static(id="family-about", markup=False)

    def rows(self, words: str) -> Iterator[Option]:
        """The families whose titles or names have all the ``words``, under their levels."""
        known = Words.load()
        parts = words.lower().split()
        level = 0
        for family in FAMILIES:
            title = known.family(family.name)
            if not all(part in f"{title} {family.name}".lower() for part in parts):
                continue
            if family.level != level:
                level = family.level
                head = fill("bench", "catalogue.level", [("level", level)])
                yield Option(Content.styled(head, "$ink-quiet"), disabled=True)
            yield Option(Content(f"  {title}"), family.name)
        if not level:
            self.query_one("#family-about", Static).update(fill("bench", "catalogue.none"))

    def stands_for(self, row: str) -> Ladder:
        """The example of a family: ``row`` is its name."""
        return example(row)

    @on(OptionList.OptionHighlighted)
    def _about(self, event: OptionList.OptionHighlighted) -> None:
        if event.option_id:
            text = Words.load().family_about(event.option_id)
            self.query_one("#family-about", Static).update(text)
