"""Marking a class: what came back is looked through, marked by workers, and written out.

    hand-ins ─▶ whose? ─▶ which counts? ─▶ marks (workers) ─▶ tables, marks.json, feedback
                  └────────────┴──────────────┴──▶ apart: a reason and a remedy each

All of it is ordered by student or path, so that nothing depends on the order in which files are
found or workers answer.  Nothing is put in place before all is marked; a run that is killed, at
whatever moment, comes to the same bytes when it is begun again.

Which hand-in counts: students may hand in several files.  Those alike count once; one without
any answer gives way to one with answers; of two that differ none counts until the teacher has
taken away all but one.  A hand-in that is blank altogether is none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import chain, islice
from pathlib import Path

from ...files.tree import only_one
from ..handins.cells import one_line
from ..handins.files import Answers
from ..handins.table import BadTable
from ..making.workers import Workers
from .folder import HandIn
from .jobs import MarkingJob, MarkingResult, mark_batch
from .made_class import ClassMember, ClassRoll, ClassSettings, whose
from .mark import as_typed, tag
from .marks import HandInState, SetApart, StudentMarks
from .out import WORK, MarksFolder
from .settled import NAME as SETTLED
from .settled import SettledRow, read_settled
from .write import MarkedStudent, Tell, Writing, WritingOutcome

BATCH = 16
"""Hand-ins of one job: enough to be worth sending, few enough to be stopped soon."""
_STRAY = b""
"""The path of what is listed apart and is no file of the folder: it comes first."""
_FORMER = "marking.sqlite"
"""What earlier releases kept in the work folder: marks, of no use any more."""


class MarkingBusyError(Exception):
    """Another process is marking into the same folder."""


@dataclass(frozen=True, slots=True)
class Marking:
    """What is to be marked, and where marks go.

    Attributes:
        course: what all sheets have in common.
        entries: the class.
        hand_ins: what came back, in any order.
        key: the bytes of a student's ``key.json``; ``None`` where there is none.
        out: the folder for the marks.
        tolerance: a relative tolerance in place of the plan's.
        settled: the bytes of ``settled.csv``, or why it can't be read; ``None`` without one.
    """

    course: ClassSettings
    entries: Iterable[ClassMember]
    hand_ins: Iterable[HandIn]
    key: Callable[[ClassMember], bytes | None]
    out: Path
    tolerance: Fraction | None = None
    settled: bytes | BadTable | None = None


def mark(
    marking: Marking, workers: Workers, tell: Tell = lambda what, done: None
) -> WritingOutcome:
    """Mark a class.

    Args:
        marking: what is to be marked.
        workers: who marks it.
        tell: called with what is being done and how often so far: "read" (hand-ins) or
            "mark" (students).

    Raises:
        MarkingBusyError: another process is at work in the folder.
        WorkersError: the workers can't do it.
        SheetError: the class is not as it was made.
        OSError: something can't be written.
    """
    place = MarksFolder(marking.out)
    work = marking.out / WORK
    work.mkdir(mode=0o700, exist_ok=True)
    with only_one(work / "marking") as alone:
        if not alone:
            raise MarkingBusyError(f"another `rungwise sheet mark` is writing into {marking.out}")
        for ending in ("", "-wal", "-shm", "-journal"):
            (work / f"{_FORMER}{ending}").unlink(missing_ok=True)
        run = _Run(marking, tell)
        run.look_through()
        run.take_decisions()
        with workers:
            marked = run.have_marked(workers)
        Writing(marked, run.apart(), place, marking.course, marking.tolerance, run.outcome).write()
    return run.outcome


@dataclass(frozen=True, slots=True)
class KnownHandIn:
    """A hand-in whose student is known."""

    path: bytes
    file: str
    answers: Answers
    notes: str

    @property
    def says(self) -> tuple[object, ...]:
        """What is the same for hand-ins that are alike."""
        return self.answers.answers, self.answers.strays


@dataclass(frozen=True, slots=True)
class StudentStanding:
    """What became of a student's hand-ins; ``counts`` is the one to be marked."""

    entry: ClassMember
    state: HandInState
    file: str = ""
    notes: str = ""
    counts: KnownHandIn | None = None


class _Run:
    """One run."""

    def __init__(self, marking: Marking, tell: Tell) -> None:
        self.outcome = WritingOutcome()
        self._marking, self._tell = marking, tell
        self._roll = ClassRoll(marking.entries)
        self._came: dict[int, list[KnownHandIn]] = {}
        self._set_apart: list[tuple[bytes, SetApart]] = []
        self._sheets_apart = set[int]()
        self._decided: dict[int, dict[str, SettledRow]] = {}

    # ------------------------------------------------------------------- what came back

    def look_through(self) -> None:
        """Find out whose each hand-in is."""
        for hand_in in self._marking.hand_ins:
            found = whose(self._roll, self._marking.course, hand_in.answers, hand_in.names)
            if hand_in.answers is None:
                self._apart(hand_in.path, hand_in.file, found.number, hand_in.what, hand_in.remedy)
            elif found.what:
                self._apart(hand_in.path, hand_in.file, 0, found.what, found.remedy)
            else:
                notes = "; ".join((*found.notes, *hand_in.answers.notes))
                came = KnownHandIn(hand_in.path, hand_in.file, hand_in.answers, notes)
                self._came.setdefault(found.number, []).append(came)
            self.outcome.files += 1
            self._tell("read", self.outcome.files)
        for of_sheet in self._came.values():
            of_sheet.sort(key=lambda came: came.path)

    def _apart(self, path: bytes, file: str, sheet: int, what: str, remedy: str) -> None:
        apart = SetApart(file, one_line(what), one_line(remedy), sheet)
        self._set_apart.append((path, apart))
        if path != _STRAY:
            self._sheets_apart.add(sheet)

    def apart(self) -> list[SetApart]:
        """All that is listed apart, in order."""

        def place(one: tuple[bytes, SetApart]) -> tuple[bytes, int, str, str]:
            return one[0], one[1].sheet, one[1].what, one[1].remedy

        return [apart for _, apart in sorted(self._set_apart, key=place)]

    def take_decisions(self) -> None:
        """Read what a human decided before."""
        settled = self._marking.settled
        if settled is None:
            return
        try:
            if isinstance(settled, BadTable):
                raise settled
            for found in read_settled(settled):
                if isinstance(found, BadTable):
                    self._unsettled(0, found.what, found.remedy)
                    continue
                of_sheet = self._decided.setdefault(found.sheet, {})
                if of_sheet.setdefault(found.question, found) is not found:
                    self._unsettled(
                        found.sheet,
                        f"row {found.line} decides about an answer that a row before it decided",
                        "leave one row for each answer",
                    )
        except BadTable as error:
            self._unsettled(0, error.what, error.remedy)
        for sheet in self._decided.keys() - self._roll.members:
            for decided in self._decided[sheet].values():
                what = f"row {decided.line} is about sheet {decided.sheet}, which there is not"
                self._unsettled(0, what, "mend its sheet")

    def _unsettled(self, sheet: int, what: str, remedy: str) -> None:
        self._apart(_STRAY, SETTLED, sheet, what, remedy)

    # ------------------------------------------------------------------- marks

    def have_marked(self, workers: Workers) -> list[MarkedStudent]:
        """Have all marked; the class by number."""
        standings = [self._standing(entry) for entry in self._roll.members.values()]
        batches = _batches(self._jobs(standings))
        results = chain.from_iterable(workers.in_order(mark_batch, batches))
        marked = []
        for standing in standings:
            result = MarkingResult()
            if standing.counts:
                result = next(results)
            marked.append(MarkedStudent(self._marks(standing, result), result.strays))
            self._tell("mark", len(marked))
        self.outcome.deaths = workers.deaths
        return marked

    def _standing(self, entry: ClassMember) -> StudentStanding:
        """Which of a student's hand-ins counts, if any does."""
        number, came = entry.number, self._came.get(entry.number, [])
        filled = [one for one in came if not one.answers.blank]
        if not filled:
            state = HandInState.APART if number in self._sheets_apart else HandInState.MISSING
            file, notes = (came[0].file, "handed in blank") if came else ("", "")
            return StudentStanding(entry, state, file, notes)
        if any(one.says != filled[0].says for one in filled):
            for one in filled:
                self._apart(
                    one.path, one.file, number,
                    f"sheet {number} was handed in more than once, and not alike",
                    "leave the one that counts, and take the others out of the folder",
                )  # fmt: skip
            return StudentStanding(entry, HandInState.APART)
        counts = filled[0]
        return StudentStanding(entry, HandInState.MARKED, counts.file, counts.notes, counts)

    def _jobs(self, standings: Iterable[StudentStanding]) -> Iterator[MarkingJob]:
        """What has to be marked; keys are read when their turn comes."""
        for standing in standings:
            if standing.counts:
                entry, answers = standing.entry, standing.counts.answers
                key = self._marking.key(entry)
                decisions = () if key is None else tuple(self._decisions(entry.number, answers))
                yield MarkingJob(entry.number, key, answers, self._marking.tolerance, decisions)

    def _decisions(self, sheet: int, answers: Answers) -> Iterator[tuple[str, str, str]]:
        """The decisions about a hand-in that were made about these very answers."""
        texts = dict(answers.answers)
        for question, found in sorted(self._decided.get(sheet, {}).items()):
            typed = as_typed(texts.get(question, ()))
            if found.tag and found.tag != tag(sheet, question, typed):
                self._unsettled(
                    sheet,
                    f"row {found.line} is about another answer to {question} than is there",
                    "decide about the new one, which unclear.csv lists if it is unclear",
                )
            else:
                yield question, found.points, found.text

    def _marks(self, standing: StudentStanding, result: MarkingResult) -> StudentMarks:
        """A student's marks; what workers said besides is listed."""
        entry, state, file, notes = standing.entry, standing.state, standing.file, standing.notes
        for question, why in result.refused:
            what = f"the decision about Q{question} of sheet {entry.number} is left out: {why}"
            self._unsettled(entry.number, what, "mend its row")
        if result.trouble:
            state, file, notes = HandInState.APART, "", ""
            self._apart(
                _STRAY, f"keys/{entry.folder}/key.json", entry.number,
                result.trouble, "run `rungwise sheet make` again",
            )  # fmt: skip
        return StudentMarks(
            entry.number, entry.folder, entry.name, entry.id,
            state, result.problems, file, (notes,) if notes else (),
        )  # fmt: skip


def _batches(jobs: Iterator[MarkingJob]) -> Iterator[tuple[tuple[MarkingJob, ...]]]:
    while batch := tuple(islice(jobs, BATCH)):
        yield (batch,)
