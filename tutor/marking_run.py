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

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from hashlib import sha256
from pathlib import Path
from typing import IO, Any

from .marking import tag
from .marking_cells import one_line, row
from .marking_changes import STUDENTS, UNREADABLE, changes
from .marking_class import Course, Entry, whose
from .marking_feedback import feedback
from .marking_folder import HandIn
from .marking_jobs import Job, Result, answers_from, mark_batch, result_from, written
from .marking_marks import (
    MARKS_FORMAT,
    State,
    StudentMarks,
    apart_document,
    student_document,
)
from .marking_out import (
    APART_CSV,
    CHANGES_CSV,
    MARKS_CSV,
    MARKS_JSON,
    UNCLEAR_CSV,
    WORK,
    Place,
)
from .marking_settled import NAME as SETTLED
from .marking_settled import read_settled
from .marking_store import Came, Standing, Store
from .marking_table import BadTable
from .marking_tables import (
    APART_COLUMNS,
    CHANGES_COLUMNS,
    UNCLEAR_COLUMNS,
    Row,
    change_rows,
    marks_head,
    marks_row,
    unclear_rows,
)
from .paper.files import only_one
from .paper.making_crew import Crew, Workers
from .paper.slugs import sheet_name

BATCH = 16
"""Hand-ins of one job: enough to be worth sending, few enough to be stopped soon."""
KEPT_EVERY = 500
"""Hand-ins that are looked through between two moments at which they are kept."""
_STRAY = b""
"""The path of what is listed apart and is no file of the folder: it comes first."""


class BusyError(Exception):
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

    course: Course
    entries: Iterable[Entry]
    hand_ins: Iterable[HandIn]
    key: Callable[[Entry], bytes | None]
    out: Path
    tolerance: Fraction | None = None
    settled: bytes | BadTable | None = None


@dataclass
class Outcome:
    """What came of it.

    Attributes:
        students: how many there are, by state.
        files: hand-ins that were looked at.
        marked_now: hand-ins that were marked in this run; the others' marks were known.
        open: answers that wait for a human.
        apart: things that are listed apart.
        changed: (student, total before, total after) of the first few whose total is another.
        changes: rows of ``changes.csv``; ``None`` where there is nothing to compare with.
        deaths: times that a worker died; its work was done by another one.
    """

    students: dict[State, int] = field(default_factory=lambda: dict.fromkeys(State, 0))
    files: int = 0
    marked_now: int = 0
    open: int = 0
    apart: int = 0
    changed: list[tuple[str, str, str]] = field(default_factory=list)
    changes: int | None = None
    deaths: int = 0


MOST_CHANGED = 10
Tell = Callable[[str, int], None]


def mark(marking: Marking, workers: Workers, tell: Tell = lambda what, done: None) -> Outcome:
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
    place = Place(marking.out)
    work = marking.out / WORK
    work.mkdir(mode=0o700, exist_ok=True)
    with only_one(work / "marking") as alone:
        if not alone:
            raise BusyError(f"another `rungwise sheet mark` is writing into {marking.out}")
        store = Store(work / "marking.sqlite")
        try:
            run = _Run(marking, place, store, tell)
            run.look_through()
            run.take_decisions()
            with Crew(workers) as crew:
                run.have_marked(crew)
            run.write()
        finally:
            store.close()
    return run.outcome


class _Run:
    """One run."""

    def __init__(self, marking: Marking, place: Place, store: Store, tell: Tell) -> None:
        self.outcome = Outcome()
        self._marking, self._place, self._store, self._tell = marking, place, store, tell

    # ------------------------------------------------------------------- what came back

    def look_through(self) -> None:
        """Find out whose each hand-in is."""
        store, course = self._store, self._marking.course
        store.enrol(self._marking.entries)
        for hand_in in self._marking.hand_ins:
            found = whose(store, course, hand_in.answers, hand_in.names)
            if hand_in.answers is None:
                self._apart(hand_in.path, hand_in.file, found.number, hand_in.what, hand_in.remedy)
            elif found.what:
                self._apart(hand_in.path, hand_in.file, 0, found.what, found.remedy)
            else:
                answers = hand_in.answers
                text = written(answers)
                notes = "; ".join((*found.notes, *answers.notes))
                came = Came(
                    hand_in.path, hand_in.file, found.number, text, _digest(text),
                    answers.blank, notes,
                )  # fmt: skip
                store.came(came)
            self.outcome.files += 1
            self._tell("read", self.outcome.files)
            if self.outcome.files % KEPT_EVERY == 0:
                store.commit()
        store.commit()

    def _apart(self, path: bytes, file: str, sheet: int, what: str, remedy: str) -> None:
        self._store.set_apart(path, file, sheet, one_line(what), one_line(remedy))

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
                elif not self._store.decide(found):
                    self._unsettled(
                        found.sheet,
                        f"row {found.line} decides about an answer that a row before it decided",
                        "leave one row for each answer",
                    )
        except BadTable as error:
            self._unsettled(0, error.what, error.remedy)
        for decided in self._store.decided_unknown():
            what = f"row {decided.line} is about sheet {decided.sheet}, which there is not"
            self._unsettled(0, what, "mend its sheet")
        self._store.commit()

    def _unsettled(self, sheet: int, what: str, remedy: str) -> None:
        self._apart(_STRAY, SETTLED, sheet, what, remedy)

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

    def _jobs(self) -> Iterator[Job]:
        """The hand-ins that have to be marked; says meanwhile how every student stands."""
        for entry in self._store.entries():
            job = self._job(entry)
            if job is not None and not self._store.is_marked(job.digest):
                yield job

    def _job(self, entry: Entry) -> Job | None:
        store, number = self._store, entry.number
        came = store.of_sheet(number)
        filled = [one for one in came if not one.blank]
        if not filled:
            state = State.APART if store.is_apart(number) else State.MISSING
            file, notes = (came[0].file, "handed in blank") if came else ("", "")
            store.stand(number, state, file, notes)
            return None
        if len(filled) > 1:
            for path, file in list(store.all_of_sheet(number)):
                self._apart(
                    path, file, number,
                    f"sheet {number} was handed in more than once, and not alike",
                    "leave the one that counts, and take the others out of the folder",
                )  # fmt: skip
            store.stand(number, State.APART)
            return None
        key = self._marking.key(entry)
        if key is None:
            self._no_key(entry, "there is no such file, or it can't be read")
            return None
        counts = filled[0]
        tolerance = "" if self._marking.tolerance is None else str(self._marking.tolerance)
        job = Job(number, key, counts.answers, tolerance, tuple(self._decisions(counts)))
        store.stand(number, State.MARKED, counts.file, counts.notes, job.digest)
        return job

    def _no_key(self, entry: Entry, what: str) -> None:
        file = f"keys/{entry.folder}/key.json"
        self._apart(_STRAY, file, entry.number, what, "run `rungwise sheet make` again")
        self._store.stand(entry.number, State.APART)

    def _decisions(self, came: Came) -> Iterator[tuple[str, str, str]]:
        """The decisions about a hand-in that were made about these very answers."""
        decisions = self._store.decisions(came.sheet)
        if not decisions:
            return
        texts = dict(answers_from(came.answers).answers)
        for found in decisions:
            typed = one_line(" / ".join(texts.get(found.question, ())))
            if found.tag and found.tag != tag(came.sheet, found.question, typed):
                self._unsettled(
                    came.sheet,
                    f"row {found.line} is about another answer to {found.question} than is there",
                    "decide about the new one, which unclear.csv lists if it is unclear",
                )
            else:
                yield found.question, found.points, found.text

    # ------------------------------------------------------------------- what is written

    def write(self) -> None:
        """Write everything, and put it in place; ``marks.json`` last."""
        place = self._place
        self._look_at_results()
        with (
            place.stage(UNCLEAR_CSV) as unclear,
            place.stage(MARKS_CSV) as table,
            place.stage(MARKS_JSON) as file,
        ):
            document = _Document(file, self._marking)
            shape = self._store.most_problems()
            unclear.write(row(UNCLEAR_COLUMNS).encode())
            table.write(row(marks_head(shape)).encode())
            for marks, result in self._marks():
                document.add(student_document(marks))
                table.write(row(marks_row(marks, shape)).encode())
                for cells in unclear_rows(marks, result):
                    unclear.write(row(cells).encode())
                told = feedback(self._marking.course, marks) if marks.problems else ""
                place.feedback(marks.folder, told)
                self.outcome.students[marks.state] += 1
                self.outcome.open += marks.open + len(result.strays)
                self._tell("write", sum(self.outcome.students.values()))
            document.next("apart")
            for found in self._store.apart():
                document.add(apart_document(found))
            document.end(self.outcome)
        self.outcome.apart = place.table(APART_CSV, self._apart_rows()) - 1
        if place.is_new(MARKS_JSON) and (place.root / MARKS_JSON).exists():
            place.keep()
        self._write_changes()
        place.put()
        self._store.tidy()

    def _look_at_results(self) -> None:
        """List what workers said besides marks: of keys of no use, and of decisions."""
        for standing in list(self._store.standings(told=True)):
            result = result_from(standing.result or "")
            if result.trouble:
                self._no_key(standing.entry, f"it can't be used: {result.trouble}")
            for question, why in result.refused:
                number = standing.entry.number
                what = f"the decision about Q{question} of sheet {number} is left out: {why}"
                self._unsettled(number, what, "mend its row")
        self._store.commit()

    def _marks(self) -> Iterator[tuple[StudentMarks, Result]]:
        for standing in self._store.standings():
            result = result_from(standing.result) if standing.result else Result()
            yield _student(standing, result), result

    def _apart_rows(self) -> Iterator[Row]:
        yield APART_COLUMNS
        for found in self._store.apart():
            sheet = sheet_name(found.sheet) if found.sheet else ""
            yield found.file, sheet, found.what, found.remedy

    def _write_changes(self) -> None:
        """Compare with the marks before these."""
        place = self._place
        before = place.latest()
        if before is None:
            place.remove(CHANGES_CSV)
            return
        try:
            rows = self._changes(before / MARKS_JSON)
            self.outcome.changes = place.table(CHANGES_CSV, rows) - 1
        except UNREADABLE:
            # Somebody changed the earlier marks: then all is new.
            self.outcome.changed.clear()
            nothing = (found for marks, _ in self._marks() for found in change_rows(None, marks))
            self.outcome.changes = place.table(CHANGES_CSV, _headed(nothing)) - 1

    def _changes(self, before: Path) -> Iterator[Row]:
        yield CHANGES_COLUMNS
        for found in changes(before, self._place.staged(MARKS_JSON)):
            _, id_, name, question, was, now, *_ = found
            if question == "total" and len(self.outcome.changed) < MOST_CHANGED:
                self.outcome.changed.append((str(name or id_ or found[0]), str(was), str(now)))
            yield found


def _headed(rows: Iterable[Row]) -> Iterator[Row]:
    yield CHANGES_COLUMNS
    yield from rows


def _student(standing: Standing, result: Result) -> StudentMarks:
    entry = standing.entry
    return StudentMarks(
        entry.number,
        entry.folder,
        entry.name,
        entry.id,
        State(standing.state),
        result.problems if standing.state == State.MARKED else (),
        standing.file,
        (standing.notes,) if standing.notes else (),
    )


def _digest(text: str) -> bytes:
    return sha256(text.encode()).digest()


def _batches(jobs: Iterator[Job]) -> Iterator[tuple[Job, ...]]:
    batch: list[Job] = []
    for job in jobs:
        batch.append(job)
        if len(batch) == BATCH:
            yield tuple(batch)
            batch = []
    if batch:
        yield tuple(batch)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


class _Document:
    """``marks.json``, written as it comes."""

    def __init__(self, file: IO[bytes], marking: Marking) -> None:
        self._file = file
        self._digest = sha256()
        self._between = ""
        course, tolerance = marking.course, marking.tolerance
        head = {
            "format": MARKS_FORMAT,
            "title": course.title,
            "course": course.course,
            "date": course.date,
            "language": course.language,
            **({"tolerance": str(tolerance)} if tolerance is not None else {}),
        }
        lines = [f"{_json(name)}: {_json(value)},\n" for name, value in head.items()]
        self._write(("{" + "".join(lines)).encode() + STUDENTS)

    def _write(self, data: bytes) -> None:
        self._digest.update(data)
        self._file.write(data)

    def add(self, document: dict[str, Any]) -> None:
        """The next of a list, on a line of its own."""
        text = json.dumps(document, ensure_ascii=False, separators=(",", ":"))
        self._write(f"{self._between}{text}".encode())
        self._between = ",\n"

    def next(self, name: str) -> None:
        """The list ends, and the one of this name begins."""
        self._write(f"{self._end()}{_json(name)}: [\n".encode())

    def _end(self) -> str:
        lines, self._between = "\n" if self._between else "", ""
        return f"{lines}],\n"

    def end(self, outcome: Outcome) -> None:
        """All lists are written."""
        counts = {
            "students": sum(outcome.students.values()),
            **{state.value: count for state, count in outcome.students.items()},
            "open": outcome.open,
        }
        self._write(f'{self._end()}"counts": {_json(counts)},\n'.encode())
        self._file.write(f'"made_of": {_json(self._digest.hexdigest())}}}\n'.encode())
