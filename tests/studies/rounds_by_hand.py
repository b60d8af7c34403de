"""Rounds of looks as somebody at the keyboard sees them: terminal, plain lines, browser, rehearsal.

``python -m tests.studies.rounds_by_hand [WAY …] [--seed N] [--keep FOLDER]`` goes the ways named
(``terminal``, ``newcomer``, ``plain``, ``rehearsal``, ``browser``; all of them unless said
otherwise) with the real program and an empty record, and prints what each came to.  ``--keep``
writes every screen that was seen into a folder, to be read.

Whoever presses the keys of a terminal's later rounds knows filters well: they see in a round of
their own, made of the same seed and record, what is asked, and are wrong now and then.  All others
guess among the keys that the screen offers.
"""

from __future__ import annotations

import argparse
import asyncio
import re
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from rungwise.tutor.coach.looking import recognition_of
from rungwise.tutor.language.dates import local_now
from rungwise.tutor.language.texts import fill
from rungwise.tutor.learning.looks import ROUND_LENGTH
from rungwise.tutor.learning.rounds import Round
from rungwise.tutor.phrases import looks as phrases
from rungwise.tutor.store.keeper import Keeper

from tests.support.tmux_stage import Terminal
from tests.tutor.browser.browser import Browser, visit
from tests.tutor.browser.server import serving

SIZES = (80, 24), (120, 40)
SEEN = 0.3
"""Seconds after a circuit has been painted until it is answered: sooner nobody has seen it."""
READ = 0.6
"""Seconds after an explanation has been painted until it has been read."""
WRONG = 0.15
"""How often somebody who knows filters presses a wrong key."""
PATIENCE = 20.0
"""Seconds that are waited for what must come."""
UNCHANGED = 2.5
"""Seconds after which a key is taken to have changed nothing."""

CHOICE = re.compile(r"(?:^|\s)([0-5])(?=\s|$)")
ONWARD = fill("inspect", "onward")
FIRST = fill("inspect", "place", [("number", 1), ("count", ROUND_LENGTH)])
OVER = fill("inspect", "over")


def keys_offered(screen: str) -> list[str]:
    """The keys of the choices that a screen offers, read off the row above the key line."""
    rows = [line for line in screen.splitlines() if line.strip()]
    strip = next((row for row in rows[::-1][1:3] if CHOICE.search(row)), "")
    return CHOICE.findall(strip)


def asking(screen: str) -> list[str]:
    """What a screen says that it asks: the place in the round, and the question."""
    return screen.splitlines()[:3]


@dataclass
class Seen:
    """What was seen: every screen that differs from the one before, and seconds key to paint."""

    folder: Path | None
    times: list[float] = field(default_factory=list)
    screens: int = 0
    rounds: int = 0

    def keep(self, name: str, screen: str) -> None:
        """Keep a screen where that is wanted; complain of one that nobody should see."""
        assert "Traceback" not in screen and "looks." not in screen, screen
        self.screens += 1
        if self.folder is not None:
            self.folder.mkdir(parents=True, exist_ok=True)
            self.folder.joinpath(f"{self.screens:04d}-{name}.txt").write_text(screen, "utf-8")

    def figures(self) -> str:
        """How long it took from a right key to the next circuit on the screen."""
        if not self.times:
            return ""
        times = sorted(self.times)
        p50, p95 = (1000 * times[int(share * (len(times) - 1))] for share in (0.5, 0.95))
        return f"; next circuit after {len(times)} right keys: p50 {p50:.0f} ms, p95 {p95:.0f} ms"


@dataclass
class Hand:
    """Somebody at a terminal."""

    terminal: Terminal
    seen: Seen
    chance: Random
    now: str = ""

    def look(self, name: str) -> str:
        """Wait until the screen stands still; what it shows."""
        end, before = time.monotonic() + PATIENCE, self.terminal.screen()
        while time.monotonic() < end:
            time.sleep(0.12)
            after = self.terminal.screen()
            if after == before and after.strip():
                break
            before = after
        if before != self.now:
            self.now = before
            self.seen.keep(name, before)
        return before

    def press(self, *keys: str, name: str) -> str:
        """Press keys one after another, and see."""
        for key in keys:
            before, end = self.terminal.screen(), time.monotonic() + UNCHANGED
            self.terminal.press(key)
            while self.terminal.screen() == before and time.monotonic() < end:
                time.sleep(0.03)
        return self.look(name)

    def answer(self, key: str) -> tuple[str, float]:
        """Answer a look; the screen after it, and the seconds until the next one stood there."""
        before = self.terminal.screen()
        self.terminal.press(key)
        pressed, end = time.monotonic(), time.monotonic() + PATIENCE
        while asking(after := self.terminal.screen()) == asking(before) and ONWARD not in after:
            assert time.monotonic() < end, f"{key} did nothing:\n{before}\n{after}"
        spent = time.monotonic() - pressed
        return self.look("answered"), spent

    def round(self, shadow: Round | None = None, home: Path | None = None) -> None:
        """A whole round, to its page: by a shadow who knows, or by guessing."""
        screen, asked, resized = self.look("look"), 0, False
        while OVER not in screen:
            if ONWARD in screen:
                time.sleep(READ)
                screen = self.press("enter", name="onward")
                continue
            keys = keys_offered(screen)
            assert keys, f"nothing to press:\n{screen}"
            asked += 1
            time.sleep(SEEN)
            if asked % 9 == 4:
                screen = self.press(*["f2"] * self.chance.randint(1, 4), name="hint")
            if asked % 11 == 7:
                screen = self.press("f3", name="shown")
            else:
                right, key = self.key(keys, shadow)
                screen, spent = self.answer(key)
                if shadow is not None and right and ONWARD not in screen:
                    self.seen.times.append(spent)
            if shadow is not None and home is not None:
                follow(shadow, home)
            if asked == 12 and not resized:
                resized = True
                screen = self.resize()
        self.seen.rounds += 1
        self.seen.keep("page", screen)
        time.sleep(READ)

    def key(self, keys: list[str], shadow: Round | None) -> tuple[bool, str]:
        """Which key to press, and whether it is known to be right."""
        if shadow is None or shadow.step is None:
            return False, self.chance.choice(keys)
        look = shadow.step.look
        assert fits(look_prompt(shadow), self.now), f"not {look}:\n{self.now}"
        right = look.row.keys[look.answers.index(look.truth)]
        assert right in keys, f"no {right} in {keys}:\n{self.now}"
        if self.chance.random() < WRONG:
            return False, self.chance.choice([key for key in keys if key != right])
        if look.row.first_key == 1 and self.chance.random() < 0.3:
            return True, "abcde"[int(right) - 1]
        return True, right

    def resize(self) -> str:
        """Another size for a while, one that is too small for a moment, and back."""
        for size in ((200, 60), (40, 10), SIZES[0], SIZES[1], self.terminal.size):
            self.terminal.resize(*size)
            screen = self.look(f"{size[0]}x{size[1]}")
        return screen


def look_prompt(shadow: Round) -> str:
    """What is asked, in words."""
    assert shadow.step is not None
    return phrases.prompt(shadow.step.look)


def fits(prompt: str, screen: str) -> bool:
    """Whether a question stands on a screen, wherever it is folded."""
    return " ".join(prompt.split()) in " ".join(screen.split())


def follow(shadow: Round, home: Path) -> None:
    """Have a shadow do what the record says was done last."""
    keeper = Keeper("", home)
    kept = keeper.looks()[-1].look
    keeper.close()
    assert shadow.step is not None and kept.circuit
    assert (kept.kind, kept.truth) == (shadow.step.look.kind, shadow.step.look.truth), kept
    shadow.hints = kept.hints
    if kept.answered:
        shadow.answer(kept.answered, kept.seconds)
    else:
        shadow.show(kept.seconds)
    shadow.next()


def in_terminal(size: tuple[int, int], chance: Random, seen: Seen) -> None:
    """A first start, left and come back to; a placing; two rounds of one's own; progress."""
    with tempfile.TemporaryDirectory() as name:
        home = Path(name)
        with Terminal(size, home) as terminal:
            hand = Hand(terminal, seen, chance)
            terminal.start()
            terminal.wait_for(fill("opening", "goal.newcomer"))
            hand.look("opening")
            hand.press("enter", name="first")
            terminal.wait_for(FIRST)
            hand.press("escape", name="left")
            hand.press("enter", name="come-back")
            terminal.wait_for(FIRST)
            time.sleep(SEEN)
            hand.round()
            hand.press("enter", name="next-round")
            terminal.wait_for(FIRST)
            hand.look("next-round")
            time.sleep(SEEN)
            hand.press(*keys_offered(hand.now)[:1], name="answered")
            hand.press("escape", name="left-in-a-round")
            hand.press("enter", name="come-back-to-a-round")
            terminal.wait_for(FIRST)
            hand.press("escape", "p", name="progress")
            for _ in range(3):
                hand.press("tab", name="progress-on")
            terminal.press("ctrl+q")
            terminal.wait_for_end()
        for _ in range(2):
            seed = chance.randrange(10**6)
            shadow = shadowing(seed, home)
            with Terminal(size, home) as terminal:
                hand = Hand(terminal, seen, chance)
                terminal.start("inspect", "--seed", str(seed))
                terminal.wait_for(
                    fill("inspect", "place", [("number", 1), ("count", ROUND_LENGTH)])
                )
                hand.round(shadow, home)
                terminal.press("ctrl+q")
                terminal.wait_for_end()
        with Terminal(size, home) as terminal:
            hand = Hand(terminal, seen, chance)
            terminal.start()
            time.sleep(2)
            hand.look("opening-later")
            terminal.press("ctrl+q")
            terminal.wait_for_end()
        for words in ((), ("--json",), ("--csv",)):
            command = [sys.executable, "-m", "rungwise.tutor", "progress", *words]
            env = {"RUNGWISE_HOME": name, "PATH": "/usr/bin:/bin", "LC_ALL": "C.UTF-8"}
            done = subprocess.run(command, env=env, capture_output=True, text=True, check=True)
            seen.keep("progress" + "".join(words), done.stdout)


def shadowing(seed: int, home: Path) -> Round:
    """The round that a tutor with this record makes of a seed."""
    keeper, now = Keeper("", home), local_now()
    known = recognition_of(keeper, now)
    keeper.close()
    return Round(seed, known=known, today=now.date(), placing=not known.looks)


def as_newcomer(size: tuple[int, int], chance: Random, seen: Seen) -> None:
    """F on a first start: one circuit read step by step, and then looks of two types."""
    with tempfile.TemporaryDirectory() as name, Terminal(size, Path(name)) as terminal:
        hand = Hand(terminal, seen, chance)
        terminal.start()
        terminal.wait_for(fill("opening", "goal.newcomer"))
        screen = hand.press("f", name="newcomer")
        for _ in range(12):
            if FIRST in screen:
                break
            screen = hand.press("enter", name="newcomer-step")
        time.sleep(SEEN)
        hand.round()
        hand.press("escape", name="newcomer-back")
        terminal.press("ctrl+q")
        terminal.wait_for_end()


PLAIN = (
    ("--seed", "7", "--count", "12"),
    ("--seed", "8", "--count", "8", "--kinds", "type,poles,high-slope"),
    ("--seed", "9", "--count", "8", "--group", "lc-arms"),
    ("--seed", "10", "--count", "10", "--kinds", "which-response,which-map,which-circuit"),
    ("--seed", "11", "--count", "10", "--kinds", "same-type,which-one,change-corner,change-q"),
)


def in_plain_lines(chance: Random, seen: Seen) -> None:
    """Rounds over a pipe, by guessing; circuits that are shown must be readable as circuits."""
    for words in PLAIN:
        with tempfile.TemporaryDirectory() as name:
            typed = [
                chance.choice(["a", "b", "c", "1", "2", "?", ".", "", "zz"]) for _ in range(200)
            ]
            done = subprocess.run(
                [sys.executable, "-m", "rungwise.tutor", "inspect", "--plain", *words],
                input="\n".join(typed) + "\n",
                env={"RUNGWISE_HOME": name, "PATH": "/usr/bin:/bin", "LC_ALL": "C.UTF-8"},
                capture_output=True,
                text=True,
                check=True,
            )
            assert not done.stderr, done.stderr
            seen.keep("plain", " ".join(words) + "\n\n" + done.stdout)
            seen.rounds += 1


def a_rehearsal(size: tuple[int, int], chance: Random, seen: Seen) -> None:
    """Its looks first, some answers, handed in by accident, taken back, handed in."""
    with tempfile.TemporaryDirectory() as name, Terminal(size, Path(name)) as terminal:
        hand = Hand(terminal, seen, chance)
        terminal.start("rehearse", "--seed", "5", "--problems", "2")
        terminal.wait_for(fill("rehearsal", "looks.about"))
        screen = hand.look("rehearsal-look")
        while fill("rehearsal", "looks.about") in screen:
            time.sleep(SEEN)
            screen, _ = hand.answer(chance.choice(keys_offered(screen)))
        for _ in range(3):
            screen = hand.press("a", "enter", name="rehearsal-answer")
        hand.press("f9", name="hand-in")
        screen = hand.press("enter", name="handed-in")
        assert fill("screens", "keys.take-back") in screen, screen
        screen = hand.press("u", name="taken-back")
        hand.press("a", "enter", "f9", name="hand-in")
        hand.press("enter", name="handed-in")
        time.sleep(1)
        hand.press("enter", name="after-handing-in")
        hand.press("enter", name="review")
        hand.press("escape", name="after-the-review")
        terminal.press("ctrl+q")
        terminal.wait_for_end()
    seen.rounds += 1


async def in_a_browser(chance: Random, seen: Seen) -> None:
    """A first round in Chromium, by guessing."""
    with tempfile.TemporaryDirectory() as name, serving(Path(name)) as served:
        async with Browser() as browser, visit(browser, served.address) as tab:
            await tab.enter("Ana")
            await tab.sees(fill("opening", "goal.newcomer"))
            await tab.press("Enter")
            await tab.sees(FIRST)
            for _ in range(400):
                await asyncio.sleep(READ)
                screen = await tab.words()
                seen.keep("browser", screen)
                if OVER in screen:
                    break
                keys = keys_offered(screen)
                await tab.press("Enter" if ONWARD in screen else chance.choice(keys or ["Enter"]))
            await tab.sees(OVER)
            assert not tab.complaints, tab.complaints
            if seen.folder is not None:
                seen.folder.joinpath("browser.png").write_bytes(await tab.picture())
    seen.rounds += 1


WAYS = ("terminal", "newcomer", "plain", "rehearsal", "browser")


def go(way: str, seed: int, folder: Path | None) -> None:
    """Go one way and say what it came to."""
    sizes = SIZES if way in ("terminal", "newcomer", "rehearsal") else ((0, 0),)
    for size in sizes:
        at = f"{way} {size[0]}x{size[1]}" if size[0] else way
        seen = Seen(folder and folder / at.replace(" ", "-"))
        chance = Random(f"{way} {seed} {size}")
        match way:
            case "terminal":
                in_terminal(size, chance, seen)
            case "newcomer":
                as_newcomer(size, chance, seen)
            case "plain":
                in_plain_lines(chance, seen)
            case "rehearsal":
                a_rehearsal(size, chance, seen)
            case _:
                asyncio.run(in_a_browser(chance, seen))
        print(f"{at}: {seen.rounds} rounds, {seen.screens} screens{seen.figures()}", flush=True)


def main() -> None:
    """Go the ways that are named."""
    asked = argparse.ArgumentParser()
    asked.add_argument("ways", nargs="*", choices=WAYS, default=WAYS)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--keep", type=Path)
    told = asked.parse_args()
    for way in told.ways:
        go(way, told.seed, told.keep)


if __name__ == "__main__":
    main()
