"""A list of changes for a bench, prepared beforehand: one change a line, in the words of the trade.

::

    circuit: series R1 = 100 Ω; series L1 = 10 mH; shunt C1 = 100 nF
    # Who damps this circuit?          a note, which stays in sight until the next
    R1 = 220 Ω                         another value; also R1 x 2, R1 / 3, R1 doubles, R1 halves
    ask tap L1                         put as a question first; also: output across L1 + C1
    load 1 kΩ                          also: no load, source 50 Ω, no source
    swap L1 C1                         two parts change places
    turn C1                            its arm turns from series to shunt, or back
    loss L1 10 Ω                       a resistance in series with it
    without R1                         the part is taken away
    keep                               this version stays beside what follows; drop drops it

The list is worked through as it is read, on a bench of its own, so that nothing in it can fail in
front of a class; everything wrong is told together, with its place.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from ...problems.analysis.transfer import transfer_function
from ...problems.circuits.model import CircuitError, Element, Kind, Ladder
from ...problems.circuits.rearrange import output_names
from ...problems.circuits.statement import NotationError, Statement
from ...problems.circuits.step_value import USUAL, with_usual_values
from ...problems.circuits.text import read_circuit
from ...problems.circuits.write import DEFAULT_NAMES
from ...problems.quantities.errors import WordedError, Wording, wording
from ...problems.quantities.read import read_quantity
from ...problems.quantities.spelling import shown
from ...problems.quantities.units import QuantityError
from ..language.texts import plain
from .bench import Bench, BenchMoment

MOST_STEPS = 200
"""Changes and notes in a list."""
MOST_TROUBLES = 20
"""Troubles that are told at once; what comes after them is read when they are mended."""
_PLACES = 8
_LINES = re.compile(r"\r\n|\n|\r")
_WORD = re.compile(r"[A-Za-z][A-Za-z0-9_]*+")
_BETWEEN = re.compile(r" *(?:[+,&] *|and +)?")
_FACTORS = {
    "doubles": Fraction(2),
    "doubled": Fraction(2),
    "halves": Fraction(1, 2),
    "halved": Fraction(1, 2),
}
_OF_PARTS: Mapping[str, tuple[int, Callable[..., bool]]] = MappingProxyType(
    {
        "swap": (2, Bench.swap_parts),
        "turn": (1, lambda bench, name: bench.pick(name) and bench.turn_over()),
        "without": (1, Bench.leave_out),
        "keep": (0, Bench.keep),
        "drop": (0, Bench.drop),
    }
)
"""Changes of so many parts, which are named and nothing else."""
_KEYWORDS = frozenset(("circuit", "tap", "output", "load", "source", "no", "loss", *_OF_PARTS))

_MEND = {
    "limit": wording("script.limit"),
    "no-change": wording("script.no-change"),
    "no-load": wording("script.no-load"),
    "no-source": wording("script.no-source"),
    "no-such-part": wording("script.no-such-part"),
    "no-swap": wording("script.no-swap"),
    "no-such-swap": wording("script.no-such-swap"),
    "no-arm": wording("script.no-arm"),
    "no-loss": wording("script.no-loss"),
    "no-rest": wording("script.no-rest"),
    "three-kept": wording("script.three-kept"),
    "last-version": wording("script.last-version"),
}
"""What should stand in a line that the bench refuses, by its trouble."""


class ScriptError(WordedError, ValueError):
    """A list of changes that cannot be worked through.

    Attributes:
        troubles: everything that is wrong in it, by line.
    """

    def __init__(self, troubles: tuple[NotationError, ...]) -> None:
        super().__init__("script.refused", count=len(troubles))
        self.troubles = troubles


@dataclass(frozen=True)
class ScriptStep:
    """One step of a list.

    Args:
        line: its line in the file, from 1.
        text: the change as it was written; "" of a note alone.
        note: the note in sight from here on.
        asked: whether the change is put as a question first.
        moment: what lies on the bench after it.
    """

    line: int
    text: str
    note: str
    asked: bool
    moment: BenchMoment


@dataclass(frozen=True)
class Script:
    """A list of changes, worked through.

    Args:
        ladder: the circuit that it begins with.
        start: what lies on the bench before its first step.
        steps: its steps.
    """

    ladder: Ladder
    start: BenchMoment
    steps: tuple[ScriptStep, ...]


def read_script(text: str, ladder: Ladder) -> Script:
    """Read a list of changes.

    Args:
        text: the list, one change a line.
        ladder: the circuit on the bench; a circuit in the first line of the list takes its place.

    Raises:
        ScriptError: with everything that is wrong in it.
    """
    return _Reader(ladder).read(text)


class _Reader:
    def __init__(self, ladder: Ladder) -> None:
        self.bench = Bench(ladder)
        self.ladder = ladder
        self.start = self.bench.moment
        self.steps: list[ScriptStep] = []
        self.troubles: list[NotationError] = []
        self.note = ""
        self.ask: Statement | None = None

    def read(self, text: str) -> Script:
        lines = _LINES.split(text.removeprefix("\ufeff"))
        for number, line in enumerate(lines, 1):
            code, _, note = line.replace("＃", "#").partition("#")
            if len(self.steps) >= MOST_STEPS and line.strip():
                most = wording("script.steps", most=MOST_STEPS)
                self.troubles.append(NotationError(number, 1, wording("script.more"), most))
                break
            if len(self.troubles) >= MOST_TROUBLES:
                break
            self._line(number, code, " ".join(plain(note).split()))
        if self.ask is not None and len(self.troubles) < MOST_TROUBLES:
            expected = wording("script.asked-change")
            found = wording("notation.end-of-text")
            self.troubles.append(self.ask.fail(expected, found=found))
        if not self.steps and not self.troubles:
            found, expected = wording("notation.end-of-text"), wording("script.one-change")
            self.troubles.append(NotationError(len(lines), 1, found, expected))
        if self.troubles:
            raise ScriptError(tuple(self.troubles))
        return Script(self.ladder, self.start, tuple(self.steps))

    def _line(self, number: int, code: str, note: str) -> None:
        if not code.strip():
            if note:
                self._noted(number, note)
            return
        statement = Statement(code, number, 1)
        asked = self._asks(statement)
        if statement.done:
            self.ask = statement
            return
        asked = asked or self.ask is not None
        self.ask = None
        text = " ".join(plain(code[statement.column(statement.at) - 1 :]).split())
        try:
            begins = self._change(statement, code)
        except NotationError as error:
            self.troubles.append(error)
            return
        if note:
            self.note = note
        if begins and not self.steps and not asked:
            self.start = self.bench.moment
            self.ladder = self.bench.version.ladder
            if note:
                self.steps.append(ScriptStep(number, "", note, False, self.start))
            return
        self.steps.append(ScriptStep(number, text, self.note, asked, self.bench.moment))

    def _noted(self, number: int, note: str) -> None:
        """A note is a step of its own; one on the line below goes on with it."""
        last = self.steps[-1] if self.steps else None
        if last is not None and not last.text and last.line == number - 1:
            self.steps.pop()
            note = f"{last.note} {note}"
        self.note = note
        self.steps.append(ScriptStep(number, "", note, False, self.bench.moment))

    def _asks(self, statement: Statement) -> bool:
        match = _WORD.match(statement.text, statement.at)
        if match is None or match[0].lower() != "ask":
            return False
        statement.at = match.end()
        statement.blank()
        statement.take(":")
        return True

    def _change(self, statement: Statement, code: str) -> bool:
        """Make the change of a line; whether it is a circuit of its own."""
        here = statement.at
        match = _WORD.match(statement.text, here)
        word = match[0] if match else ""
        if match is None or (word.lower() not in _KEYWORDS and not self._known(word)):
            names = tuple(e.name for e in self.bench.elements)
            raise statement.fail(wording("script.change", parts=names))
        statement.at = match.end()
        statement.blank()
        if self._known(word):
            self._value(statement, word)
            return False
        word = word.lower()
        if word == "circuit":
            self._circuit(statement, code)
            return True
        if word in _OF_PARTS:
            count, change = _OF_PARTS[word]
            parts = [self._name(statement) for _ in range(count)]
            statement.end()
            made = change(self.bench, *parts)
        else:
            made = self._others(word, statement)
        if not made:
            trouble = self.bench.trouble
            raise statement.fail(self._mend(trouble), here, shown(statement.text[here:].strip()))
        return False

    def _known(self, name: str) -> bool:
        return self.bench.version.element(name) is not None

    def _mend(self, trouble: str) -> Wording:
        if trouble != "no-such-tap":
            return _MEND[trouble]
        ladder = self.bench.version
        places = [" + ".join(output_names(tap)) for tap in ladder.taps]
        named = tuple(dict.fromkeys(place for place in places if place))[:_PLACES]
        return wording("script.no-such-tap", places=named or (wording("script.open-end"),))

    # The words

    def _circuit(self, statement: Statement, code: str) -> None:
        statement.take(":")
        at = statement.column(statement.at) - 1
        try:
            ladder = read_circuit(code[at:])
            transfer_function(with_usual_values(ladder))
        except NotationError as error:
            told = dict(error.wording.values)
            raise NotationError(
                statement.line,
                at + error.column,
                told["found"],  # type: ignore[arg-type]
                told["expected"],  # type: ignore[arg-type]
            ) from None
        except CircuitError as error:
            expected = wording("script.circuit", trouble=error.wording)
            raise statement.fail(expected, found=wording("notation.circuit")) from None
        self.bench.build(ladder)

    def _value(self, statement: Statement, name: str) -> None:
        part = self.bench.version.element(name)
        assert part is not None
        at = statement.at
        if statement.take("="):
            if statement.done:
                raise statement.fail(wording("script.value"))
            value = statement.value(part.kind)
            statement.end()
            made = self.bench.set_value(name, value)
        else:
            made = self.bench.scale(name, self._factor(statement))
        if not made:
            raise statement.fail(self._mend(self.bench.trouble), at)

    def _factor(self, statement: Statement) -> Fraction:
        at = statement.at
        match = _WORD.match(statement.text, at)
        if match is not None and match[0].lower() in _FACTORS:
            statement.at = match.end()
            statement.blank()
            statement.end()
            return _FACTORS[match[0].lower()]
        sign = next((sign for sign in "xX*/" if statement.take(sign)), None)
        if sign is None:
            raise statement.fail(wording("script.equals"), at)
        factor = self._number(statement, "")
        return 1 / factor if sign == "/" else factor

    def _number(self, statement: Statement, unit: str) -> Fraction:
        """The rest of the statement as a quantity greater than zero."""
        at, text = statement.at, statement.text[statement.at :].strip(" ")
        example = "2" if not unit else "10 Ω"
        try:
            value = read_quantity(text, unit).value
        except QuantityError as error:
            expected = wording("notation.value-because", example=example, trouble=error.wording)
            raise statement.fail(expected, at + min(error.position, len(text))) from None
        if value <= 0:
            raise statement.fail(wording("notation.negative"), at, shown(text))
        return value

    def _name(self, statement: Statement) -> str:
        at = statement.at
        match = _WORD.match(statement.text, at)
        if match is None or not self._known(match[0]):
            names = tuple(e.name for e in self.bench.elements)
            raise statement.fail(wording("script.part", parts=names), at)
        statement.at = match.end()
        between = _BETWEEN.match(statement.text, statement.at)
        assert between is not None
        statement.at = between.end()
        return match[0]

    def _names(self, statement: Statement) -> list[str]:
        names = [self._name(statement)]
        while not statement.done:
            names.append(self._name(statement))
        return names

    def _others(self, word: str, statement: Statement) -> bool:
        """Make a change of an end, of the output, or of a loss; whether it could be made."""
        match word:
            case "no":
                role = self._word(statement, tuple(DEFAULT_NAMES), wording("script.no"))
                statement.end()
                return self.bench.set_end(role, None)
            case "load" | "source":
                return self._end(word, statement)
            case "loss":
                name = self._name(statement)
                statement.take("=")
                ohms = None if statement.done else self._number(statement, "Ω")
                return self.bench.lose(name, ohms)
            case "output":
                self._word(statement, ("across",), wording("script.across"))
        return self.bench.tap_across(self._names(statement))

    def _word(self, statement: Statement, words: Collection[str], expected: Wording) -> str:
        """One of some words, which has to stand here."""
        match = _WORD.match(statement.text, statement.at)
        if match is None or match[0].lower() not in words:
            raise statement.fail(expected)
        statement.at = match.end()
        statement.blank()
        return match[0].lower()

    def _end(self, role: str, statement: Statement) -> bool:
        draft = statement.element(role)
        statement.end()
        before: Element | None = getattr(self.bench.version.ladder, role)
        name = draft.name or (before.name if before else DEFAULT_NAMES[role])
        value = draft.value if draft.value is not None else USUAL[Kind.R]
        return self.bench.set_end(role, Element(Kind.R, name, value))
