"""What the monkey does, and how it is told that something broke."""

from __future__ import annotations

import asyncio
import pkgutil
from collections import Counter, deque
from collections.abc import Callable
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path

from rungwise.problems.chance import Chance
from rungwise.problems.questions.model import Task
from rungwise.tutor import screens
from rungwise.tutor.browser.driver import NAMED, key_event, mouse_event, text_events
from rungwise.tutor.classroom.handins.filling import Filling
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.bench.screen import BenchScreen
from rungwise.tutor.screens.drill.screen import DrillScreen
from rungwise.tutor.screens.drill.session_end import SummingUpScreen
from rungwise.tutor.screens.opening.screen import OpeningScreen
from rungwise.tutor.screens.sheet.list import SheetsScreen
from rungwise.tutor.screens.sheet.screen import SheetScreen
from rungwise.tutor.store.keeper import Keeper
from textual import events
from textual.geometry import Size
from textual.message import Message
from textual.pilot import Pilot
from textual.screen import Screen

from tests.support.hostile import FRAGMENTS
from tests.tutor.screens.rehearsal_scenes import a_sitting
from tests.tutor.screens.sheet_scenes import sheet

NAMES = sorted(NAMED)
SIGNS = "abcdefghijklmnopqrstuvwxyzABCKLNZ0123456789.?*+-/()^%[]{}<>=,;:#&|\\~'\"! äΩµ√π²∥中é"
ANSWERS = ("4.7 kHz", "0", "2", "-40", "1/(2πRC)", "√(L/C)", "−90°", "20 dB/decade", "9" * 300)
PASTES = (
    *ANSWERS,
    *(fragment * 3 for fragment in FRAGMENTS),
    "source 50 Ω; series L 10 mH; shunt C 100 nF; load 50 Ω\n",
    "series R\n" * 400,
    "[red]" * 2000,
)
PATIENCE = 60.0
"""Seconds after which a tutor that has not come to rest hangs."""
LIFE = 800
"""About so many turns between two starts of the tutor, all with one record."""
STUCK = 60
"""So many turns on one screen, and the monkey is led elsewhere."""
SIZES = ((80, 24), (60, 20), (120, 40), (200, 60))

UNSEEN = {
    "Leaving": "a base of others",
    "Sitting": "a base of the drill's",
    "TroubleScreen": "it is shown after a fault, which would end this",
}
"""Screens that are never on top, and why."""


class Broken(AssertionError):  # noqa: N818 - what has happened, not which error
    """The tutor broke: when, where, and what was done last."""


@dataclass
class Report:
    """What happened."""

    turns: int = 0
    starts: int = 0
    seen: Counter[str] = field(default_factory=Counter)
    """Turns by the name of the screen that was on top."""
    done: Counter[str] = field(default_factory=Counter)
    """Turns by kind."""


def all_screens() -> set[str]:
    """The names of the tutor's screens."""
    found = set()
    for module in pkgutil.walk_packages(screens.__path__, f"{screens.__name__}."):
        for value in vars(import_module(module.name)).values():
            if (
                isinstance(value, type)
                and issubclass(value, Screen)
                and value.__module__ == module.name
            ):
                found.add(value.__name__)
    return found - set(UNSEEN)


class Monkey:
    """One life of a tutor under random hands.

    Args:
        pilot: The tutor.
        chance: Where all decisions come from.
        report: Added to.
        last: The last things done are appended here.
    """

    def __init__(
        self, pilot: Pilot[None], chance: Chance, report: Report, last: deque[str]
    ) -> None:
        self.pilot, self.app = pilot, pilot.app
        self.chance, self.report, self.last = chance, report, last
        self._stay = 0
        self._screen = ""
        self._over = (0, 0)

    @property
    def over(self) -> bool:
        """Whether the tutor was left, for it lies within reach of keys and clicks too."""
        return self.app._exit or not self.app.is_running

    def send(self, message: Message, what: str) -> None:
        """Do one thing, without waiting for what comes of it."""
        self.last.append(what)
        driver = self.app._driver
        assert driver is not None
        driver.process_message(message)

    async def rest(self) -> None:
        """Wait until the tutor has nothing to do; look whether it is well."""
        if not self.over:
            await asyncio.wait_for(self.pilot.pause(), PATIENCE)
        if self.app._exception is not None:
            raise Broken from self.app._exception
        if not self.over:
            screen = type(self.app.screen).__name__
            if screen != self._screen:
                self._stay = 0
                self.last.append(f"[{screen}]")
            self._screen = screen

    def key(self) -> None:
        """Any key."""
        match self.chance.below(10):
            case 0 | 1 | 2:
                name = self.chance.pick(NAMES)
            case 3 if self.chance.below(3) == 0:
                modifiers = self.chance.pick(("ctrl", "shift", "alt", "ctrl+shift"))
                name = f"{modifiers}+{self.chance.pick(NAMES)}"
            case 4 if self.chance.below(2) == 0:
                letter = self.chance.pick("abcdefghijklmnoprstuvwxyz")  # ctrl+q: below, rarely
                name = f"ctrl+{letter}"
            case _:
                for event in text_events(self.chance.pick(SIGNS)):
                    self.send(event, event.key)
                return
        self.send(key_event(name), name)

    def paste(self) -> None:
        """Any text; now and then a megabyte of it."""
        text = self.chance.pick(PASTES)
        if self.chance.below(12) == 0:
            text = text * (1_000_000 // len(text))
        self.send(events.Paste(text), f"paste of {len(text)}: {text[:20]!r}")

    def size(self) -> None:
        """Any size, or several at once."""
        for _ in range(1 + self.chance.below(4)):
            columns, rows = (
                self.chance.pick(SIZES)
                if self.chance.below(2)
                else (1 + self.chance.below(240), 1 + self.chance.below(80))
            )
            self.app._driver._size = columns, rows  # type: ignore[union-attr]
            size = Size(columns, rows)
            self.last.append(f"{columns}x{rows}")
            self.app.post_message(events.Resize(size, size, size))

    def mouse(self) -> None:
        """A click, a move or a turn of the wheel, anywhere."""
        columns, rows = self.app.size
        x, y = self.chance.below(max(1, columns)), self.chance.below(max(1, rows))
        for what in self.chance.pick(
            (("down", "up"), ("down", "up"), ("move",), ("scroll-up",), ("scroll-down",))
        ):
            button = 1 if what in ("down", "up") else 0
            event = mouse_event(self._over, {"what": what, "x": x, "y": y, "button": button})
            self._over = x, y
            self.send(event, f"{what} at {x}, {y}")

    def text(self) -> None:
        """A whole answer, submitted."""
        for event in text_events(self.chance.pick(ANSWERS)):
            self.send(event, event.key)
        self.send(key_event("enter"), "enter")

    async def turn(self) -> None:
        """Some things at once, then rest."""
        kinds: tuple[tuple[str, Callable[[], None]], ...] = (
            *(("key", self.key),) * 40,
            *(("text", self.text),) * 2,
            *(("mouse", self.mouse),) * 5,
            ("paste", self.paste),
            *(("size", self.size),) * 2,
        )
        for _ in range(1 + self.chance.below(12)):
            kind, do = self.chance.pick(kinds)
            do()
            self.report.done[kind] += 1
            self.report.turns += 1
            self._stay += 1
            self.report.seen[self._screen] += 1
        if self.chance.below(400) == 0:
            self.send(key_event("ctrl+q"), "ctrl+q")
        await self.rest()
        if self._stay > STUCK and not self.over:
            await self.lead()

    async def press(self, *keys: str) -> None:
        """Press keys one after the other, as somebody does who knows where to go."""
        for key in keys:
            if self.over:
                return
            event = key_event(key) if key in NAMED or "+" in key else next(text_events(key))
            self.send(event, f"({key})")
            self.report.turns += 1
            self.report.done["led"] += 1
            await self.rest()
            self.report.seen[self._screen] += 1

    async def lead(self) -> None:
        """Go somewhere else: up to a summit, or back to the start and in by another way."""
        self._stay = 0
        await self.press(*["escape"] * self.chance.below(3))
        if self.over:
            return
        screen = self.app.screen
        if isinstance(screen, DrillScreen) and self.chance.below(2):
            way = self.chance.below(4)
            if way == 0:
                await self.press("f5")
            elif way == 1:
                await self.press("f7")
            else:
                await self.press(*["f4", "enter"] * 14)
        elif isinstance(screen, BenchScreen) and self.chance.below(4):
            await self.press(self.chance.pick("cff"))
        elif isinstance(screen, OpeningScreen) and self.chance.below(8) == 0:
            # Where no key leads here and now: after ten minutes, and in a folder with sheets.
            self.app.push_screen(self.chance.pick((summing_up, sheets))())
            await self.rest()
        elif isinstance(screen, OpeningScreen):
            await self.press(self.chance.pick("gnwclbbbbbpeoxr"))
        else:
            await self.press("escape", "escape")


def summing_up() -> Screen[bool]:
    """What stands at the end of a sitting."""
    return SummingUpScreen(a_sitting())


def sheets() -> Screen[Path | None]:
    """The list of sheets, in a folder that has none."""
    return SheetsScreen(Path(__file__).parent)


def on_a_sheet() -> Rungwise:
    """A sheet to be filled in, whose hand-in is kept nowhere."""
    return Rungwise(first=SheetScreen(Filling(sheet(), "01"), lambda: None, "answers.json"))


async def live(app: Rungwise, turns: int, chance: Chance, report: Report, last: deque[str]) -> None:
    """One life: ended after so many turns, or by the monkey."""
    report.starts += 1
    async with app.run_test(size=chance.pick(SIZES)) as pilot:
        monkey = Monkey(pilot, chance, report, last)
        end = report.turns + turns
        await monkey.rest()
        while report.turns < end and not monkey.over:
            await monkey.turn()
        if monkey.over:
            return
        # Whatever it is that has been done, the keyboard leads back to where one came in.
        await pilot.resize_terminal(120, 40)
        for _ in range(12):
            if len(app.screen_stack) == 1:
                break
            await monkey.press("escape")
        assert monkey.over or len(app.screen_stack) == 1, app.screen_stack


async def play(turns: int, seed: int, home: Path) -> Report:
    """Let the monkey play.

    Args:
        turns: How many keys, pastes, clicks and changes of size.
        seed: Which ones.
        home: An empty folder for the record.

    Raises:
        Broken: the tutor broke; the message says where and after what.
    """
    chance, report = Chance(seed, "monkey"), Report()
    last: deque[str] = deque(maxlen=60)
    while report.turns < turns:
        keeper = Keeper("Monkey", home)
        wish = None
        if chance.below(2):
            task = chance.pick((*Task, None))
            wish = ProblemRequest(1 + chance.below(6), None, chance.below(10**6), task)
        if report.starts % 6 == 5:
            app = on_a_sheet()
        else:
            app = Rungwise(wish, keeper=keeper, fresh=not report.starts)
        try:
            await live(app, min(LIFE, turns - report.turns), chance, report, last)
        except (Exception, asyncio.CancelledError) as error:
            raise Broken(f"seed {seed}, turn {report.turns}, after: {' '.join(last)}") from (
                error.__cause__ or error
            )
        finally:
            app.let_go()
        if keeper.trouble:
            raise Broken(f"seed {seed}, turn {report.turns}: {keeper.trouble}")
    return report
