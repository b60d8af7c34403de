"""Looks in plain lines: one circuit in one line, one question, one letter."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ...problems.analysis.response import facts
from ...problems.questions.looks import Facing, Look
from ...problems.sketches.truth import true_gain, true_map
from ...problems.sketches.write import write
from ..learning.next_look import RoundStep
from ..learning.rounds import LOOK_HINTS, LookResult, Round, RoundPage
from ..phrases import looks as say_looks
from ..phrases.curves import told, told_map
from ..phrases.redrawn import in_lines
from .lines import HAND_IN, HINT, SHOW, EndOfInput, PlainLines

LETTERS = "abcde"


@dataclass
class PlainInspection(PlainLines):
    """A round of looks on two streams."""

    def run(self, going: Round) -> RoundPage:
        """Ask every look of a round, ``going`` from its first look, and say what it came to.

        The end of the input ends it politely; looks that were answered are kept.
        """
        if going.events:
            self.say(self.told("again", number=going.number + 1, count=going.length))
        else:
            self.say(self.told("opening", count=going.length, seed=going.seed))
        self.say(self.told("keys"))
        try:
            self.ask_all(going)
        except EndOfInput:
            self.gap()
            self.say(self.ui("ended"))
        page = going.page()
        self._page(page)
        return page

    def ask_all(self, going: Round) -> None:
        """Ask every look of a round.

        Args:
            going: the round, at any look.

        Raises:
            EndOfInput: the input has no more lines, or looks of a rehearsal are handed in.
        """
        while going.step is not None:
            self._look(going, going.step)
            going.next()

    def told(self, key: str, **values: object) -> str:
        """The text ``key`` of the looks in plain lines, filled with ``values``."""
        return self.ui(f"inspect.{key}", **values)

    def _look(self, going: Round, step: RoundStep) -> None:
        look, began = step.look, time.monotonic()
        self.gap()
        title = say_looks.title(look.kind)
        place = {"number": going.number + 1, "count": going.length, "title": title}
        key = "look-ends" if step.scaffold else "look-back" if step.again else "look"
        self.say(self.told(key, **place))
        self.put(look)
        while True:
            typed = self.read()
            if going.silent and typed == HAND_IN:
                raise EndOfInput  # the looks that are left stay open
            if going.silent and typed in (HINT, SHOW):
                self.say(self.told("no-hint"))
                continue
            if typed == HINT:
                before = going.hints
                level = going.hint()
                if before == LOOK_HINTS:
                    self.say(self.ui("no-more-hints"))
                else:
                    self.say(f"{self.ui('hint', level=level)} {say_looks.hint(look, level)}")
                continue
            if typed == SHOW:
                going.show()
                self.show(look)
            elif not typed:
                going.show()
                self.mark("skipped", "")
            elif (answer := self.chosen(look, typed)) is None:
                continue
            else:
                # What comes over a pipe was typed without a look at the clock.
                seconds = 0.0 if self.echo else time.monotonic() - began
                result = going.answer(answer, seconds)
                self._marked(look, result, silent=going.silent)
            self.say_if_unkept()
            return

    def _shown(self, look: Look) -> Iterator[str]:
        """What stands on the screen, a line each."""
        facing = look.row.facing
        if not facing.plotted and facing not in (Facing.PAIR, Facing.CIRCUITS):
            yield say_looks.circuit(look.ladder, valued=look.valued)
        if facing is Facing.CIRCUITS:
            yield write(true_gain(facts(look.ladder)))
        if facing is Facing.MAP_STEPS:
            yield told_map(look.ladder)
        for letter, ladder in zip(LETTERS, look.shown, strict=False):
            match facing:
                case Facing.RESPONSES:
                    text = write(true_gain(facts(ladder)))
                case Facing.MAPS:
                    text = write(true_map(facts(ladder)))
                case _ if facing.plotted or facing is Facing.CIRCUIT_STEPS:
                    text = told(look, ladder)
                case _:
                    text = say_looks.circuit(ladder, valued=look.valued)
            yield f"{letter}) {text}"

    def put(self, look: Look) -> None:
        """A look: what it shows, the question, and the choices."""
        for line in self._shown(look):
            self.lines(line)
        self.say(say_looks.prompt(look))
        self.offer(_keys(look), [say_looks.choice(look, answer) for answer in look.answers])

    def offer(self, keys: Iterable[str], words: Iterable[str]) -> None:
        """Choices, by their ``keys`` and ``words``; a number that is its own key stands once."""
        offered = zip(keys, words, strict=True)
        self.say("   ".join(key if key == word else f"{key}) {word}" for key, word in offered))

    def show(self, look: Look) -> None:
        """The right choice of a look, and why it is right."""
        self.mark("shown", f"{say_looks.choice(look, look.truth)}. {say_looks.why(look)}")

    def chosen(self, look: Look, typed: str) -> str | None:
        """The choice of a ``look`` that was ``typed``; says so and is ``None`` where it is none."""
        answer = choice_of(look, typed)
        if answer is None:
            self.mark("unclear", self.told("unclear", keys=", ".join(_keys(look))))
        return answer

    def _marked(self, look: Look, result: LookResult, *, silent: bool) -> None:
        said = say_looks.choice(look, result.answered)
        if silent:
            self.say(self.told("taken", answer=said))
            return
        if result.right:
            self.mark("right", said)
            if result.slow:
                self.say(say_looks.why(look), "  ", "  ")
            return
        self.mark("wrong", said)
        fact = result.explained
        if fact is None:
            return
        self.say(say_looks.counter(look, fact), "  ", "  ")
        if fact.end is not None:
            both = look.row.facing is Facing.PAIR and fact.circuit is None
            for circuit in look.shown if both else (fact.circuit or look.ladder,):
                for line in in_lines(circuit, [fact.end]):
                    self.say(line, "  ", "    ")
        if fact.lookalike is not None and not look.row.facing.plotted:
            self.say(say_looks.alike(look, result.answered), "  ", "  ")
            self.lines(say_looks.circuit(fact.lookalike, valued=look.valued), "     ")
        if result.example:
            self.say(self.told("worked", steps=say_looks.worked(look)))

    def _page(self, page: RoundPage) -> None:
        self.gap()
        self.say(self.told("right", right=page.right, asked=page.asked))
        if page.seconds:
            self.say(self.told("seconds", seconds=f"{page.seconds:.1f}"))
        for asked, answered, times in page.confusions:
            self.say(self.told("confused", asked=asked, answered=answered, times=times))
        for one, other in page.pairs:
            self.say(self.told("pair"))
            for look in (one, other):
                right = say_looks.choice(look, look.truth)
                self.lines(f"{right}: {say_looks.circuit(look.ladder, valued=look.valued)}")


def _keys(look: Look) -> tuple[str, ...]:
    keys = LETTERS if look.row.first_key == 1 else look.row.keys
    return tuple(keys[: len(look.answers)])


def choice_of(look: Look, typed: str) -> str | None:
    """The choice of a ``look`` that a ``typed`` letter or digit names; ``None``: it names none."""
    for keys in (_keys(look), look.row.keys):
        if typed.lower() in keys:
            return look.answers[keys.index(typed.lower())]
    return None
