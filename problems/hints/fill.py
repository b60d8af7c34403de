"""What a hint is made of: variants, phrases and the scene it looks at.

Sentences live in ``content/hints.toml``.  Code only says which of them is true here and
hands over names, numbers and smaller phrases to fill them with.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeAlias

from ..analysis.arms import ArmSection, ArmState, End, PlacedArm, arm_text, remains, sections, state
from ..analysis.letters import Formulas, figures, formulas, letter_transfer
from ..analysis.response import Facts, facts
from ..circuits.model import CircuitError, Kind, Ladder, Place, leaves
from ..formulas.layout import echo
from ..formulas.tree import Formula, Letter, substituted
from ..quantities.write import RAISED, write_quantity
from ..questions.kinds import Slot
from ..questions.model import Question


@dataclass(frozen=True, slots=True)
class Phrase:
    """An entry of a table of words, by key, with what fills it.

    ``file`` is the file it stands in, "" for that of the text it is part of; ``table`` the table.
    """

    key: str
    values: tuple[tuple[str, Text], ...] = ()
    file: str = ""
    table: str = "phrases"


class InLetters(str):
    """A formula as a sentence writes it, with the formula, for those who typeset it."""

    formula: Formula

    def __new__(cls, formula: Formula, text: str) -> InLetters:
        """The formula, and how it is written."""
        found = super().__new__(cls, text)
        found.formula = formula
        return found


Text: TypeAlias = "str | Phrase | tuple[Text, ...]"
"""A text, a phrase, or a list of texts to be joined as a sentence joins them."""


Named: TypeAlias = tuple[tuple[str, Text], ...]
"""What fills the placeholders of a hint."""


def phrase(key: str, **values: Text) -> Phrase:
    """The phrase ``key`` of the content, filled with ``values``."""
    return Phrase(key, tuple(values.items()))


def borrowed(text: Text, file: str) -> Text:
    """``text``, whose phrases stand in another ``file`` than the text they are put into."""
    match text:
        case Phrase():
            return replace(text, file=text.file or file)
        case tuple():
            return tuple(borrowed(part, file) for part in text)
    return text


@dataclass(frozen=True, slots=True)
class Hint:
    """The variants of the three levels, what fills them, and the elements they speak of.

    ``ends`` are the ends of the frequency axis at which they redraw the circuit.
    """

    principle: str
    look: str
    step: str
    values: Named = ()
    focus: tuple[str, ...] = ()
    ends: tuple[End, ...] = ()

    def variant(self, level: int) -> str:
        """The key of the words of one level."""
        return (self.principle, self.look, self.step)[level - 1]


@dataclass(frozen=True)
class Scene:
    """A circuit seen from one of the questions asked about it."""

    ladder: Ladder
    question: Question

    @cached_property
    def facts(self) -> Facts:
        """What is true of the circuit."""
        return facts(self.ladder)

    @cached_property
    def formulas(self) -> Formulas:
        """Its figures in letters; without any where the circuit is too large for them."""
        try:
            return formulas(self.ladder)
        except CircuitError:
            return Formulas(None)

    def formula(self, figure: str) -> Formula | None:
        """A figure in letters; ``None`` where it has no formula worth reading."""
        return figures(self.ladder)[figure] if getattr(self.formulas, figure) else None

    @cached_property
    def numerator(self) -> tuple[str, ...]:
        """The numerator's coefficients in letters; empty where the circuit is too large."""
        try:
            return letter_transfer(self.ladder).numerator
        except CircuitError:
            return ()

    @cached_property
    def sections(self) -> tuple[ArmSection, ...]:
        """Its parts between buffers, without idle arms."""
        return sections(self.ladder)

    @cached_property
    def rails(self) -> tuple[PlacedArm, ...]:
        """Its working arms, from the source on."""
        return tuple(rail for section in self.sections for rail in section.rails)

    @cached_property
    def reactive_rails(self) -> tuple[PlacedArm, ...]:
        """Its working arms that hold an inductor or a capacitor."""
        return tuple(rail for rail in self.rails if rail.reactive)

    @cached_property
    def arms(self) -> Text:
        """Those, by their places."""
        return by_place(self.reactive_rails, "arm", "arm")

    @cached_property
    def reactive(self) -> tuple[str, ...]:
        """The names of all inductors and capacitors drawn."""
        return tuple(e.name for e in self.ladder.reactive())

    @cached_property
    def kept(self) -> tuple[str, ...]:
        """The inductors and capacitors that store energy on their own."""
        hidden = {h.name for h in self.facts.hidden}
        return tuple(name for name in self.reactive if name not in hidden)

    @cached_property
    def working(self) -> tuple[str, ...]:
        """The inductors and capacitors that affect the output."""
        return tuple(e.name for r in self.rails for e in leaves(r.arm) if e.kind.reactive)

    @cached_property
    def resistors(self) -> tuple[str, ...]:
        """The resistances that affect the output, from the source on."""
        names: list[str] = []
        for section in self.sections:
            if section.source is not None and section.rails:
                names.append(section.source.name)
            for rail in section.rails:
                names += [e.name for e in leaves(rail.arm) if e.kind is Kind.R]
            if section.load is not None:
                names.append(section.load.name)
        return tuple(names)

    def stopping(self, end: End) -> tuple[PlacedArm, ...]:
        """The arms that open in the way, or short across it, at an end."""
        return tuple(rail for rail in self.rails if rail.stops(end))

    def passes(self, end: End) -> bool:
        """Whether the circuit passes anything at an end."""
        f = self.facts
        return (f.gain_low if end is End.LOW else f.gain_high) > 0

    def changes(self, end: End) -> Text:
        """What each reactive element turns into at an end, as phrases."""
        elements = [e for rail in self.rails for e in leaves(rail.arm) if e.kind.reactive]
        found: list[Text] = []
        for wanted in ArmState.OPEN, ArmState.SHORT:
            names = tuple(e.name for e in elements if state(e, end) is wanted)
            if names:
                found.append(numbered(wanted.value, names))
        return tuple(found)

    def deeds(self, end: End) -> Text:
        """How arms stop the signal at an end."""
        return by_place(self.stopping(end), "opens", "shorts")

    def divides(self, end: End) -> bool:
        """Whether resistances share the voltage in some section at an end."""
        for section in self.sections:
            series = section.source is not None and bool(section.rails)
            shunt = section.load is not None
            for rail in section.rails:
                if state(rail.arm, end) is ArmState.RESISTIVE:
                    series |= rail.place is Place.SERIES
                    shunt |= rail.place is Place.SHUNT
            if series and shunt:
                return True
        return False

    def left(self, end: End) -> tuple[str, ...]:
        """The resistances that are left in the picture at an end."""
        names: list[str] = []
        for section in self.sections:
            if section.source is not None and section.rails:
                names.append(section.source.name)
            for rail in section.rails:
                arm = remains(rail.arm, end)
                if arm is not None:
                    names.append(arm_text(arm))
            if section.load is not None:
                names.append(section.load.name)
        return tuple(names)


HINTS: Slot[Callable[[Scene], Hint]] = Slot()
"""Which function looks at the circuit for the hints of which kind of question."""


def numbered(key: str, names: tuple[str, ...], **values: Text) -> Phrase:
    """The phrase "key-one" or "key-many" by how many ``names`` there are, filled with ``values``.

    ``key`` is what both begin with.
    """
    return phrase(f"{key}-one" if len(names) == 1 else f"{key}-many", names=names, **values)


def by_place(rails: Iterable[PlacedArm], series: str, shunt: str) -> Text:
    """What series arms do and what shunt arms do, as phrases joined like a list.

    ``rails`` are the arms; ``series`` and ``shunt`` the keys of the two phrases.
    """
    found: dict[Place, list[str]] = {Place.SERIES: [], Place.SHUNT: []}
    for rail in rails:
        found[rail.place].append(rail.text)
    return tuple(
        numbered(f"{place.value}-{key}", tuple(found[place]))
        for place, key in ((Place.SERIES, series), (Place.SHUNT, shunt))
        if found[place]
    )


def clauses(texts: Iterable[Text]) -> Text:
    """Texts joined as the clauses of one sentence."""
    first, *rest = texts
    for second in rest:
        first = phrase("clauses", first=first, second=second)
    return first


def in_letters(formula: Formula) -> InLetters:
    """``formula`` on one line, as it is printed: 2π without its point."""
    return InLetters(formula, echo(formula).replace("2·π", "2π"))


def put_in(formula: Formula, ladder: Ladder) -> Formula:
    """``formula`` with the values of the elements of a ``ladder`` in place of their names."""
    known = {
        e.name: write_quantity(e.value, e.kind.unit, 4)
        for e in ladder.elements()
        if e.value is not None
    }
    return substituted(formula, lambda name: Letter(known.get(name, name)))


def written(formula: str) -> str:
    """A formula's text in print: · for the product, √ for the root, π."""
    text = re.sub(r"\bsqrt\(", "√(", formula)
    text = re.sub(r"\bpi\b", "π", text)
    text = re.sub(r"\^(\d+)", lambda m: m[1].translate(RAISED), text)
    return re.sub(r" ?\* ?", "·", text).replace("2·π", "2π")
