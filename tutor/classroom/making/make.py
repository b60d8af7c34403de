"""Making sheets and keys: students' files into ``students/``, all else into ``keys/``.

    OUT/students/NN-name/  sheet.pdf sheet.html sheet.txt sheet.json answers.csv answers.json
    OUT/keys/NN-name/      short-key.pdf short-key.html short-key.txt key.json; key.pdf on request
    OUT/keys/class.json    the plan, and which folder is whose
    OUT/print/             what is made of a whole group: see ``together.py``

First everybody is found again whom the folder knows (``enrolment.py``), then what each is given is
drawn (``drawing.py``), and kept; only then the first file is written.  Students are drawn and
rendered by workers, which give back bytes: they need not share a disk.  So the files depend on the
plan, the roster and what the folder knew, and not on who made them, in which order, or after how
many interruptions.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from ....problems.sheets.keyed_chance import whose_chance
from ....problems.sheets.model import Plan, Student
from ...files.tree import BusyError, FolderTree, OutsideError, among_students, digest, only_one
from .drawing import ClassDrawing, draw_class
from .enrolment import Enrolled, Enrolment, enrolled
from .jobs import KEYS, FilesWanted, make_batch, names_of
from .ledger import MOST_FILE, Ledger
from .together import ClassFiles, make_together
from .workers import Workers, batches

BATCH = 4
"""Students of one job where they share pages, or have none; others are jobs of their own."""

_WRITERS = 6
"""Threads that write a student's files."""


def _silent(done: int, of: int) -> None:
    """Nobody is told how far it is."""


@dataclass(frozen=True, slots=True)
class MakingJob:
    """What is to be made, and where."""

    plan: Plan
    students: Sequence[Student]
    out: Path
    formats: Collection[str]
    again: bool = False
    long_keys: bool = False
    large: Collection[Student] = ()
    """Who has a copy in large print as well, as in the roster."""
    together: bool = False
    """Whether each group's sheets are one more file, whatever the plan says."""

    def is_large(self, student: Student) -> bool:
        """Whether a ``student`` has a copy in large print as well."""
        who = student.name, student.id, student.email
        return any(who == (one.name, one.id, one.email) for one in self.large)


@dataclass
class MakingOutcome:
    """What came of it.

    Attributes:
        made: students for whom anything was made this time.
        there: students for whom everything was there.
        left: files that somebody changed, left as they are.
        aside: (path, its new path) of files that somebody changed, put aside.
        deaths: times that a worker died; its work was done by another one.
    """

    made: int = 0
    there: int = 0
    left: list[str] = field(default_factory=list)
    aside: list[tuple[str, str]] = field(default_factory=list)
    deaths: int = 0
    missing: list[str] = field(default_factory=list)
    """Folders of sheets that could not be put into a file to print: there is no PDF of them."""


def make(
    job: MakingJob,
    workers: Workers,
    tell: Callable[[int, int], None] = _silent,
    *,
    drawn: Callable[[int, int], None] = _silent,
    found: Callable[[Enrolment], None] = lambda whom: None,
) -> MakingOutcome:
    """Make what isn't there yet.

    Args:
        job: what is to be made.
        workers: who makes it.
        tell: called with the number of students done so far, and of all to be done.
        drawn: called with the number of students whose problems are drawn, and of all to be.
        found: called with everybody for whom sheets are made, before anything is.

    Raises:
        SheetError: the plan can't be fulfilled for so many students; nothing was written.
        EnrolmentError, AllotmentError: the roster does not say who is who, or has which variant.
        StaleError: the folder holds sheets of something else.
        BusyError: another process is at work there.
        WorkersError: the workers can't do it.
        OSError, OutsideError: something can't be written.
    """
    if among_students(job.out):
        raise OutsideError(
            f"{job.out} is among the students' files of other sheets, and keys are never put "
            "there; give another --out"
        )
    tree = FolderTree(job.out, private=KEYS)
    with only_one(tree.folder(KEYS) / ".making") as alone:
        if not alone:
            raise BusyError("rungwise sheet make", job.out)
        before = Ledger.before(tree, again=job.again)
        known = before.members_of(job.plan) if before else ()
        enrolment = enrolled(job.plan, job.students, known)
        ledger = Ledger.open(tree, job.plan, enrolment.members, before, again=job.again)
        try:
            found(enrolment)
            with workers:
                _draw(job.plan, enrolment, ledger, workers, drawn)
                ledger.begin()
                making = _Making(job, tree, ledger, tell)
                making.run(workers)
            making.finish()
        finally:
            ledger.close()
    return making.outcome


def _draw(
    plan: Plan,
    enrolment: Enrolment,
    ledger: Ledger,
    workers: Workers,
    tell: Callable[[int, int], None],
) -> None:
    """Draw what is not known yet."""
    known = {
        whose_chance(plan, member.student): ledger.lots[member.student.number]
        for member in enrolment.members
        if member.student.number in ledger.lots
    }
    present = enrolment.present
    found = draw_class(ClassDrawing(plan, present, known), workers, tell)
    lots = {student.number: found[whose_chance(plan, student)] for student in present}
    ledger.give(lots)


class _Making:
    """One run."""

    def __init__(
        self, job: MakingJob, tree: FolderTree, ledger: Ledger, tell: Callable[[int, int], None]
    ) -> None:
        self.outcome = MakingOutcome()
        self._job, self._tree, self._ledger = job, tree, ledger
        present = [member for member in ledger.members if not member.left]
        self._members = {member.student.number: member for member in present}
        self._wishes = [wish for wish in map(self._wish, present) if wish.names]
        self._told = tell

    def _path(self, number: int, name: tuple[str, str]) -> str:
        return f"{name[0]}/{self._members[number].folder}/{name[1]}"

    def _tell(self) -> None:
        self._told(self.outcome.made, len(self._wishes))

    def _wish(self, member: Enrolled) -> FilesWanted:
        number = member.student.number
        names = tuple(
            name
            for name in self._names(member.student)
            if not self._is_there(self._path(number, name))
        )
        self.outcome.there += not names
        return FilesWanted(member.student, self._ledger.lots[number], names)

    def _names(self, student: Student) -> tuple[tuple[str, str], ...]:
        job = self._job
        return names_of(
            job.formats,
            long_keys=job.long_keys,
            large=job.is_large(student),
            answer_files=job.plan.printing.answer_files,
        )

    def _is_there(self, path: str) -> bool:
        known = self._ledger.files.get(path)
        if known is None or not self._tree.exists(path):
            return False
        found = self._digest(path)
        if found == known:
            return True
        if found in self._ledger.stale.get(path, ()) or self._job.again:
            return False
        self.outcome.left.append(path)
        return True

    def _digest(self, path: str) -> str:
        """The digest of a file; "" of what is no plain file, or far too long for one of ours."""
        data = self._tree.read(path, MOST_FILE)
        return "" if data is None else digest(data)

    def run(self, workers: Workers) -> None:
        """Have everything made, and put it in place."""
        plan, wishes = self._job.plan, self._wishes
        if plan.variants:  # whose students share their pages
            wishes = sorted(wishes, key=lambda wish: wish.student.variant)
        size = BATCH if plan.variants or set(self._job.formats) <= {"json"} else 1
        jobs = ((plan, batch) for batch in batches(wishes, size))
        with ThreadPoolExecutor(_WRITERS) as self._writers:
            self._tell()
            for batch in workers.in_order(make_batch, jobs):
                for made in batch:
                    self._put(self._members[made.number], made.files)
        self.outcome.deaths = workers.deaths

    def _put(self, member: Enrolled, files: Iterable[tuple[tuple[str, str], bytes]]) -> None:
        new = {self._path(member.student.number, name): data for name, data in files}
        digests = {path: digest(data) for path, data in new.items()}
        there = {path: self._digest(path) for path in new if self._tree.exists(path)}
        ours = {path for path, known in there.items() if self._ledger.is_ours(path, known)}
        self._ledger.note(member, digests)
        missing = {path: data for path, data in new.items() if there.get(path) != digests[path]}
        for path in sorted(there.keys() & missing.keys() - ours):
            self.outcome.aside.append((path, self._tree.put_aside(path)))
        for folder in {path.rpartition("/")[0] for path in new}:
            self._tree.folder(folder)
        # A disk takes its time to keep a file for good, but takes several at once.
        list(self._writers.map(self._tree.write, missing.keys(), missing.values()))
        list(self._writers.map(self._tree.settle, {path.rpartition("/")[0] for path in new}))
        self.outcome.made += 1
        self._tell()

    def finish(self) -> None:
        """All students are done: say whose folder is whose, and tidy up."""
        self.outcome.left += self._ledger.finish()
        job = self._job
        together = job.together or job.plan.printing.together
        of_class = ClassFiles(
            job.plan, tuple(self._members.values()), frozenset(job.formats), together
        )
        made = make_together(self._tree, of_class, fresh=bool(self.outcome.made))
        self.outcome.aside += made.aside
        self.outcome.missing += made.missing
        self._tree.settle(KEYS)
