"""Marking a class: what came back is looked through, marked by workers, and written out.

    hand-ins ─▶ whose? ─▶ which counts? ─▶ marks (workers) ─▶ tables, marks.json, feedback
                  └────────────┴──────────────┴──▶ apart: a reason and a remedy each

All of it goes through the :mod:`.marking_store`, so that nothing depends on the order in which
files are found or workers answer, and a run that is killed, at whatever moment, goes on to the
same bytes when it is begun again.

Which hand-in counts: students may hand in several files.  Those alike count once; one without
any answer gives way to one with answers; of two that differ none counts until the teacher has
taken away all but one.  A hand-in that is blank altogether is none.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from hashlib import sha256
from pathlib import Path

from ...files.tree import only_one
from ..handins.cells import one_line
from ..handins.table import BadTable
from ..making.crew import Crew, Workers
from .folder import HandIn
from .jobs import MarkingJob, answers_from, mark_batch, result_from, written
from .made_class import ClassMember, ClassSettings, whose
from .mark import as_typed, tag
from .marks import HandInState
from .out import WORK, MarksFolder
from .settled import KEPT, MOST_KEPT, Decisions, keep, read_settled
from .settled import NAME as SETTLED
from .store import KnownHandIn, SettledRow, Store
from .write import Tell, Writing, WritingOutcome

BATCH = 16
"""Hand-ins of one job: enough to be worth sending, few enough to be stopped soon."""
KEPT_EVERY = 500
"""Hand-ins that are looked through between two moments at which they are kept."""
_STRAY = b""
"""The path of what is listed apart and is no file of the folder: it comes first."""


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
        is_given: whether the file at a path of the folder of hand-ins is, byte for byte, one of
            those that the student was given.
        settled: the bytes of ``settled.csv``, or why it can't be read; ``None`` without one.
    """

    course: ClassSettings
    entries: Iterable[ClassMember]
    hand_ins: Iterable[HandIn]
    key: Callable[[ClassMember], bytes | None]
    out: Path
    tolerance: Fraction | None = None
    settled: bytes | BadTable | None = None
    is_given: Callable[[ClassMember, bytes], bool] = lambda entry, path: False


def mark(
    marking: Marking, workers: Workers, tell: Tell = lambda what, done: None
) -> WritingOutcome:
    """Mark a class.

    Args:
        marking: what is to be marked.
        workers: who marks it.
        tell: called with what is being done ("read", "mark" or "write") and how often so far.

    Raises:
        BusyError: another process is at work in the folder.
        CrewError: the workers can't do it.
        SheetError: the class is not as it was made.
        OSError: something can't be written.
    """
    place = MarksFolder(marking.out)
    work = marking.out / WORK
    work.mkdir(mode=0o700, exist_ok=True)
    with only_one(work / "marking") as alone:
        if not alone:
            raise MarkingBusyError(f"another `rungwise sheet mark` is writing into {marking.out}")
        base = work / "marking.sqlite"
        store = Store(base)
        try:
            run = _Run(marking, store, place, tell)
            run.look_through()
            run.take_decisions()
            with Crew(workers) as crew:
                run.have_marked(crew)
            run.look_at_results()
            writing = Writing(store, place, marking.course, marking.tolerance, run.outcome, tell)
            writing.write()
            store.tidy()
        except sqlite3.Error as error:  # the disk is full, say
            raise OSError(0, str(error), str(base)) from None
        finally:
            store.close()
    return run.outcome


class _Run:
    """One run."""

    def __init__(self, marking: Marking, store: Store, place: MarksFolder, tell: Tell) -> None:
        self.outcome = WritingOutcome()
        self._marking, self._store, self._place, self._tell = marking, store, place, tell

    # ------------------------------------------------------------------- what came back

    def look_through(self) -> None:
        """Find out whose each hand-in is."""
        store, course = self._store, self._marking.course
        store.enrol(self._marking.entries)
        for hand_in in self._marking.hand_ins:
            found = whose(store, course, hand_in.answers, hand_in.names)
            if hand_in.answers is None:
                if not self._is_given(hand_in, found.number):
                    self._apart(
                        hand_in.path, hand_in.file, found.number, hand_in.what, hand_in.remedy,
                        unread=hand_in.unread,
                    )  # fmt: skip
            elif found.what:
                self._apart(hand_in.path, hand_in.file, 0, found.what, found.remedy)
            else:
                answers = hand_in.answers
                text = written(answers)
                notes = "; ".join((*found.notes, *answers.notes))
                came = KnownHandIn(
                    hand_in.path, hand_in.file, found.number, text, _digest(text),
                    answers.blank, notes,
                )  # fmt: skip
                store.came(came)
            self.outcome.files += 1
            self._tell("read", self.outcome.files)
            if self.outcome.files % KEPT_EVERY == 0:
                store.commit()
        store.commit()

    def _is_given(self, hand_in: HandIn, number: int) -> bool:
        """Whether a file that is not read is just the sheet that the student was given."""
        if not hand_in.unread or not number:
            return False
        entry = self._store.by_number(number)
        return entry is not None and self._marking.is_given(entry, hand_in.path)

    def _apart(
        self, path: bytes, file: str, sheet: int, what: str, remedy: str, *, unread: bool = False
    ) -> None:
        self._store.set_apart(path, file, sheet, one_line(what), one_line(remedy), unread=unread)

    def take_decisions(self) -> None:
        """Read what a human decided, now and before, and keep all of it at once."""
        new = Decisions()
        try:
            for found in self._settled():
                if isinstance(found, BadTable):
                    self._unsettled(SETTLED, 0, found.what, found.remedy)
                elif before := new.add(found):
                    self._unsettled(
                        SETTLED,
                        found.sheet,
                        f"row {found.line} decides about an answer that row {before.line} decided "
                        "otherwise; the lower one counts",
                        "leave one row for each answer",
                    )
        except BadTable as error:
            self._unsettled(SETTLED, 0, error.what, error.remedy)
        self._keep(new)
        for decided in self._store.decided_unknown():
            what = f"line {decided.line} is about sheet {decided.sheet}, which there is not"
            self._unsettled(KEPT, 0, what, "mend its sheet")
        self._store.commit()

    def _settled(self) -> Iterator[SettledRow | BadTable]:
        settled = self._marking.settled
        if isinstance(settled, BadTable):
            raise settled
        return read_settled(settled) if settled is not None else iter(())

    def _keep(self, new: Iterable[SettledRow]) -> None:
        """Put new decisions with those of earlier rounds, before anything is made of them."""
        before = self._place.read(KEPT, MOST_KEPT)
        if isinstance(before, BadTable):
            self._unsettled(KEPT, 0, before.what, before.remedy)
            kept = keep(b"", new)
        else:
            kept = keep(before or b"", new)
            if kept.data != (before or b""):
                self._place.replace(KEPT, kept.data)
        for sheet, what, remedy in kept.troubles:
            self._unsettled(KEPT, sheet, what, remedy)
        for decided in kept.decisions:
            self._store.decide(decided)

    def _unsettled(self, file: str, sheet: int, what: str, remedy: str) -> None:
        self._apart(_STRAY, file, sheet, what, remedy)

    # ------------------------------------------------------------------- marks

    def have_marked(self, crew: Crew) -> None:
        """Have all marked that is not known yet."""
        given: dict[int, list[bytes]] = {}
        batches = _batches(self._jobs())
        more = True
        while True:
            while more and crew.has_room:
                batch = next(batches, None)
                if batch is None:
                    more = False
                else:
                    given[crew.give(mark_batch, batch)] = [job.digest for job in batch]
            if crew.is_idle:
                break
            for number, results in crew.take():
                for digest, result in zip(given.pop(number), results, strict=True):
                    self._store.mark(digest, result)
                self.outcome.marked_now += len(results)
                self._tell("mark", self.outcome.marked_now)
            self._store.commit()
        self.outcome.deaths = crew.deaths
        self._store.commit()

    def _jobs(self) -> Iterator[MarkingJob]:
        """The hand-ins that have to be marked; says meanwhile how every student stands."""
        for entry in self._store.entries():
            job = self._job(entry)
            if job is not None and not self._store.is_marked(job.digest):
                yield job

    def _job(self, entry: ClassMember) -> MarkingJob | None:
        store, number = self._store, entry.number
        came = store.of_sheet(number)
        filled = [one for one in came if not one.blank]
        unread = store.unread(number)
        also = (f"not read: {', '.join(unread)}",) if unread else ()
        if not filled:
            state = HandInState.UNREAD if unread else HandInState.MISSING
            state = HandInState.APART if store.is_apart(number) else state
            blank = ("handed in blank",) if came else ()
            file = next(iter((*(one.file for one in came), *unread)), "")
            store.stand(number, state, file, "; ".join((*blank, *also)))
            return None
        if len(filled) > 1:
            for path, file in list(store.all_of_sheet(number)):
                self._apart(
                    path, file, number,
                    f"sheet {number} was handed in more than once, and not alike",
                    "leave the one that counts, and take the others out of the folder",
                )  # fmt: skip
            store.stand(number, HandInState.APART)
            return None
        key = self._marking.key(entry)
        if key is None:
            self._no_key(entry, "there is no such file, or it can't be read")
            return None
        counts = filled[0]
        tolerance = "" if self._marking.tolerance is None else str(self._marking.tolerance)
        job = MarkingJob(number, key, counts.answers, tolerance, tuple(self._decisions(counts)))
        notes = "; ".join(filter(None, (counts.notes, *also)))
        store.stand(number, HandInState.MARKED, counts.file, notes, job.digest)
        return job

    def _no_key(self, entry: ClassMember, what: str) -> None:
        file = f"keys/{entry.folder}/key.json"
        self._apart(_STRAY, file, entry.number, what, "run `rungwise sheet make` again")
        self._store.stand(entry.number, HandInState.APART)

    def _decisions(self, came: KnownHandIn) -> Iterator[tuple[str, str, str]]:
        """The decisions about a hand-in that were made about these very answers."""
        decisions = self._store.decisions(came.sheet)
        if not decisions:
            return
        texts = dict(answers_from(came.answers).answers)
        about: dict[str, list[SettledRow]] = {}
        for found in decisions:
            about.setdefault(found.question, []).append(found)
        for question, of_it in about.items():
            known = tag(came.sheet, question, as_typed(texts.get(question, ())))
            fit = next((one for one in of_it if one.tag in ("", known)), None)
            if fit is not None:
                yield question, fit.points, fit.text
                continue
            for found in of_it:
                self._unsettled(
                    KEPT,
                    came.sheet,
                    f"line {found.line} is about another answer to {question} than is there",
                    "decide about the new one, which unclear.csv lists if it is unclear",
                )

    def look_at_results(self) -> None:
        """List what workers said besides marks: of keys of no use, and of decisions."""
        for standing in list(self._store.standings(told=True)):
            result = result_from(standing.result or "")
            if result.trouble:
                self._no_key(standing.entry, f"it can't be used: {result.trouble}")
            for question, why in result.refused:
                number = standing.entry.number
                what = f"the decision about Q{question} of sheet {number} is left out: {why}"
                self._unsettled(KEPT, number, what, "mend its row, or delete its line")
        self._store.commit()


def _digest(text: str) -> bytes:
    return sha256(text.encode()).digest()


def _batches(jobs: Iterator[MarkingJob]) -> Iterator[tuple[MarkingJob, ...]]:
    batch: list[MarkingJob] = []
    for job in jobs:
        batch.append(job)
        if len(batch) == BATCH:
            yield tuple(batch)
            batch = []
    if batch:
        yield tuple(batch)
