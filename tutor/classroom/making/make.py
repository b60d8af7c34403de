"""Making sheets and keys: students' files into ``students/``, all else into ``keys/``.

    OUT/students/NN-name/  sheet.pdf sheet.html sheet.txt sheet.json answers.csv answers.json
    OUT/keys/NN-name/      key.pdf key.html key.txt key.json
    OUT/keys/class.json    the plan, and which folder is whose

Students are drawn and rendered by workers, which give back bytes: they need not share a disk.
The results are gone through by student number.  Where one has a circuit of a student before, it
is drawn once more, avoiding all of theirs; so the files depend on plan and roster alone, and not
on who made them, in which order, or after how many interruptions.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from ....problems.sheets.model import Plan, ProblemLot, SheetError, Student
from ...files.names import folder_name
from ...files.tree import BusyError, FolderTree, OutsideError, among_students, digest, only_one
from .jobs import KEYS, FilesWanted, StudentFiles, lots_avoiding, make_again, make_batch, names_of
from .ledger import MOST_FILE, Ledger, MadeFrom
from .workers import Workers, batches

BATCH = 4
"""Students of one job, where only JSON is made; pages take long enough to be jobs of their own."""


_WRITERS = 6
"""Threads that write a student's files."""


_Again = tuple[FilesWanted, tuple[str, ...], tuple[ProblemLot, ...]]
"""What is made once more: for whom, prints and lots."""


@dataclass(frozen=True, slots=True)
class MakingJob:
    """What is to be made, and where."""

    plan: Plan
    students: Sequence[Student]
    out: Path
    formats: Collection[str]
    again: bool = False


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


def make(
    job: MakingJob, workers: Workers, tell: Callable[[int, int], None] = lambda done, of: None
) -> MakingOutcome:
    """Make what isn't there yet.

    Args:
        job: what is to be made.
        workers: who makes it.
        tell: called with the number of students done so far, and of all to be done.

    Raises:
        SheetError: the plan can't be fulfilled for so many students.
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
        ledger = Ledger.open(tree, MadeFrom.of(job.plan, job.students), again=job.again)
        try:
            making = _Making(job, tree, ledger, tell)
            with workers:
                making.run(workers)
            making.finish()
        finally:
            ledger.close()
    return making.outcome


class _Making:
    """One run."""

    def __init__(
        self, job: MakingJob, tree: FolderTree, ledger: Ledger, tell: Callable[[int, int], None]
    ) -> None:
        self.outcome = MakingOutcome()
        self._job, self._tree, self._ledger = job, tree, ledger
        self._students = {student.number: student for student in job.students}
        self._folders = {s.number: folder_name(s.number, s.name, s.id) for s in job.students}
        self._wishes = [wish for wish in map(self._wish, job.students) if wish.names]
        self._told = tell
        self._seen: set[str] = set()
        self._passed = 0

    def _path(self, number: int, name: tuple[str, str]) -> str:
        return f"{name[0]}/{self._folders[number]}/{name[1]}"

    def _tell(self) -> None:
        self._told(self.outcome.made, len(self._wishes))

    def _wish(self, student: Student) -> FilesWanted:
        names = tuple(
            name
            for name in names_of(self._job.formats)
            if not self._is_there(self._path(student.number, name))
        )
        self.outcome.there += not names
        return FilesWanted(student, names)

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
        plan, again = self._job.plan, list[_Again]()
        size = BATCH if set(self._job.formats) <= {"json"} else 1
        jobs = ((plan, batch) for batch in batches(self._wishes, size))
        with ThreadPoolExecutor(_WRITERS) as self._writers:
            self._tell()
            for batch in workers.in_order(make_batch, jobs):
                for made in batch:
                    self._settle(made, again)
            redone = workers.in_order(make_again, ((plan, wish, lots) for wish, _, lots in again))
            for (wish, prints, _), files in zip(again, redone, strict=True):
                self._put(wish.student, prints, files)
        self.outcome.deaths = workers.deaths

    def _settle(self, made: StudentFiles, again: list[_Again]) -> None:
        """Take what was made for the next student by number."""
        student = self._students[made.number]
        if made.troubles:
            raise SheetError(*made.troubles)
        self._pass_to(made.number)
        prints = made.prints
        if self._job.plan.unshared and not self._seen.isdisjoint(prints):
            lots, prints = lots_avoiding(self._job.plan, student, made, self._seen)
            names = tuple(name for name, _ in made.files)
            again.append((FilesWanted(student, names), prints, lots))
        else:
            self._put(student, prints, made.files)
        self._seen.update(prints)

    def _pass_to(self, number: int) -> None:
        """Take into account what students before this one have, who were done earlier."""
        for before in range(self._passed + 1, number):
            self._seen.update(self._ledger.prints.get(before, ()))
        self._passed = number

    def _put(
        self,
        student: Student,
        prints: tuple[str, ...],
        files: Iterable[tuple[tuple[str, str], bytes]],
    ) -> None:
        new = {self._path(student.number, name): data for name, data in files}
        digests = {path: digest(data) for path, data in new.items()}
        there = {path: self._digest(path) for path in new if self._tree.exists(path)}
        ours = {path for path, known in there.items() if self._ledger.is_ours(path, known)}
        self._ledger.note(student.number, prints, digests)
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
        self._tree.settle(KEYS)
