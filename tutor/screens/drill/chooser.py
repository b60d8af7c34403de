"""Choosing what to climb: a level, all of its circuits or one family of them, and a task."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from ....problems.catalogue.groups import LEVELS
from ....problems.questions.model import Rung, Task
from ...language.texts import Words
from ...learning.request import ProblemRequest
from ..common.frame import DialogFrame
from ..common.keyline import KeyLine
from ..common.keys import bound
from ..common.leaving import Leaving
from ..compat.menu import Menu
from .kinds import KindsLine, KindsScreen
from .tasks import TaskLine


class ChooserScreen(Leaving["ProblemRequest | None"], ModalScreen["ProblemRequest | None"]):
    """Levels, the families of the one highlighted, and the task; first those of a ``wish``."""

    CSS_PATH = "chooser.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("right", "families", "families", priority=True),
        bound("left", "levels", "levels", priority=True),
        bound("t", "task(1)", "task"),
        bound("T", "task(-1)", "task", show=False),
        bound("k", "kinds", "kinds"),
        bound("escape", "dismiss(None)", "close"),
    ]

    def __init__(self, wish: ProblemRequest) -> None:
        super().__init__()
        self._wish = wish
        self._kinds = wish.kinds

    def compose(self) -> ComposeResult:
        """The two lists."""
        ui = Words.load().ui
        with DialogFrame(ui("chooser.title"), id="chooser"):
            with Vertical(id="level-side"):
                yield Static(ui("chooser.levels"), classes="heading", markup=False)
                yield Menu(
                    *(Option(Content(f"{n}  {ui(f'chooser.{n}')}"), str(n)) for n in LEVELS),
                    id="levels",
                    markup=False,
                )
            with Vertical(id="family-side"):
                yield Static(ui("chooser.families"), classes="heading", markup=False)
                yield Menu(id="families", markup=False)
            yield KindsLine(self._kinds)
            yield TaskLine(self._wish.task)
        yield KeyLine()

    def on_mount(self) -> None:
        """Start at the level being climbed."""
        levels = self.query_one("#levels", OptionList)
        levels.highlighted = (self._level_now() or 1) - 1
        levels.focus()

    def _level_now(self) -> int | None:
        if self._wish.level is None and self._wish.family is not None:
            from ....problems.catalogue.families import find

            return find(self._wish.family).level
        return self._wish.level

    @property
    def _level(self) -> int:
        return (self.query_one("#levels", OptionList).highlighted or 0) + 1

    @on(OptionList.OptionHighlighted, "#levels")
    def _show_families(self) -> None:
        from ....problems.catalogue.families import FAMILIES

        words, families = Words.load(), self.query_one("#families", OptionList)
        families.clear_options()
        families.add_option(Option(Content(words.ui("chooser.mixed")), ""))
        families.add_options(
            Option(Content(words.family(family.name)), family.name)
            for family in FAMILIES
            if family.level == self._level
        )
        families.highlighted = 0
        if self._wish.family is not None and self._level == self._level_now():
            families.highlighted = families.get_option_index(self._wish.family)

    @on(OptionList.OptionSelected, "#levels")
    def _level_chosen(self) -> None:
        self._choose(None)

    @on(OptionList.OptionSelected, "#families")
    def _family_chosen(self, event: OptionList.OptionSelected) -> None:
        self._choose(event.option_id or None)

    def _choose(self, family: str | None) -> None:
        from ....problems.catalogue.families import find

        task = self.query_one(TaskLine).chosen
        # Keys can come faster than the lists follow: a family's level is its own.
        level = self._level if family is None else find(family).level
        kinds = self._kinds if task is Task.ANALYSE else ()
        self.dismiss(ProblemRequest(level, family, self._wish.next().seed, task, kinds=kinds))

    def action_task(self, by: int) -> None:
        """Another task, round and round."""
        self.query_one(TaskLine).turn(by)

    def action_kinds(self) -> None:
        """Choose which kinds of question an analysis asks."""
        self.app.push_screen(KindsScreen(self._kinds), self._kinds_chosen)

    def _kinds_chosen(self, kinds: tuple[Rung, ...] | None) -> None:
        if kinds is not None:
            self._kinds = kinds
            self.query_one(KindsLine).show(kinds)
            self.query_one(TaskLine).choose(Task.ANALYSE)

    def action_families(self) -> None:
        """Go to the families."""
        self.query_one("#families").focus()

    def action_levels(self) -> None:
        """Go back to the levels."""
        self.query_one("#levels").focus()
