"""What a problem sheet is: the plan a teacher writes, and each student's sheet and key.

    plan ─▶ lots (which problem goes to whom) ─▶ sheet (what a student may see)
                                              └▶ key   (what only the teacher may)

These are plain frozen values.  ``sheets_plan.py`` reads plans, ``sheets_lots.py`` hands out
problems, ``sheets_variant.py`` makes sheets and keys, ``sheets_documents.py`` writes both as
JSON documents and reads them back.

A sheet is made so that the key can't be told from it other than by solving its problems: it
holds no truth, no seed and no family, and of a circuit that is asked for only what may be shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TypeAlias

from ..catalogue.groups import SkillGroup
from ..circuits.model import Ladder
from ..quantities.errors import WordedError, Wording, wording
from ..questions.exhibit import Exhibit
from ..questions.model import TOLERANCE, Choice, Face, Form, Problem, Rung, Task, Values
from ..sketches.weights import EVEN, SketchWeights
from .marking_rules import USUAL, MarkingRules
from .printing import AS_EVER, PrintOptions

PLAN_FORMAT = "rungwise.plan/3"
"""The form of new plans: circuits follow from who the student is, or from the variant."""
NUMBERED_PLAN_FORMAT, OLD_PLAN_FORMAT = "rungwise.plan/2", "rungwise.plan/1"
"""Forms whose circuits follow from the student's number.  Lots of the first one also give away
the plan's seed: see ``keyed_chance.py``."""
PLAN_FORMATS = (PLAN_FORMAT, NUMBERED_PLAN_FORMAT, OLD_PLAN_FORMAT)
SHEET_FORMAT = "rungwise.sheet/1"
KEY_FORMAT, OLD_KEY_FORMAT = "rungwise.key/2", "rungwise.key/1"
"""Forms of keys; only those of an old plan, which are of the old form, hold seeds."""
ANSWERS_FORMAT = "rungwise.answers/1"

MOST_SECTIONS = 20
MOST_PROBLEMS = 50
"""Problems in one section."""
MOST_STUDENTS = 10_000
MOST_VARIANTS = 26
MOST_POINTS = 1000
"""Points for one question."""
LEAST_SEED = 2**48
"""Plans' seeds below this can be found by trying them all on one sheet, within days at most."""
SEEDS = 2**63
"""Plans' seeds are below this: TOML has no larger numbers."""


class Symbols(StrEnum):
    """How elements are drawn on paper."""

    IEEE = "ieee-315"  # IEEE Std 315-1975: a resistor is a zigzag
    IEC = "iec-60617"  # IEC 60617: a resistor is a box


class Paper(StrEnum):
    """What a sheet is printed on."""

    A4 = "a4"  # ISO 216
    LETTER = "us-letter"  # ANSI/ASME Y14.1, size A


class Series(StrEnum):
    """The preferred numbers that values are taken from (IEC 60063:2015)."""

    E6 = "E6"
    E12 = "E12"
    E24 = "E24"


class VariantsBy(StrEnum):
    """What decides which of a plan's variants a student is given."""

    ROSTER = "roster"  # the roster's column
    SEAT = "seat"  # neighbours in a row are given different ones
    LOT = "lot"  # a keyed digest of who they are


@dataclass(frozen=True, slots=True)
class PointsRule:
    """Points for each question: ``each``, except for the kinds of question listed."""

    each: Fraction = Fraction(1)
    kinds: tuple[tuple[Rung, Fraction], ...] = ()

    def of(self, rung: Rung) -> Fraction:
        """The points for a question of this kind."""
        return dict(self.kinds).get(rung, self.each)


@dataclass(frozen=True, slots=True)
class FixedCircuit:
    """A circuit that the teacher typed; every student gets the same."""

    ladder: Ladder
    title: str = ""


@dataclass(frozen=True, slots=True)
class PlanSection:
    """Problems of one sort.

    ``families`` are rows of the catalogue, ``levels`` levels whose families are meant; with
    neither, all families.  ``count`` problems are drawn for each student, after the fixed
    ``circuits``.  ``ask`` names the kinds of question, in the order of a climb; empty asks what
    a climb would.  ``tolerance`` is relative; ``series`` ``None`` leaves values to the families'
    own drawers.  ``weights`` are those of a sketch's pieces.  With
    ``same_families`` the n-th problem is of one family for every student, so that they can be
    compared; otherwise each student's families are drawn.

    ``by_inspection`` is 0, or how many small circuits stand on a page to be judged at sight: of
    these ``groups`` of look-alikes (with none, of all), drawn with ``values`` or without.

    ``slips`` are mistakes that have to show: in every problem drawn, each of them leads to a wrong
    answer to one of its questions.  ``students`` and ``others``: see ``addressed.py``.
    """

    title: str = ""
    instructions: str = ""
    task: Task = Task.ANALYSE
    families: tuple[str, ...] = ()
    levels: tuple[int, ...] = ()
    count: int = 0
    ask: tuple[Rung, ...] = ()
    points: PointsRule = PointsRule()
    tolerance: Fraction = TOLERANCE
    series: Series | None = None
    same_families: bool = True
    circuits: tuple[FixedCircuit, ...] = ()
    weights: SketchWeights = EVEN
    by_inspection: int = 0
    groups: tuple[SkillGroup, ...] = ()
    values: bool = False
    slips: tuple[str, ...] = ()
    students: tuple[str, ...] = ()
    others: bool = False


@dataclass(frozen=True, slots=True)
class Plan:
    """A teacher's plan of a sheet.  ``date`` is ISO 8601 or ""; ``seed`` is the teacher's secret.

    ``format`` decides what its seed means: the same plan of another form makes other sheets.
    ``unshared``: no two students are given a circuit with the same values in the same places;
    with ``variants``, whose students share all circuits, no two variants are.  ``variants_by``
    ``None`` goes by the roster where it has a column for them, else by lot.  ``home_page`` is the
    address of the system that students' ids are accounts of, "" where nobody has to know.
    """

    title: str
    seed: int
    sections: tuple[PlanSection, ...]
    course: str = ""
    date: str = ""
    instructions: str = ""
    language: str = "en"
    symbols: Symbols = Symbols.IEEE
    unshared: bool = True
    paper: Paper = Paper.A4
    format: str = PLAN_FORMAT
    variants: tuple[str, ...] = ()
    variants_by: VariantsBy | None = None
    marking: MarkingRules = USUAL
    printing: PrintOptions = AS_EVER
    home_page: str = ""

    @property
    def is_numbered(self) -> bool:
        """Whether circuits follow from the student's number, as of forms before the third."""
        return self.format != PLAN_FORMAT


@dataclass(frozen=True, slots=True)
class ProblemLot:
    """One problem handed to a student: what it is made of again.

    ``circuit`` counts the fixed circuits of the section and is −1 for a drawn problem, of
    which ``family`` and ``seed`` are the origin; ``attempt`` says which draw that seed is of.
    """

    section: int
    circuit: int = -1
    family: str = ""
    seed: int = 0
    attempt: int = 0


@dataclass(frozen=True, slots=True)
class Student:
    """Whom a sheet is for.  ``number`` counts from 1; the texts are as in the roster.

    ``identity`` tells a student of a class from all others, whatever row they are in: see
    ``identity.py``.  It, ``seat`` and ``email`` never stand on a sheet or in a key.
    """

    number: int
    name: str = ""
    id: str = ""
    group: str = ""
    variant: str = ""
    seat: str = ""
    email: str = ""
    identity: str = ""


@dataclass(frozen=True, slots=True)
class AskedQuestion:
    """A question as a student may see it: all of a :class:`Question` but its truth.

    It is :class:`~..questions.model.Posed`: what words questions and reads answers takes it.
    """

    number: str  # "3.2": the second question of the third problem
    rung: Rung
    form: Form
    points: Fraction
    choices: tuple[Choice, ...] = ()
    unit: str = ""
    tolerance: Fraction = Fraction(0)
    values: Values = ()
    exhibit: Exhibit | None = None


@dataclass(frozen=True, slots=True)
class SheetProblem:
    """A problem as a student may see it.

    What stands at its head depends on ``face``: for CIRCUIT and BLANK ``ladder``, in which the
    arm asked for is :data:`~.blank.BOX` and the elements named in ``unvalued`` have no values;
    for GAIN the curve ``gain`` of (Hz, dB); for MAP ``poles`` and ``zeros`` in rad/s.
    ``paper`` is (lowest Hz, highest Hz, lowest dB, highest dB) where gain or phase is sketched.
    """

    number: int  # counts from 1 through the whole sheet
    task: Task
    face: Face
    questions: tuple[AskedQuestion, ...]
    title: str = ""
    ladder: Ladder | None = None
    unvalued: tuple[str, ...] = ()
    gain: tuple[tuple[float, float], ...] = ()
    poles: tuple[complex, ...] = ()
    zeros: tuple[complex, ...] = ()
    paper: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class SheetSection:
    """A section as a student sees it; ``by_inspection`` is as in its plan."""

    title: str
    instructions: str
    items: tuple[SheetProblem, ...]
    by_inspection: int = 0


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands at the head of every sheet and key of a plan."""

    title: str
    course: str = ""
    date: str = ""
    instructions: str = ""
    language: str = "en"
    symbols: Symbols = Symbols.IEEE
    paper: Paper = Paper.A4
    marking: MarkingRules = USUAL
    printing: PrintOptions = AS_EVER


@dataclass(frozen=True, slots=True)
class Sheet:
    """What one student is given."""

    heading: Heading
    student: Student
    parts: tuple[SheetSection, ...]

    @property
    def items(self) -> tuple[SheetProblem, ...]:
        """All problems, in order."""
        return tuple(item for part in self.parts for item in part.items)

    @property
    def points(self) -> Fraction:
        """The points that can be had."""
        return sum((q.points for item in self.items for q in item.questions), Fraction(0))


@dataclass(frozen=True, slots=True)
class KeyItem:
    """A problem with its truths; ``points`` go with ``problem.questions``, in order.

    ``weights`` are those of the pieces of its sketches.
    """

    number: int
    problem: Problem
    points: tuple[Fraction, ...]
    title: str = ""
    weights: SketchWeights = EVEN


@dataclass(frozen=True, slots=True)
class Key:
    """What marks one student's answers.

    Seeds of its problems are 0, unless its ``format`` is the old one: marking needs none.
    """

    heading: Heading
    student: Student
    items: tuple[KeyItem, ...]
    format: str = KEY_FORMAT


@dataclass(frozen=True, slots=True)
class Variant:
    """One student's sheet and the key to it."""

    sheet: Sheet
    key: Key


Told: TypeAlias = str | Wording
"""What is said of a trouble; as a text by whoever has its words."""


@dataclass(frozen=True, slots=True)
class PlanTrouble:
    """One thing wrong with a document: where (``sections[2].levels``), what, and what mends it."""

    path: str
    value: str
    what: Told
    remedy: Told = ""

    @property
    def wording(self) -> Wording:
        """All of it in one sentence."""
        path = self.path or wording("document.whole")
        told = wording("document.trouble", path=path, what=self.what)
        if self.value:
            told = wording("document.found", trouble=told, value=self.value)
        if self.remedy:
            told = wording("document.mend", trouble=told, remedy=self.remedy)
        return told

    def __str__(self) -> str:
        return str(self.wording)


class ValueRefused(WordedError, ValueError):  # noqa: N818 - it is told as a trouble, with its place
    """A value that won't do.

    Args:
        key: the key of what is wrong with it, or all that is to be said.
        remedy: what mends it, if anything does.
        values: what fills the words of a key.
    """

    def __init__(self, key: str | Wording, remedy: Told = "", **values: object) -> None:
        super().__init__(key, **values)
        self.remedy = remedy


class SheetError(ValueError):
    """A document that can't be used; ``troubles`` holds everything that is wrong with it."""

    def __init__(self, *troubles: PlanTrouble) -> None:
        self.troubles = troubles
        super().__init__("\n".join(map(str, troubles)))
