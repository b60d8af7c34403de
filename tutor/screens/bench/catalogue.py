"""Picking a circuit of the catalogue for the bench."""

from __future__ import annotations

from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from ....problems.catalogue.families import FAMILIES
from ....problems.circuits.model import Ladder
from ...drafting.bench import example
from ...language.texts import Words, fill
from ..common.keyline import KeyLine
from ..common.leaving import Leaving


def _key(keys: str, action: str, name: str, *, show: bool = True) -> Binding:
    words = fill("bench", f"keys.{name}")
    return Binding(keys, action, words, show=show, priority=True, id=f"bench-catalogue.{name}")


class FindLine(Input):
    """Words that narrow the list; a paste too long is cut."""

    cursor_blink = False

    def on_paste(self, event: events.Paste) -> None:
        """Take the first line, as much as fits."""
        event.stop()
        event.prevent_default()
        line = event.text[:400].strip().splitlines()
        if line:
            kept = "".join(c for c in line[0] if c.isprintable())
            self.replace(kept[: max(0, 60 - len(self.value))], *sorted(self.selection))


class CatalogueScreen(Leaving[Ladder | None], ModalScreen[Ladder | None]):
    """Every family by level; typing narrows the list, arrows choose."""

    BINDINGS: ClassVar[list[BindingType]] = [
        _key("enter", "pick", "pick"),
        _key("down", "move(1)", "part", show=False),
        _key("up", "move(-1)", "part-up", show=False),
        _key("pagedown", "move(8)", "page", show=False),
        _key("pageup", "move(-8)", "page-back", show=False),
        _key("escape", "dismiss(None)", "close"),
    ]
    # The list follows what is typed above it: it never has the focus, but is the one in use.
    CSS = """
    #catalogue OptionList > .option-list--option-highlighted {
        color: $block-cursor-foreground;
        background: $block-cursor-background;
        text-style: $block-cursor-text-style;
    }
    """
    DEFAULT_CSS = """
    CatalogueScreen { align: center middle; background: $background 60%; }
    #catalogue {
        width: 84%; max-width: 84; height: 90%; max-height: 34;
        border: round $ink-copper; border-title-color: $ink-copper; border-title-style: bold;
        background: $background; padding: 0 1;
    }
    #catalogue FindLine { background: $picked; padding: 0 1; height: 1; margin-bottom: 1; }
    #catalogue OptionList {
        border: none; background: $background; height: 1fr; padding: 0; scrollbar-size: 1 1;
    }
    #catalogue OptionList:focus { border: none; background: $background; }
    #catalogue #family-about {
        height: auto; min-height: 2; max-height: 4; padding: 0 1; color: $ink-quiet;
        border-top: solid $ink-line;
    }
    """

    def compose(self) -> ComposeResult:
        """The line to type in, the list, a sentence on the family."""
        with Container(id="catalogue"):
            yield FindLine(placeholder=fill("bench", "catalogue.find"), compact=True, max_length=60)
            families = OptionList(markup=False)
            families.can_focus = False
            yield families
            yield Static(id="family-about", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Show the whole catalogue."""
        self.query_one("#catalogue").border_title = fill("bench", "catalogue.title")
        self._list("")

    @on(Input.Changed)
    def _narrow(self, event: Input.Changed) -> None:
        self._list(event.value)

    def _list(self, wanted: str) -> None:
        words = Words.load()
        parts = wanted.lower().split()
        options: list[Option] = []
        level = 0
        for family in FAMILIES:
            title = words.family(family.name)
            if not all(part in f"{title} {family.name}".lower() for part in parts):
                continue
            if family.level != level:
                level = family.level
                head = fill("bench", "catalogue.level", [("level", level)])
                options.append(Option(Content.styled(head, "$ink-quiet"), disabled=True))
            options.append(Option(Content(f"  {title}"), family.name))
        families = self.query_one(OptionList)
        families.clear_options()
        families.add_options(options)
        if len(options) > 1:
            families.highlighted = 1
        else:
            text = fill("bench", "catalogue.none")
            self.query_one("#family-about", Static).update(text)

    @on(OptionList.OptionHighlighted)
    def _about(self, event: OptionList.OptionHighlighted) -> None:
        if event.option_id:
            text = Words.load().family_about(event.option_id)
            self.query_one("#family-about", Static).update(text)

    @on(OptionList.OptionSelected)
    def _clicked(self, event: OptionList.OptionSelected) -> None:
        if event.option_id:
            self.dismiss(example(event.option_id))

    def action_move(self, by: int) -> None:
        """Go up or down the list, past the headings."""
        families = self.query_one(OptionList)
        for _ in range(abs(by)):
            if by > 0:
                families.action_cursor_down()
            else:
                families.action_cursor_up()

    def action_pick(self) -> None:
        """Take the highlighted family to the bench."""
        families = self.query_one(OptionList)
        if families.highlighted is not None:
            option = families.get_option_at_index(families.highlighted)
            if option.id:
                self.dismiss(example(option.id))
