"""The worked solution of any circuit, as a list of steps.

Drawing first, then H(s) by voltage division, then what is read off H(s): the order in
which one would work it out by hand.  The steps' sentences are in ``content/worked.toml``.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ..analysis.arms import ArmState, End, PlacedArm, is_reactive, state, working_rails
from ..analysis.gain_type import EndState
from ..analysis.letters import Solved, figures, solve
from ..analysis.letters_algebra import SymbolicTooLargeError
from ..analysis.response import Facts, facts, generic_facts
from ..circuits.model import Ladder, Place
from ..formulas.layout import echo
from ..formulas.tree import Formula
from ..quantities.spelling import listed
from ..quantities.write import write_quantity
from ..questions.kinds import kind
from ..questions.model import Rung
from ..questions.naming import named_by_levels, traps
from .after_step import after_step
from .figures import counting, measured, numbers
from .letters import derivation
from .levels import levels
from .resonance import resonance
from .step import WIDTH, Step, drawing, step


def worked_solution(
    ladder: Ladder,
    width: int = WIDTH,
    ascii: bool = False,  # noqa: A002
    asked: Collection[Rung] = (),
) -> tuple[Step, ...]:
    """Every step from the drawing to the figures, each with its reason.

    Works for a circuit without values too: the steps that need them are then left out.

    Args:
        ladder: the circuit.
        width: columns for the drawings of formulas; a wider one is written on one line.
        ascii: draw with ASCII characters only.
        asked: the kinds of question that were asked: a step that answers one of them alone is
            told only then.
    """
    with drawing(width, ascii):
        return tuple(_Worked(ladder, asked).steps())


_RULES = {
    "curve": "off-curve",
    "which-curve": "q-curves",
    "change": "changed",
    "outputs": "outputs",
    "tuning": "tuned",
}
"""By what is read or predicted, the step that tells the rule which answers follow from."""


def _rules(asked: Collection[Rung]) -> Iterator[Step]:
    ways = {way for rung in asked for way in kind(rung).ways}
    return (step(told) for way, told in _RULES.items() if way in ways)


class _Worked:
    def __init__(self, ladder: Ladder, asked: Collection[Rung]) -> None:
        self.ladder, self.asked = ladder, asked
        # Without values the structure is that of any values that have no relation.
        self.shape: Facts = facts(ladder) if ladder.valued else generic_facts(ladder)
        self.rails: tuple[PlacedArm, ...] = tuple(working_rails(self.shape.ladder))
        self.solved: Solved | None = None
        self.figures: dict[str, Formula] = {}
        try:
            self.solved = solve(ladder)
            self.figures = dict(figures(ladder))
            if self.shape.type is not self.shape.type_exact:
                # Those are of the type that exact zeros at the ends would make.
                for figure in ("gain", "bandwidth_hz"):
                    self.figures.pop(figure, None)
        except SymbolicTooLargeError:
            pass
        self.letters = None if self.solved is None else len(self.solved.bottom) - 1
        self.cancelled = self.letters is not None and self.letters != self.shape.transfer.order

    def steps(self) -> Iterator[Step]:
        shape = self.shape
        yield from self.feed()
        for hidden in shape.hidden:
            partner = {} if hidden.partner is None else {"partner": hidden.partner}
            yield step(f"hidden-{hidden.reason.value}", name=hidden.name, **partner)
        yield self.stores()
        if shape.reactive_count:
            yield from self.end(End.LOW)
            yield from self.end(End.HIGH)
            yield from self.resonances()
        yield from self.type()
        if self.solved is None:
            yield step("too-large")
        else:
            yield from derivation(self.ladder)
        if self.ladder.valued:
            yield numbers(shape.transfer)
            if self.cancelled:
                yield step("cancelled", letters=self.letters, order=shape.transfer.order)
        yield from counting(shape)
        letters = {} if self.cancelled else self.figures
        phase = Rung.CORNER_PHASE in self.asked
        yield from measured(shape, self.ladder.valued, letters, phase=phase)
        if self.ladder.valued:
            yield from after_step(shape, self.asked)
        yield from _rules(self.asked)
        if self.ladder.valued:
            yield from resonance(self.ladder, self.asked)
            yield from levels(shape, self.asked)
        if shape.reactive_count and not self.cancelled:
            yield step("check", low=self.gain(End.LOW), high=self.gain(End.HIGH))

    def type(self) -> Iterator[Step]:
        """What it is called, by levels where opens and shorts alone do not decide."""
        levels = named_by_levels(self.shape) if self.ladder.valued else None
        key, values = levels or (self.shape.type.value, {})
        yield step(f"type-{key}", **values)
        for key, values in traps(self.shape) if self.ladder.valued else ():
            yield step(key, **values)

    def feed(self) -> Iterator[Step]:
        """The first reactive arm that affects the output, and the idle ones before it."""
        idle: list[str] = []
        working = {name for rail in self.rails for name in rail.names}
        for stage in self.ladder.stages:
            if stage.arm is None or not is_reactive(stage.arm):
                continue
            arm = PlacedArm(stage.place, stage.arm)
            if working.isdisjoint(arm.names):
                idle.append(arm.text)
                continue
            found = {"arm": arm.text, **({"idle": listed(idle, "and")} if idle else {})}
            yield step(f"fed-{stage.place.value}{'-idle' if idle else ''}", **found)
            return

    def stores(self) -> Step:
        shape = self.shape
        if shape.seen_count == 0:
            return step("independent-none")
        names = listed((e.name for e in self.ladder.reactive()), "and")
        counts = {"reactive": shape.reactive_count, "independent": shape.seen_count}
        if shape.unseen:
            counts = {**counts, "independent": shape.independent_count, "seen": shape.seen_count}
            return step("independent-unseen", names=names, **counts)
        if shape.hidden:
            return step("independent-fewer", names=names, **counts)
        which = "one" if shape.reactive_count == 1 else "all"
        return step(f"independent-{which}", names=names, **counts)

    def gain(self, end: End) -> str:
        """The gain at an end, in letters and in numbers as far as there are any."""
        exact = self.shape.gain_low if end is End.LOW else self.shape.gain_high
        number = write_quantity(exact, "")
        letters = self.figures.get(f"gain_{end.value}")
        if letters is None or self.cancelled:
            return number if self.ladder.valued else "H"
        text = echo(letters)
        return f"{text} = {number}" if self.ladder.valued and text != number else text

    def end(self, end: End) -> Iterator[Step]:
        """What the arms look like at one end, and what that means for the gain."""
        seen = [(rail, state(rail.arm, end)) for rail in self.rails]
        open_ = listed((rail.text for rail, s in seen if s is ArmState.OPEN), "and")
        short = listed((rail.text for rail, s in seen if s is ArmState.SHORT), "and")
        which = "-".join([*(["open"] * bool(open_)), *(["short"] * bool(short))]) or "neither"
        limits = [
            f"Z({rail.text}) → {'∞' if s is ArmState.OPEN else '0'}"
            for rail, s in seen
            if s is not ArmState.RESISTIVE
        ]
        given = {"open": open_, "short": short}
        if self.rails:
            yield step(f"{end.value}-{which}", limits, **{k: v for k, v in given.items() if v})
        gain = self.shape.gain_low if end is End.LOW else self.shape.gain_high
        level = self.shape.low_end if end is End.LOW else self.shape.high_end
        stopping = [rail for rail in self.rails if rail.stops(end)]
        if gain and level is EndState.BLOCKED and self.ladder.valued:
            yield step(f"{end.value}-little", gain=self.gain(end))
        elif gain and not stopping:
            yield step(f"{end.value}-passes", gain=self.gain(end))
        elif gain:
            yield step(f"{end.value}-shared", gain=self.gain(end))
        elif stopping:
            how = "open" if stopping[0].place is Place.SERIES else "short"
            yield step(f"{end.value}-blocked-{how}", arm=stopping[0].text)

    def resonances(self) -> Iterator[Step]:
        """Arms that open or short at a frequency between the ends, without loss."""
        for rail in self.rails:
            series = rail.place is Place.SERIES
            if rail.makes_null:
                yield step("resonance-opens" if series else "resonance-shorts", arm=rail.text)
            elif rail.makes_peak:
                yield step("resonance-clears" if series else "resonance-vanishes", arm=rail.text)
