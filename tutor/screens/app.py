"""The full-screen tutor."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from functools import partial
from shutil import get_terminal_size
from time import monotonic
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.events import DescendantFocus
from textual.filter import LineFilter
from textual.screen import Screen

from ..language.ascii import ascii_screen
from ..language.dates import local_now
from ..language.texts import fill
from .common import motion
from .common.keys import bound
from .common.served import served
from .common.too_small import COLUMNS, ROWS
from .compat.enduring import Enduring
from .compat.plain_signs import PlainSigns
from .compat.theming import Themed
from .themes import DUSK, GREY, THEMES, after

if TYPE_CHECKING:
    from ..learning.request import ProblemRequest
    from ..store.keeper import Keeper
    from .inspect.screen import RoundMaker
    from .opening.screen import OpeningScreen

_KEYS = {
    "enter": "Enter",
    "escape": "Esc",
    "space": "Space",
    "tab": "Tab",
    "backspace": "Backspace",
    "question_mark": "?",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    "home": "Home",
    "end": "End",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "plus": "+",
    "minus": "−",
    "equals_sign": "=",
    "comma": ",",
    "full_stop": ".",
    "semicolon": ";",
    "colon": ":",
    "less_than_sign": "<",
    "greater_than_sign": ">",
}
_MODIFIERS = {"ctrl": "^", "shift": "⇧"}


_LONGEST_TURN = 1.0
"""Seconds after which F1 is heard again, even if the page it opened or closed was never painted."""


def first_screen(
    wish: ProblemRequest | None, fresh: bool, rounds: RoundMaker | None = None
) -> Screen[None]:
    """The screen at the bottom of all others; the other ones are not even imported.

    Args:
        wish: the problem to begin with, if the command named one.
        fresh: whether the learner's record is empty.
        rounds: makes rounds of looks, where these were asked for.
    """
    if rounds is not None:
        from .inspect.screen import InspectScreen

        return InspectScreen(rounds)
    if wish is not None:
        from .drill.screen import DrillScreen

        return DrillScreen(wish)
    from .opening.screen import OpeningScreen

    return OpeningScreen(fresh=fresh)


class Rungwise(Themed, Enduring):
    """The tutor.

    It begins with the opening screen or, for a wish, straight with the drill, or with looks.

    Args:
        wish: What to climb first; the seeds of the next problems count on from it.
        keeper: Keeps the learner's record, or makes one when it is first asked for; without one
            nothing is kept.
        fresh: Whether there is no record yet, as far as can be said without reading one.
        clock: Says what time it is, in the learner's time zone.
        rounds: Makes rounds of looks, to begin with them.
        then: Opens another room from the opening screen, once that has been painted.
        first: Another screen to begin with, and to have nothing else behind it.
    """

    CSS_PATH = "app.tcss"
    TITLE = "Rungwise"
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012 - declared so by the base class
        (0, "-tiny"),
        (COLUMNS, "-narrow"),
        (76, "-small"),
        (110, "-medium"),
        (160, "-large"),
    ]
    VERTICAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-flat"),
        (ROWS, "-low"),
        (36, "-tall"),
    ]
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("f1", "toggle_help", "help"),
        bound("f6,ctrl+t", "next_theme", "theme", show=False, priority=True),
        bound("ctrl+q", "quit", "quit", priority=True),
    ]

    def __init__(
        self,
        wish: ProblemRequest | None = None,
        keeper: Keeper | Callable[[], Keeper] | None = None,
        *,
        fresh: bool = True,
        clock: Callable[[], datetime] = local_now,
        rounds: RoundMaker | None = None,
        then: Callable[[OpeningScreen], None] | None = None,
        first: Screen[None] | None = None,
    ) -> None:
        self._plain_signs = PlainSigns()
        super().__init__()
        self._keeper, self.clock = keeper, clock
        self._turned = -_LONGEST_TURN  # when help was opened or closed, while it is unpainted
        self._first = first or first_screen(wish, fresh, rounds)
        if then is not None:
            setattr(self._first, "then", then)  # noqa: B010 - only the opening screen has one
        # Textual reads the style sheets of a screen when it is pushed, but not the first one's.
        self.css_path = [*self.css_path, *self._first.css_path]
        # The classes that the first resize would give: it then has nothing to lay out anew.
        columns, rows = get_terminal_size()
        for size, breakpoints in (
            (columns, self.HORIZONTAL_BREAKPOINTS),
            (rows, self.VERTICAL_BREAKPOINTS),
        ):
            self._first.add_class([name for least, name in breakpoints if size >= least][-1])
        for name in tuple(self.available_themes):
            self.unregister_theme(name)
        for theme in THEMES:
            self.register_theme(theme)
        # Textual draws everything in greys where NO_COLOR is set; ours are chosen, not derived.
        self.theme = (GREY if self.no_color else DUSK).name
        self.stylesheet.set_variables(self.get_css_variables())
        self.styled_already(until_painted=True)

    @property
    def keeper(self) -> Keeper | None:
        """Keeps the learner's record; ``None`` where nothing is kept."""
        if callable(self._keeper):
            self._keeper = self._keeper()
        return self._keeper

    def let_go(self) -> None:
        """Write what still waits to be written, and close the record."""
        if self._keeper is not None and not callable(self._keeper):
            self._keeper.close()

    def get_default_screen(self) -> Screen[None]:
        """The opening screen or the drill is there from the first frame on."""
        return self._first

    def on_mount(self) -> None:
        """Once painted, see to what can wait until then."""
        self.call_after_refresh(self._painted)

    def _painted(self) -> None:
        self.styled_already(until_painted=False)
        if not gc.isenabled():
            gc.freeze()  # what start-up made stays, and need not be gone through ever again
            # All that was made since is gone through at every fifth of the usual times: it takes
            # 50 ms, in which a key would wait for its paint.
            gc.set_threshold(*gc.get_threshold()[:2], 5 * gc.get_threshold()[2])
            gc.enable()
        if not self.is_headless:
            from .shutdown import heed_signals

            heed_signals(self, self.let_go)
        if motion.still():
            self.animation_level = "none"
        elif self._keeper is not None:
            self.call_after_refresh(self.run_worker, self._settle, thread=True, group="settle")

    def _settle(self) -> None:
        """Take up the learner's settings, beside the screen."""
        if self.keeper is not None and self.keeper.setting(motion.SETTING):
            self.animation_level = "none"

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """No cursor blinks, not even those of the library's own lines of typing."""
        if getattr(event.widget, "cursor_blink", False):
            setattr(event.widget, "cursor_blink", False)  # noqa: B010 - several kinds have one

    def hold_still(self, on: bool) -> None:
        """Move nothing from now on, or let things slide again; and remember it."""
        self.animation_level = "none" if on else "full"
        if self.keeper is not None:
            self.keeper.set(motion.SETTING, "1" if on else "")

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """What has a key now has a place in the palette too; the bench where it tells no answer."""
        for command in super().get_system_commands(screen):
            if command.title == "Screenshot" and served():
                continue  # a visitor's browser is handed no files
            if command.callback != self.action_change_theme:
                yield command
                continue
            for theme in THEMES:  # in the place of a second list that would have to be opened
                title = fill("screens", f"theme.{theme.name}.title")
                say = fill("screens", f"theme.{theme.name}.say")
                yield SystemCommand(title, say, partial(setattr, self, "theme", theme.name))
        still = self.animation_level != "none"
        what = "hold" if still else "move"
        title, say = (fill("screens", f"motion.{what}-{part}") for part in ("title", "say"))
        yield SystemCommand(title, say, partial(self.hold_still, still))
        opener = getattr(screen, "action_bench", None)
        if opener is not None:
            title, say = (fill("bench", f"palette.{part}") for part in ("title", "say"))
            yield SystemCommand(title, say, opener)
        told = {"bench", "quit"}
        for active in screen.active_bindings.values():
            binding = active.binding
            if binding.id and active.enabled and binding.action not in told:
                told.add(binding.action)
                yield SystemCommand(
                    binding.description,
                    self.get_key_display(binding),
                    partial(self.run_action, binding.action, active.node),
                )

    def get_line_filters(self) -> Sequence[LineFilter]:
        """What every line goes through; on a poor terminal no sign but ASCII gets out."""
        filters = super().get_line_filters()
        return [*filters, self._plain_signs] if ascii_screen() else filters

    def get_key_display(self, binding: Binding) -> str:
        """Keys as they are printed on a keyboard: F2, Enter, Esc, ^Q."""
        *modifiers, key = binding.key.split("+")
        if len(key) == 1 and key.isupper():
            modifiers.append("shift")
        shown = _KEYS.get(key, key.upper() if modifiers or len(key) < 4 else key)
        return "".join(_MODIFIERS.get(m, f"{m}+") for m in modifiers) + shown

    def action_command_palette(self) -> None:
        """Open the command palette, if it is not open."""
        from .compat.menu import Palette

        if not isinstance(self.screen, Palette):
            self.push_screen(Palette(id="--command-palette"))

    def action_toggle_help(self) -> None:
        """Show what the screen is for and its keys, or leave that page.

        Keys that come faster than this is painted, of a held F1 for instance, are passed over.
        """
        if monotonic() - self._turned < _LONGEST_TURN:
            return
        from textual.command import CommandPalette

        from .common.help import HelpScreen, keys_of

        if isinstance(self.screen, HelpScreen):
            self.screen.dismiss()
            self._turn()
        elif not isinstance(self.screen, CommandPalette):
            about = [part.HELP for part in (self.screen, self.focused) if part and part.HELP]
            self.push_screen(HelpScreen("\n\n".join(about), keys_of(self.screen)))
            self._turn()

    def _turn(self) -> None:
        """Wait for the paint of the screen that is now on top."""
        self._turned = monotonic()
        self.call_later(self.call_after_refresh, setattr, self, "_turned", -_LONGEST_TURN)

    def action_show_help_panel(self) -> None:
        """The palette's way to the same page."""
        self.call_later(self.action_toggle_help)

    def action_next_theme(self) -> None:
        """Go on to the next theme, round and round."""
        self.theme = after(self.theme)
