"""What was made in a folder: of which plan, for whom, and the digest of every file.

``keys/.making.json`` says what the folder belongs to, who is in it and what each is given, and,
once all is made, what is in it.  While files are being made, ``keys/.making.lines`` takes one line
for each student *before* their files are put in place, so that a file which a killed run left can
be told from one that somebody else put there: nothing is ever written over or removed whose
digest isn't known.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from ....problems.sheets.documents import sealed_document
from ....problems.sheets.keyed_chance import whose_chance
from ....problems.sheets.model import PLAN_FORMAT, Plan, Student
from ...files.names import folder_name, sheet_name
from ...files.tree import FolderTree, digest
from ...language.told import ToldError
from ...version import VERSION
from .enrolment import Enrolled
from .jobs import KEYS, STUDENTS, StudentLots, json_bytes

FORMAT, OLD_FORMAT = "rungwise.making/2", "rungwise.making/1"
CLASS_FORMAT = "rungwise.class/1"
CLASS = f"{KEYS}/class.json"
HEAD, LINES = f"{KEYS}/.making.json", f"{KEYS}/.making.lines"
_MOST = 1 << 30
MOST_FILE = 1 << 28
"""Longest file that is compared with what was made, in bytes."""
_FOLDER = re.compile(r"[0-9]{1,9}-[a-z0-9-]{1,60}")
_HALF = re.compile(rb"\\u[dD][89a-fA-F]")
"""Half of a character, as no file of ours has it."""
_TEXTS = ("name", "id", "group", "variant", "seat", "email", "identity")


class StaleError(ToldError):
    """The folder holds sheets of something else; ``differences`` say what is not the same."""

    def __init__(self, differences: Iterable[str]) -> None:
        self.differences = tuple(differences)
        super().__init__(*self.differences)


@dataclass(frozen=True, slots=True)
class MadeFrom:
    """What all files of a folder are made of."""

    plan: Mapping[str, Any]
    members: tuple[Enrolled, ...]
    version: str = VERSION

    @classmethod
    def of(cls, plan: Plan, members: Iterable[Enrolled]) -> MadeFrom:
        """The binding of a ``plan`` and its ``members``."""
        return cls(sealed_document(plan), tuple(members))

    @property
    def name(self) -> str:
        """What tells it from others; who is in the class does not, as that is kept for each."""
        return digest(json_bytes({"plan": self.plan, "rungwise": self.version}))[:16]

    @property
    def is_numbered(self) -> bool:
        """Whether rows of the roster count: see :attr:`Plan.is_numbered`."""
        return self.plan.get("format") != PLAN_FORMAT

    def class_bytes(self) -> bytes:
        """``class.json``: what marking and the report start from."""
        students = [_class_entry(member) for member in self.members if not member.left]
        left = [_class_entry(member) for member in self.members if member.left]
        head = {"format": CLASS_FORMAT, "rungwise": self.version}
        # Who left is named, so that a late hand-in of theirs is nobody else's.
        gone = {"left": left} if left else {}
        return json_bytes({**head, "plan": self.plan, "students": students, **gone})

    def differences(self, other: MadeFrom) -> list[str]:
        """How another one, that would be used now, differs.

        Students may be new at the end; where rows do not count, the roster is not looked at.
        """
        told = []
        if self.version != other.version:
            told.append(
                f"they were made by Rungwise {self.version}, and this is Rungwise {other.version}"
            )
        told += [f"the plan has another {path}" for path in _changed(self.plan, other.plan)]
        if not other.is_numbered:
            return told
        if len(other.members) < len(self.members):
            told.append(
                f"there were {len(self.members)} students, and there are {len(other.members)}"
            )
        for old, new in zip(self.members, other.members, strict=False):
            if _person(old) != _person(new):
                number = old.student.number
                told.append(f"student {number} was {_person(old)}, and is {_person(new)}")
        return told


def _class_entry(member: Enrolled) -> dict[str, Any]:
    student = member.student
    more = {key: getattr(student, key) for key in ("group", "variant", "email")}
    return {
        "number": student.number,
        "name": student.name,
        "id": student.id,
        **{key: text for key, text in more.items() if text},
        "sheet": sheet_name(student.number),
        "folder": member.folder,
    }


def _person(member: Enrolled) -> str:
    name, id_ = member.student.name, member.student.id
    return " ".join(filter(None, (name, id_ and f"({id_})"))) or "without a name"


def printed(member: Enrolled) -> str:
    """What tells files of one student from those made when a name or group was another one."""
    student = replace(member.student, seat="", email="", identity="")
    return digest(json_bytes({**asdict(student), "folder": member.folder}))[:16]


def _changed(old: Any, new: Any, path: str = "") -> list[str]:
    """The paths at which two documents differ."""
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        found = []
        for key in sorted({*old, *new}):
            there = f"{path}.{key}" if path else str(key)
            if key in old and key in new:
                found += _changed(old[key], new[key], there)
            else:
                found.append(there)
        return found
    if isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        return [
            path_
            for place, (a, b) in enumerate(zip(old, new, strict=True))
            for path_ in _changed(a, b, f"{path}[{place}]")
        ]
    return [] if old == new else [path]


@dataclass(frozen=True, slots=True)
class MadeFiles:
    """What was made for a student: ``of`` tells :func:`printed` what, ``files`` their digests."""

    of: str
    files: Mapping[str, str]


class Ledger:
    """What is known of a folder's files.

    Attributes:
        members: everybody who is, or was, in the folder.
        lots: by student number, what they are given.
        files: path → digest of what was last made there for this binding.
        stale: path → digests of what was made there before, for another one.
    """

    def __init__(self, tree: FolderTree, binding: MadeFrom) -> None:
        self.lots: dict[int, StudentLots] = {}
        self.files: dict[str, str] = {}
        self.stale: dict[str, list[str]] = {}
        self._made: dict[int, MadeFiles] = {}
        self._tree = tree
        self._binding = binding
        self._lines: int | None = None
        self._is_new, self._is_stale = True, False

    @property
    def members(self) -> tuple[Enrolled, ...]:
        """Everybody who is, or was, in the folder, by number."""
        return self._binding.members

    def members_of(self, plan: Plan) -> tuple[Enrolled, ...]:
        """The same; the variants that they have of another plan than ``plan`` are forgotten."""
        if MadeFrom.of(plan, ()).name == self._binding.name:
            return self.members
        return tuple(replace(m, student=replace(m.student, variant="")) for m in self.members)

    @classmethod
    def before(cls, tree: FolderTree, *, again: bool) -> Ledger | None:
        """What runs before this one left in the folder ``tree``; None if there were none.

        Raises:
            StaleError: it can't be read, or somebody else made what is there; and making it
                ``again`` isn't wanted.
        """
        try:
            found = cls._read(tree)
        except (ValueError, TypeError, KeyError, AttributeError):
            if not again:
                raise StaleError(["the list of what was made in it can't be read"]) from None
            return None
        if found is None and not again:
            there = [*tree.names(STUDENTS), *tree.names(KEYS)]
            if any(not name.startswith(".") for name in there):
                raise StaleError(["it holds students or keys that `sheet make` did not make"])
        return found

    @classmethod
    def open(
        cls,
        tree: FolderTree,
        plan: Plan,
        members: Iterable[Enrolled],
        before: Ledger | None,
        *,
        again: bool,
    ) -> Ledger:
        """What is known of a folder, which is to belong to this plan and class.

        Args:
            tree: the folder.
            plan: what is to be made there.
            members: for whom.
            before: what :meth:`before` found.
            again: whether what was made of something else is to be made anew.

        Raises:
            StaleError: the folder holds what was made of something else.
        """
        binding = MadeFrom.of(plan, members)
        made = cls(tree, binding)
        if before is not None:
            differences = before._binding.differences(binding)
            if differences and not again:
                raise StaleError(differences)
            made._take_over(before, plan)
            made._is_new = made._is_stale or before._binding != binding
        return made

    def begin(self) -> None:
        """From now on the folder belongs to this plan and class, with these lots.

        Raises:
            OSError, OutsideError: it can't be written.
        """
        # Nobody shall mark by a list of what isn't all there any more.
        if self._is_stale and digest(self._tree.read(CLASS, MOST_FILE) or b"") in self.stale[CLASS]:
            self._tree.remove(CLASS)
        if self._is_new:
            self._write_head()
            self._tree.remove(LINES)

    def give(self, lots: Mapping[int, StudentLots]) -> None:
        """What students are given, by their numbers: what was known of ``lots`` stays as it is."""
        self._is_new = self._is_new or not lots.keys() <= self.lots.keys()
        self.lots.update(lots)

    def _take_over(self, before: Ledger, plan: Plan) -> None:
        """Keep what is still right of what was made before; all else of it is stale."""
        self.stale = before.stale
        same = before._binding.name == self._binding.name
        was = {member.student.number: member.student for member in before.members}
        drawn = sum(section.count for section in plan.sections)
        for member in self.members if same else ():
            number = member.student.number
            known = before._made.get(number)
            lots = before.lots.get(number, StudentLots())
            old = was.get(number)
            chance = whose_chance(plan, member.student)  # what the circuits follow from
            if len(lots.attempts) == drawn and old and whose_chance(plan, old) == chance:
                self.lots[number] = lots
            if known is not None and (member.left or known.of == printed(member)):
                self._made[number] = known
                self.files.update(known.files)
        lost = before.files.keys() - self.files.keys()
        for path in lost:
            self.stale.setdefault(path, []).append(before.files[path])
        self.stale.setdefault(CLASS, []).append(digest(before._binding.class_bytes()))
        self._is_stale = bool(lost)

    @classmethod
    def _read(cls, tree: FolderTree) -> Ledger | None:
        """What runs before this one left; None if there were none.

        Raises:
            ValueError, TypeError, KeyError, AttributeError: it can't be read.
        """
        data = tree.read(HEAD, _MOST)
        if data is None:
            if tree.exists(HEAD):
                raise ValueError
            return None
        lines = tree.read(LINES, _MOST) or b""
        if _HALF.search(data) or _HALF.search(lines):  # what could not be written again
            raise ValueError
        head = json.loads(data)
        if head["format"] not in (FORMAT, OLD_FORMAT):
            raise ValueError
        old = head["format"] == OLD_FORMAT
        members = (_paired if old else _member)(head["students"])
        found = cls(tree, MadeFrom(head["plan"], tuple(members), str(head["rungwise"])))
        found.stale = {path: list(known) for path, known in head["stale"].items()}
        of = {member.student.number: printed(member) for member in members}
        for entry in head["made"]:
            number = int(entry["number"])
            found._enter(number, of.get(number, "") if old else str(entry["for"]), entry["files"])
        for entry in () if old else head["lots"]:
            attempts, prints = map(int, entry["attempts"]), map(str, entry["prints"])
            found.lots[int(entry["number"])] = StudentLots(tuple(attempts), tuple(prints))
        name = found._binding.name
        for line in lines.split(b"\n"):
            try:
                entry = json.loads(line)
            except ValueError:  # the last line of a run that was killed
                continue
            if entry["of"] == name:
                found._enter(int(entry["number"]), str(entry["for"]), entry["files"])
            else:  # of a run for something else, killed as it had just begun
                for path, known in entry["files"].items():
                    found.stale.setdefault(path, []).append(known)
        return found

    def _enter(self, number: int, of: str, files: Mapping[str, Any]) -> None:
        known = self._made.get(number, MadeFiles(of, {}))
        kept = known.files if known.of == of else {}
        for path, old in known.files.items():
            if path not in kept:
                self.stale.setdefault(path, []).append(old)
                self.files.pop(path, None)
        for path in files:
            self._tree.path(path)  # raises for one that leads elsewhere
        new = {path: str(found) for path, found in files.items()}
        self._made[number] = MadeFiles(of, {**kept, **new})
        self.files.update(new)

    def note(self, member: Enrolled, files: Mapping[str, str]) -> None:
        """Keep what is about to be put in place for a ``member``: ``files``, path → digest.

        Raises:
            OSError: it can't be written.
        """
        number, of = member.student.number, printed(member)
        entry = {"of": self._binding.name, "number": number, "for": of, "files": dict(files)}
        if self._lines is None:
            self._lines = self._tree.append_to(LINES)
        # A line of its own also after half a line, and written by one call.
        os.write(self._lines, b"\n" + json_bytes(entry).rstrip())
        self._enter(number, of, files)

    def is_ours(self, path: str, known: str) -> bool:
        """Whether the digest ``known`` is of what was made at ``path``, for whichever plan."""
        return self.files.get(path) == known or known in self.stale.get(path, ())

    def finish(self) -> list[str]:
        """All is made: say whose folder is whose, and remove what was made for another plan.

        Returns:
            The paths of files that aren't ours, or that somebody has changed; they are left.

        Raises:
            OSError, OutsideError: something can't be written.
        """
        left = []
        for path, known in sorted(self.stale.items()):
            if path == CLASS or path in self.files or not self._tree.exists(path):
                continue
            data = self._tree.read(path, MOST_FILE)
            if data is not None and digest(data) in known:
                self._tree.remove(path)
            else:
                left.append(path)
        for folder in sorted({path.rpartition("/")[0] for path in self.stale}):
            self._tree.remove_folder(folder)
        data = self._binding.class_bytes()
        there = self._tree.read(CLASS, MOST_FILE)
        ours = there == data or self.is_ours(CLASS, digest(there or b""))
        if not ours and self._tree.exists(CLASS):
            left.append(self._tree.put_aside(CLASS))
        self._tree.write(CLASS, data)
        self.stale = {}
        self._write_head()
        self.close()
        self._tree.remove(LINES)
        return left

    def close(self) -> None:
        """Let go of the file of lines."""
        if self._lines is not None:
            os.close(self._lines)
            self._lines = None

    def _write_head(self) -> None:
        """Keep who is in the folder, what each is given, and what is known of all files."""
        self._tree.write(
            HEAD,
            json_bytes(
                {
                    "format": FORMAT,
                    "rungwise": self._binding.version,
                    "plan": self._binding.plan,
                    "students": [_entry(member) for member in self.members],
                    "stale": self.stale,
                    "lots": [
                        {"number": number, "attempts": lots.attempts, "prints": lots.prints}
                        for number, lots in sorted(self.lots.items())
                    ],
                    "made": [
                        {
                            "number": number,
                            "for": made.of,
                            "files": dict(sorted(made.files.items())),
                        }
                        for number, made in sorted(self._made.items())
                    ],
                }
            ),
        )


def _entry(member: Enrolled) -> dict[str, Any]:
    """A member as they are kept; what is empty is left out."""
    texts = {key: getattr(member.student, key) for key in _TEXTS}
    left = {"left": True} if member.left else {}
    kept = {key: text for key, text in texts.items() if text}
    return {"number": member.student.number, **kept, "folder": member.folder, **left}


def _member(entries: Iterable[Mapping[str, Any]]) -> list[Enrolled]:
    found = []
    for entry in entries:
        texts = {key: str(entry.get(key, "")) for key in _TEXTS}
        student = Student(int(entry["number"]), **texts)
        folder = str(entry["folder"])
        if not _FOLDER.fullmatch(folder) or int(folder.partition("-")[0]) != student.number:
            raise ValueError
        found.append(Enrolled(student, folder, entry.get("left") is True))
    return found


def _paired(entries: Iterable[tuple[str, str]]) -> list[Enrolled]:
    """Members as they were kept once: names and ids, by number."""
    found = []
    for number, (name, id_) in enumerate(entries, 1):
        student = Student(number, str(name), str(id_))
        found.append(Enrolled(student, folder_name(number, student.name, student.id)))
    return found
