"""One question of one circuit as the slips look at it, and what they guess."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property, lru_cache

from ..analysis.arms import ArmSection, End, PlacedArm, sections
from ..analysis.design import Pair, pair_at
from ..analysis.response import Facts, FilterType, facts
from ..circuits.model import CircuitError, Element, Kind, Ladder, Place, valueless
from ..quantities.spelling import listed
from ..quantities.write import write_quantity
from ..questions.kinds import MEASURES
from ..questions.model import Answer, Form, Question, Rung, Values


@dataclass(frozen=True, slots=True)
class Guess:
    """An answer that a slip leads to, in the type and unit of the question's truth.

    ``near`` marks a guess that falls on the truth at some Q whatever the values: where it
    is too near, the slip is not in play.  ``typed_unit`` restricts the unit it is typed in;
    ``exact`` asks for just this figure, where others have to come within 1 %.
    """

    value: Answer
    values: Values = ()
    near: bool = False
    typed_unit: str = ""
    exact: bool = False


Predictor = Callable[["Case"], Iterable[Guess]]
Answers = Callable[["Case"], Answer | tuple[Answer | None, ...] | None]


@dataclass(frozen=True, slots=True)
class Slip:
    """A wrong-answer model.  Its words are ``content/slips.toml`` under its id."""

    id: str
    topic: str
    rungs: frozenset[Rung]
    predict: Predictor


@dataclass
class Topic:
    """Slips that belong together, in the order of their likelihood.

    ``as_asked``: what fills the question's sentence fills those of :meth:`answer` too.
    """

    name: str
    as_asked: bool = False
    slips: list[Slip] = field(default_factory=list)

    def slip(self, id_: str, *rungs: Rung) -> Callable[[Predictor], Predictor]:
        """Register a predictor under a slip's id, ``id_``, for some ``rungs``."""

        def register(predict: Predictor) -> Predictor:
            self.slips.append(Slip(id_, self.name, frozenset(rungs), predict))
            return predict

        return register

    def answer(self, id_: str, *rungs: Rung, by: Answers, near: bool = False) -> Predictor:
        """Register a slip whose answers one expression gives.

        Args:
            id_: the slip's id.
            rungs: the kinds of question it is about.
            by: a case → the answer it leads to, several in a tuple, or ``None`` for no answer.
            near: as in :class:`Guess`.
        """

        def predict(case: Case) -> Iterator[Guess]:
            found = by(case)
            values = case.question.values if self.as_asked else ()
            answers = found if isinstance(found, tuple) else (found,)
            yield from many(*answers, near=near, values=values)

        return self.slip(id_, *rungs)(predict)


@dataclass(frozen=True)
class Case:
    """A circuit, what is true of it, and the question asked."""

    ladder: Ladder
    facts: Facts
    question: Question

    @property
    def rung(self) -> Rung:
        """The kind of question."""
        return self.question.rung

    @property
    def truth(self) -> float:
        """The truth of a question that asks for a number."""
        return self.question.figure

    @property
    def order(self) -> int:
        """The number of poles."""
        return self.facts.transfer.order

    @cached_property
    def resistors(self) -> tuple[Element, ...]:
        """Every resistance, source and load among them."""
        return tuple(e for e in self.ladder.elements() if e.kind is Kind.R)

    @cached_property
    def inductors(self) -> tuple[Element, ...]:
        """Every inductor."""
        return tuple(e for e in self.ladder.elements() if e.kind is Kind.L)

    @cached_property
    def capacitors(self) -> tuple[Element, ...]:
        """Every capacitor."""
        return tuple(e for e in self.ladder.elements() if e.kind is Kind.C)

    @cached_property
    def series_resistors(self) -> tuple[Element, ...]:
        """Resistors that are a series arm of their own."""
        arms = (s.arm for s in self.ladder.stages if s.place is Place.SERIES)
        return tuple(arm for arm in arms if isinstance(arm, Element) and arm.kind is Kind.R)

    @cached_property
    def sections(self) -> tuple[ArmSection, ...]:
        """The circuit cut at its buffers, without the arms that do nothing."""
        return sections(self.ladder)

    @cached_property
    def rails(self) -> tuple[PlacedArm, ...]:
        """Every arm that affects the output, from the source on."""
        return tuple(rail for section in self.sections for rail in section.rails)

    @property
    def end(self) -> End:
        """The end that a question about one of them asks about."""
        return End.LOW if self.rung.value.startswith("low") else End.HIGH

    @cached_property
    def letters(self) -> Ladder:
        """The circuit without its values."""
        return valueless(self.ladder)

    @cached_property
    def common(self) -> Values:
        """Texts that every slip's sentence may use; a model's own come after and win."""
        resistors, reactive = names_of(self.resistors), names_of(self.ladder.reactive())
        return (
            ("source", _spoken(self.ladder.source)),
            ("load", _spoken(self.ladder.load)),
            ("resistances", resistors),
            ("resistance", self.resistors[0].name if self.resistors else ""),
            ("reactive", reactive),
            ("element", reactive),
            ("inductors", names_of(self.inductors)),
            ("capacitors", names_of(self.capacitors)),
            ("end", "DC" if self.end is End.LOW else "the high-frequency end"),
        )

    @property
    def offered(self) -> frozenset[str]:
        """The ids a learner can choose from."""
        return frozenset(choice.id for choice in self.question.choices)

    def measure(self, found: Facts | None) -> Answer | None:
        """The figure asked for, of another circuit's facts."""
        measure = MEASURES.get(self.rung)
        if found is None or measure is None:
            return None
        value = measure(found)
        return float(value) if isinstance(value, Fraction) else value

    def of(self, ladder: Ladder | None) -> Answer | None:
        """The figure asked for, of an altered circuit of the same type and pole count."""
        found = altered_facts(ladder)
        if not found or not self.facts.is_alike(found) or found.transfer.order != self.order:
            return None
        return self.measure(found)

    def altered(self, ladder: Ladder | None, **values: str) -> Iterator[Guess]:
        """The guess that the altered circuit ``ladder`` is the right one, if it has such a figure.

        ``values`` fill the slip's sentence.  The −3 dB edges of a sharp resonance, and a gain near
        1, hardly feel what was altered.
        """
        near = self.rung in (Rung.LOWER_EDGE, Rung.UPPER_EDGE, Rung.GAIN)
        yield from many(self.of(ladder), near=near, values=tuple(values.items()))

    @cached_property
    def resonator(self) -> Pair | None:
        """The one resonator of the circuit, where it has just one and nothing else."""
        return pair_at(self.ladder)


@lru_cache(maxsize=256)
def altered_facts(ladder: Ladder | None) -> Facts | None:
    """Facts of a circuit as a slip sees it, which serve several rungs; ``None`` if it has none."""
    try:
        return facts(ladder) if ladder is not None else None
    except CircuitError:
        return None


def many(*answers: Answer | None, near: bool = False, values: Values = ()) -> Iterator[Guess]:
    """Guesses for the ``answers`` that exist, with the ``values`` that fill the slip's sentence.

    ``near``: the prediction may come near the truth.
    """
    for answer in answers:
        if answer is not None:
            yield Guess(answer, values, near)


def of_type(kind: FilterType, by: Answers) -> Answers:
    """The answers that ``by`` gives, of circuits of one type, ``kind``, alone."""
    return lambda case: by(case) if case.facts.type is kind else None


def instead(of: Mapping[str, str | tuple[str, ...]]) -> Answers:
    """What is chosen in place of each right choice: by the id of the truth, one id or several."""
    return lambda case: of.get(str(case.question.truth))


def names_of(elements: Iterable[Element]) -> str:
    """The names as a text: R1, R2 and R3; "" for none."""
    return listed((e.name for e in elements), "and")


def _spoken(element: Element | None) -> str:
    """A resistance with its value: RL = 1 kΩ."""
    if element is None or element.value is None:
        return element.name if element else ""
    return f"{element.name} = {write_quantity(element.value, element.kind.unit)}"


def numeric(question: Question) -> bool:
    """Whether the truth is a measured figure, compared within a tolerance."""
    return question.form in (Form.QUANTITY, Form.RATIO, Form.GAIN, Form.LEVEL)
