"""Solutions given back: a folder a student, numbered as those of their sheets, and nothing else.

    TO/NN-name/returned.html returned.pdf

Nothing of it is made by any other command.  What was given back is written down beside the marks
(``returned.jsonl``, a line a student, before their files are put in place), so that giving back
again replaces what has changed, and tells whose; a file that somebody else changed is put aside,
never written over.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from hashlib import sha256
from pathlib import Path

from ....problems.sheets.model import PlanTrouble, SheetError
from ...files.added import append
from ...files.tree import BusyError, FolderTree, OutsideError, among_students, digest, only_one
from ...language.texts import plain, speaker
from ...version import VERSION
from ..handins.table import BadTable
from ..interchange.class_folder import ClassFolder, key_path
from ..making.workers import Workers, batches
from ..marking.folder import read_plain
from ..marking.made_class import MOST_KEY, ClassMember, person
from ..marking.marks import ClassMarks, HandInState, StudentMarks, student_document
from .jobs import FORMATS, STEM, ReturnJob, return_batch

say = speaker("returning")
LEDGER = "returned.jsonl"
MOST_LEDGER = 64 * 1024 * 1024
MOST_FILE = 64 * 1024 * 1024
BATCH = 2
"""Students of one job: a page takes long enough."""
_FROM_TO = re.compile(r"\s*(\d{1,6})(?:\s*[-–]\s*(\d{1,6}))?\s*", re.ASCII)


class ReturnState(StrEnum):
    """What became of a student's page."""

    NEW = "new"
    REPLACED = "replaced"
    SAME = "same"


@dataclass(frozen=True, slots=True)
class Returning:
    """What is to be given back to the students of some ``numbers`` (of none: to all).

    The marks lie in the folder ``place``; the pages go ``to`` another.
    """

    folder: ClassFolder
    marks: ClassMarks
    place: Path
    to: Path
    numbers: Collection[int]
    formats: tuple[str, ...]


@dataclass
class ReturnOutcome:
    """What came of it.

    Attributes:
        students: (marks, what became of the page) by number.
        aside: (path, its new path) of files that somebody changed.
    """

    students: list[tuple[StudentMarks, ReturnState]] = field(default_factory=list)
    aside: list[tuple[str, str]] = field(default_factory=list)

    def in_state(self, state: ReturnState) -> list[StudentMarks]:
        """The students of whose page this became: a ``state``."""
        return [marks for marks, found in self.students if found is state]

    @property
    def without(self) -> list[StudentMarks]:
        """Those whose page says that there are no marks."""
        return [marks for marks, _ in self.students if marks.state is not HandInState.MARKED]

    @property
    def open(self) -> int:
        """Answers that wait for the teacher."""
        return sum(marks.open for marks, _ in self.students)


def give_back(
    job: Returning, workers: Workers, tell: Callable[[int, int], None] = lambda done, of: None
) -> ReturnOutcome:
    """Have ``workers`` make the pages of a ``job`` that are not there, or have changed.

    ``tell`` is called with how many students are done, and how many there are.

    Raises:
        SheetError: the marks are of other sheets, or a key can't be read; nothing more is written.
        OutsideError: the place is among the students' files, or leads elsewhere.
        BusyError: another process is at work there.
        OSError: something can't be written.
    """
    if among_students(job.to):
        raise OutsideError(
            f"{job.to} is among the students' sheets, and pages with right answers are never put "
            "there; give another --to"
        )
    job.to.mkdir(mode=0o700, parents=True, exist_ok=True)
    with only_one(job.place / f".{STEM}") as alone:
        if not alone:
            raise BusyError("rungwise sheet return", job.to)
        run = _Run(job, tell)
        with workers:
            run.make(workers)
    return run.outcome


class _Run:
    """One run."""

    def __init__(self, job: Returning, tell: Callable[[int, int], None]) -> None:
        self.outcome = ReturnOutcome()
        self._job, self._tell = job, tell
        self._tree = FolderTree(job.to, private="")
        self._where = str(job.to.resolve())
        self._ledger = _Ledger(job.place / LEDGER, self._where)
        members = {entry.number: entry for entry in job.folder.students}
        self._wanted = [
            (members[marks.number], marks)
            for marks in job.marks.students
            if marks.number in members and (not job.numbers or marks.number in job.numbers)
        ]

    def make(self, workers: Workers) -> None:
        """Have everything made, and put it in place."""
        made = [(entry, marks, self._job_of(entry, marks)) for entry, marks in self._wanted]
        jobs = [job for _, _, job in made if job is not None]
        plan = self._job.folder.plan
        work = ((plan, batch) for batch in batches(jobs, BATCH))
        results = (one for batch in workers.in_order(return_batch, work) for one in batch)
        for done, (entry, marks, job) in enumerate(made, 1):
            if job is None:
                self.outcome.students.append((marks, ReturnState.SAME))
            else:
                found = next(results)
                if found.troubles:
                    raise SheetError(*found.troubles)
                state = self._put(entry, self._source(job), dict(found.files))
                self.outcome.students.append((marks, state))
            self._tell(done, len(made))

    def _job_of(self, entry: ClassMember, marks: StudentMarks) -> ReturnJob | None:
        """What is to be made for a student; ``None`` where it is there."""
        path = key_path(self._job.folder, entry)
        try:
            key = read_plain(path, MOST_KEY)
        except (OSError, BadTable) as error:
            what = say("command.no-key", reason=plain(error))
            raise SheetError(PlanTrouble(plain(path), "", what)) from None
        job = ReturnJob(entry, marks, key, path, self._job.formats)
        known = self._ledger.newest.get(entry.folder)
        if known is None or known.source != self._source(job):
            return job
        there = {name: self._digest(f"{entry.folder}/{name}") for name, _ in known.files}
        return None if there == dict(known.files) else job

    def _source(self, job: ReturnJob) -> str:
        """What tells one page from another, before it is made."""
        heading = [self._job.folder.plan.title, self._job.folder.plan.date, VERSION, *job.formats]
        text = json.dumps([student_document(job.marks), heading], sort_keys=True)
        return sha256(text.encode() + job.key).hexdigest()

    def _digest(self, path: str) -> str:
        data = self._tree.read(path, MOST_FILE)
        return "" if data is None else digest(data)

    def _put(self, entry: ClassMember, source: str, files: Mapping[str, bytes]) -> ReturnState:
        folder = entry.folder
        digests = {name: digest(data) for name, data in files.items()}
        there = {
            name: self._digest(f"{folder}/{name}")
            for name in (*files, *self._stale(folder, files))
            if self._tree.exists(f"{folder}/{name}")
        }
        state = ReturnState.NEW
        if there:
            state = ReturnState.SAME if there == digests else ReturnState.REPLACED
        for name, found in there.items():
            if found != digests.get(name) and not self._ledger.is_ours(folder, name, found):
                path = f"{folder}/{name}"
                self.outcome.aside.append((path, self._tree.put_aside(path)))
        self._ledger.note(folder, source, digests)
        for name, data in files.items():
            if there.get(name) != digests[name]:
                self._tree.folder(folder)
                self._tree.write(f"{folder}/{name}", data)
        for name in there.keys() - files.keys():
            self._tree.remove(f"{folder}/{name}")
        self._tree.settle(folder)
        return state

    def _stale(self, folder: str, files: Collection[str]) -> list[str]:
        """Files of ours in other formats, which would say what is no longer so."""
        return [
            name
            for name in (f"{STEM}.{ending}" for ending in FORMATS.values())
            if name not in files
            and self._ledger.is_ours(folder, name, self._digest(f"{folder}/{name}"))
        ]


@dataclass(frozen=True, slots=True)
class _Given:
    """A line of the ledger."""

    source: str
    files: tuple[tuple[str, str], ...]


class _Ledger:
    """What was given back before, to one place."""

    def __init__(self, path: Path, where: str) -> None:
        self._path, self._where = path, where
        self.newest: dict[str, _Given] = {}
        self._ours: set[tuple[str, str, str]] = set()
        try:
            data = read_plain(path, MOST_LEDGER)
        except FileNotFoundError:
            data = b""
        except BadTable as error:
            raise OSError(22, plain(error.what), str(path)) from None
        self._whole = not data or data.endswith(b"\n")
        for folder, given in _lines(data, where):
            self._take(folder, given)

    def _take(self, folder: str, given: _Given) -> None:
        self.newest[folder] = given
        self._ours |= {(folder, name, found) for name, found in given.files}

    def is_ours(self, folder: str, name: str, found: str) -> bool:
        """Whether the file ``name`` of a ``folder`` was written by us: by its digest ``found``."""
        return (folder, name, found) in self._ours

    def note(self, folder: str, source: str, files: Mapping[str, str]) -> None:
        """Write down ``files`` (name → digest) of a ``source``, about to go into a ``folder``."""
        document = {"to": self._where, "folder": folder, "source": source, "files": files}
        line = json.dumps(document).encode() + b"\n"
        append(self._path, line if self._whole else b"\n" + line)
        self._whole = True
        self._take(folder, _Given(source, tuple(files.items())))


def _lines(data: bytes, where: str) -> Iterator[tuple[str, _Given]]:
    """What was written down for a place.

    A line that is none is passed over: its files are taken for somebody else's, and put aside.
    """
    for line in data.split(b"\n"):
        try:
            read = json.loads(line)
            if read["to"] != where:
                continue
            files = tuple((str(name), str(found)) for name, found in read["files"].items())
            yield str(read["folder"]), _Given(str(read["source"]), files)
        except (ValueError, LookupError, TypeError, AttributeError, RecursionError):
            continue


def chosen(members: Iterable[ClassMember], words: str) -> list[int]:
    """The numbers of the ``members`` in a list of ``words``, such as "3, 7-9, Ann Other".

    Commas or semicolons part numbers, ranges, ids and names.

    Raises:
        ValueError: nobody is called so, or several are; the message says which.
    """
    everybody = list(members)
    between = ";" if ";" in words else ","
    one = bool(_called(everybody, words))  # a name may have a comma in it
    found: list[int] = []
    for word in [words] if one else [word for word in words.split(between) if word.strip()]:
        named = _in_range(everybody, word) or _called(everybody, word)
        if not named:
            raise ValueError(say("command.none-called", name=word.strip()))
        found += named
    return found


def _in_range(members: Iterable[ClassMember], word: str) -> list[int]:
    match = _FROM_TO.fullmatch(word)
    if match is None:
        return []
    low, high = int(match[1]), int(match[2] or match[1])
    return [member.number for member in members if low <= member.number <= high]


def _called(members: Iterable[ClassMember], word: str) -> list[int]:
    called = person(word)
    named = [
        member.number
        for member in members
        if called and called in (person(member.id), person(member.name))
    ]
    if len(named) > 1:
        raise ValueError(say("command.twice", name=word.strip()))
    return named
