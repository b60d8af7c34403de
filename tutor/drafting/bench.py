"""The state of a bench: circuits in hand and kept, what is turned, where the marker stands.

No screen in here.  Every method that changes the circuit says in its result whether it
could; the reason why not is left in ``Bench.trouble`` as the key of a sentence.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection
from copy import copy
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from ...problems.analysis.asymptotes import Sweep
from ...problems.analysis.response import Facts, Response, facts
from ...problems.analysis.step import StepResponse
from ...problems.analysis.transfer import transfer_function
from ...problems.catalogue.draw_values import draw
from ...problems.catalogue.families import find
from ...problems.chance import Chance
from ...problems.circuits import rearrange as moves
from ...problems.circuits.altered import with_value, without
from ...problems.circuits.model import CircuitError, Element, Kind, Ladder
from ...problems.circuits.step_value import (
    USUAL,
    StepSize,
    turned,
    usual_loss,
    with_usual_values,
)
from ...problems.circuits.write import DEFAULT_NAMES
from .undo import Undo

LETTERS = "ABC"
"""The versions that can lie on top of each other."""
_ATTEMPTS = 200
MARKER = (1e-6, 1e15)
"""Hz between which the marker moves."""

VALUES = (Fraction(1, 10**30), Fraction(10**30))
"""Values in SI base units that can be written."""


def loss_name(name: str) -> str:
    """The name of the resistance that makes a part lossy: R_L1 of L1."""
    return f"R_{name}"[:12]


def example(name: str) -> Ladder:
    """A circuit of a family, always the same one.

    Raises:
        UnknownFamily: there is no such family.
    """
    family = find(name)
    chance = Chance(1, "bench", name)
    for _ in range(_ATTEMPTS):
        ladder = draw(family, chance)
        if ladder is not None:
            return ladder
    return with_usual_values(family.ladder)  # pragma: no cover - every family can be drawn


@dataclass(frozen=True)
class Version:
    """One version: a circuit as it was built, and where its output is tapped."""

    letter: str
    circuit: Ladder
    tap: int = 0

    @cached_property
    def taps(self) -> tuple[Ladder, ...]:
        """The circuit with its output in every place, as built first."""
        return moves.taps(self.circuit)

    @cached_property
    def ladder(self) -> Ladder:
        """The circuit with its output where it is tapped."""
        return self.taps[self.tap] if self.tap else self.circuit

    @cached_property
    def facts(self) -> Facts:
        """What is true of it."""
        return facts(self.ladder)

    @cached_property
    def sweep(self) -> Sweep:
        """Its gain and phase at any frequency."""
        return Sweep(self.facts)

    @cached_property
    def step(self) -> StepResponse:
        """Its step response."""
        return StepResponse(self.facts.transfer)

    @property
    def heavy(self) -> bool:
        """Whether its roots take long enough to be computed beside the screen."""
        return self.facts.transfer.order > 5

    @property
    def ready(self) -> bool:
        """Whether a picture of it can be drawn within a frame."""
        return "warmed" in self.__dict__ or not self.heavy

    @cached_property
    def warmed(self) -> bool:
        """Computes whatever a picture of it needs."""
        known = self.facts
        _ = known.poles, known.zeros, known.edges_hz, known.peak_hz, known.hidden
        self.step.at((0.0, self.step.horizon))
        return self.step.overshoot is None or True

    def element(self, name: str) -> Element | None:
        """The element of a name."""
        return next((e for e in self.ladder.elements() if e.name == name), None)


@dataclass(frozen=True)
class BenchMoment:
    """What lies on a bench, as something to be gone back to."""

    versions: tuple[Version, ...]
    hand: str
    selected: str

    @property
    def version(self) -> Version:
        """The version in hand."""
        return next(v for v in self.versions if v.letter == self.hand)


class Bench:
    """A bench with one circuit on it.

    Args:
        ladder: the circuit; elements without a value get a usual one.
    """

    def __init__(self, ladder: Ladder) -> None:
        self.filled = not ladder.valued
        self._start = Version(LETTERS[0], with_usual_values(ladder))
        self.versions: tuple[Version, ...] = (self._start,)
        self.hand = self._start.letter
        self.turning = StepSize.E12
        self.marker: float | None = None
        self.trouble = ""
        self._changes = Undo[BenchMoment]()
        self.selected = self._first()

    # What is there

    @property
    def version(self) -> Version:
        """The version in hand."""
        return next(v for v in self.versions if v.letter == self.hand)

    @property
    def others(self) -> tuple[Version, ...]:
        """The versions kept beside the one in hand, by letter."""
        return tuple(v for v in self.versions if v.letter != self.hand)

    @property
    def elements(self) -> tuple[Element, ...]:
        """The parts of the circuit in hand, from source to load."""
        return tuple(self.version.ladder.elements())

    def _first(self) -> str:
        """A part worth turning first: the first of an arm."""
        ladder = self.version.ladder
        ends = {e.name for e in (ladder.source, ladder.load) if e is not None}
        names = [e.name for e in self.elements]
        return next((name for name in names if name not in ends), names[0] if names else "")

    # Selecting and turning

    def select(self, by: int) -> None:
        """Go to the next or the previous part, round and round."""
        names = [e.name for e in self.elements]
        if names:
            at = names.index(self.selected) if self.selected in names else 0
            self.selected = names[(at + by) % len(names)]

    def pick(self, name: str) -> bool:
        """Select a part by its name."""
        if name not in {e.name for e in self.elements}:
            return False
        self.selected = name
        return True

    def turn(self, turn: StepSize, up: bool) -> bool:
        """``turn`` the selected part by one step, ``up`` or down."""
        part = self.version.element(self.selected)
        if part is None or part.value is None:
            return self._refuse("nothing")
        value = turned(part.kind, part.value, turn, up)
        if value is None:
            return self._refuse("limit")
        version = self.version
        # Turned as built, so that the tap can be moved on and back afterwards.
        circuit = with_value(version.circuit, part.name, value)
        return self._put(replace(version, circuit=circuit))

    # Moves

    def tap(self, by: int) -> bool:
        """Take the output in the next place."""
        version = self.version
        if len(version.taps) < 2:
            return self._refuse("no-tap")
        return self._put(replace(version, tap=(version.tap + by) % len(version.taps)))

    def swap(self) -> bool:
        """The stage of the selected part changes places with its neighbour."""
        return self._move(moves.swapped, "no-swap")

    def swap_sections(self) -> bool:
        """The section of the selected part changes places with its neighbour."""
        return self._move(moves.sections_swapped, "no-sections")

    def exchange(self) -> bool:
        """The selected part's arm trades places with the next series or shunt arm."""
        return self._move(moves.exchanged, "no-exchange")

    def rebuffer(self) -> bool:
        """Put a buffer between two sections, or take it away."""
        return self._move(moves.rebuffered, "no-buffer")

    def _move(self, move: Callable[[Ladder, int], Ladder | None], trouble: str) -> bool:
        version = self.version
        at = moves.stage_of(version.ladder, self.selected)
        ladder = move(version.ladder, at)
        if ladder is None or ladder == version.ladder:
            return self._refuse(trouble)
        return self._put(Version(version.letter, ladder))

    def build(self, ladder: Ladder) -> bool:
        """Put another circuit into the hand; elements without a value get a usual one."""
        self._put(Version(self.hand, with_usual_values(ladder)))
        self.filled = not ladder.valued
        self.selected = self._first()
        return True

    def set_value(self, name: str, value: Fraction) -> bool:
        """Give the part called ``name`` another ``value``, in SI base units."""
        if self.version.element(name) is None:
            return self._refuse("no-part")
        if not VALUES[0] <= value <= VALUES[1]:
            return self._refuse("limit")
        version, self.selected = self.version, name
        return self._put(replace(version, circuit=with_value(version.circuit, name, value)))

    def scale(self, name: str, factor: Fraction) -> bool:
        """Multiply the value of the part called ``name`` by a positive ``factor``."""
        part = self.version.element(name)
        if part is None or part.value is None:
            return self._refuse("no-part")
        return self.set_value(name, part.value * factor)

    def tap_across(self, names: Collection[str]) -> bool:
        """Take the output across the parts of these ``names``."""
        wanted = set(names)
        for n, ladder in enumerate(self.version.taps):
            if wanted == set(moves.output_names(ladder)):
                return self._put(replace(self.version, tap=n))
        return self._refuse("no-such-tap")

    def turn_over(self) -> bool:
        """The selected part's arm turns from series to shunt, or back."""
        ladder = self.version.ladder
        at = moves.stage_of(ladder, self.selected)
        return self._try(lambda: moves.turned_over(ladder, at), "no-arm")

    def swap_parts(self, first: str, second: str) -> bool:
        """Two parts, ``first`` and ``second``, change places."""
        ladder = self.version.ladder
        names = {e.name for e in ladder.elements()}
        if first == second or not {first, second} <= names:
            return self._refuse("no-swap")
        return self._try(lambda: moves.parts_swapped(ladder, first, second), "no-such-swap")

    def set_end(self, role: str, end: Element | None) -> bool:
        """Put a source's resistance or a load on, or take it away.

        Args:
            role: "source" or "load".
            end: the resistance; ``None`` for none.
        """
        ladder = self.version.ladder
        if getattr(ladder, role) == end:
            none = "no-source" if role == "source" else "no-load"
            return self._refuse(none if end is None else "no-change")
        if role == "source":
            return self._try(lambda: replace(ladder, source=end), "no-such-part")
        return self._try(lambda: replace(ladder, load=end), "no-such-part")

    def load(self) -> bool:
        """Put a load of a usual value across the output, or take the load away."""
        ladder = self.version.ladder
        if ladder.load is not None:
            return self.set_end("load", None)
        name = DEFAULT_NAMES["load"]
        return self.set_end("load", Element(Kind.R, self._free(name), USUAL[Kind.R]))

    def lose(self, name: str, ohms: Fraction | None = None) -> bool:
        """Put a resistance in series with the coil or capacitor called ``name``.

        Args:
            name: the part.
            ohms: the resistance; one twentieth of the part's reactance if not given.
        """
        part = self.version.element(name)
        if part is None or part.value is None or not part.kind.reactive:
            return self._refuse("no-loss")
        known = self.version.facts
        middle = math.tau * (known.corner_hz or known.peak_hz or 1e3)
        value = usual_loss(part.kind, part.value, middle) if ohms is None else ohms
        loss = Element(Kind.R, self._free(loss_name(name)), value)
        return self._try(lambda: moves.with_loss(self.version.ladder, name, loss), "no-such-part")

    def lossy(self) -> bool:
        """Make the selected part lossy, or take its loss away again."""
        name = loss_name(self.selected)
        if self.version.element(name) is not None:
            return self.leave_out(name)
        return self.lose(self.selected)

    def leave_out(self, name: str) -> bool:
        """Take a part away: in a series group it leaves a short, in a parallel one an open."""
        if self.version.element(name) is None:
            return self._refuse("no-part")
        ladder = self.version.ladder
        return self._try(lambda: without(ladder, name), "no-rest")

    def _free(self, name: str) -> str:
        taken = {e.name for e in self.elements}
        stem, number = name[:9], 1
        while name in taken:
            number += 1
            name = f"{stem}_{number}"
        return name

    def _try(self, change: Callable[[], Ladder | None], trouble: str) -> bool:
        """Put what a change gives into the hand; its H(s) must exist."""
        try:
            ladder = change()
            if ladder is None:
                return self._refuse(trouble)
            transfer_function(ladder)
        except CircuitError:
            return self._refuse(trouble)
        selected = self.selected
        self._put(Version(self.hand, ladder))
        self.selected = selected if self.version.element(selected) else self._first()
        return True

    def tried(self, change: Callable[[Bench], bool]) -> Version | None:
        """The version in hand after a ``change`` that is not made; why not is left in trouble."""
        trial = copy(self)
        trial._changes = Undo()
        if not change(trial):
            self.trouble = trial.trouble
            return None
        return trial.version

    def go_to(self, moment: BenchMoment) -> bool:
        """Put on the bench what lay there at a ``moment``; undo leads back from it."""
        self._remember()
        self.versions, self.hand = moment.versions, moment.hand
        self.selected = moment.selected
        return True

    # Versions

    def keep(self) -> bool:
        """Keep this version and go on with a copy of it."""
        free = [letter for letter in LETTERS if letter not in {v.letter for v in self.versions}]
        if not free:
            return self._refuse("three-kept")
        self._remember()
        copy = replace(self.version, letter=free[0])
        self.versions = tuple(sorted((*self.versions, copy), key=lambda v: v.letter))
        self.hand = copy.letter
        return True

    def take(self, letter: str) -> bool:
        """Take another version in hand."""
        if letter == self.hand or letter not in {v.letter for v in self.versions}:
            return self._refuse("" if letter == self.hand else "no-version")
        self._remember()
        self.hand = letter
        self._reselect()
        return True

    def drop(self) -> bool:
        """Drop the version in hand and take the one before it."""
        if not self.others:
            return self._refuse("last-version")
        self._remember()
        earlier = [v.letter for v in self.others if v.letter < self.hand]
        gone, self.hand = self.hand, (earlier or [self.others[0].letter])[-1]
        self.versions = tuple(v for v in self.versions if v.letter != gone)
        self._reselect()
        return True

    def undo(self) -> bool:
        """Take the last change back."""
        moment = self._changes.undo(self.moment)
        if moment is None:
            return self._refuse("no-past")
        self.versions, self.hand, self.selected = moment.versions, moment.hand, moment.selected
        self.trouble = ""
        return True

    def restart(self) -> bool:
        """Back to the circuit that the bench began with."""
        if self.versions == (self._start,):
            return self._refuse("at-start")
        self._remember()
        self.versions, self.hand = (self._start,), self._start.letter
        self._reselect()
        return True

    def _put(self, version: Version) -> bool:
        self._remember()
        self.versions = tuple(version if v.letter == self.hand else v for v in self.versions)
        self._reselect()
        return True

    def _remember(self) -> None:
        self.trouble = ""
        self._changes.note(self.moment)

    @property
    def moment(self) -> BenchMoment:
        """What lies on it now."""
        return BenchMoment(self.versions, self.hand, self.selected)

    def _reselect(self) -> None:
        self.trouble = ""
        if self.version.element(self.selected) is None:
            self.selected = self._first()

    def _refuse(self, trouble: str) -> bool:
        self.trouble = trouble
        return False

    # The marker

    def landmarks(self) -> tuple[tuple[str, float], ...]:
        """(key, Hz) of what is worth marking in the response in hand, by frequency."""
        known: Response = self.version.facts
        low, high = known.edges_hz
        found = [
            ("corner", known.corner_hz),
            ("peak", known.peak_hz),
            ("null", known.notch_hz),
            ("edge", low),
            ("edge", high),
        ]
        named: dict[float, str] = {}
        for key, frequency in found:
            if frequency and not any(math.isclose(frequency, f, rel_tol=1e-9) for f in named):
                named[frequency] = key
        return tuple((key, f) for f, key in sorted(named.items()))

    def next_landmark(self) -> str:
        """Set the marker to the next landmark, or take it away after the last; its key."""
        for key, frequency in self.landmarks():
            if self.marker is None or frequency > self.marker * (1 + 1e-9):
                self.marker = frequency
                return key
        self.marker = None
        return ""

    def move_marker(self, decades: float) -> None:
        """Move the marker; where there is none it appears at the corner, or at 1 kHz."""
        if self.marker is None:
            known = self.version.facts
            self.marker = known.corner_hz or known.peak_hz or known.notch_hz or 1e3
            return
        self.marker = min(max(self.marker * 10**decades, MARKER[0]), MARKER[1])

    def window(self, reach: float) -> tuple[float, float]:
        """log10 of Hz from ``reach`` decades below the marker, or the middle, to above."""
        middle = self.marker
        if middle is None:
            known = self.version.facts
            middle = known.notch_hz or known.peak_hz or known.corner_hz
        if not middle:
            sizes = [abs(root) for root in known.poles if root] or [math.tau * 1e3]
            middle = math.exp(sum(map(math.log, sizes)) / len(sizes)) / math.tau
        return math.log10(middle) - reach, math.log10(middle) + reach

    def reading(self, version: Version) -> tuple[float, float] | None:
        """(dB, degrees) of a version at the marker; dB may be infinite."""
        if self.marker is None:
            return None
        return version.sweep.gain_db(self.marker), version.sweep.phase_deg(self.marker)
