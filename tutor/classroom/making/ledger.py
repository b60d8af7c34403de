"""What was made in a folder: of which plan and roster, and the digest of every file.

``keys/.making.json`` says what the folder belongs to and, once all is made, what is in it.
While files are being made, ``keys/.making.lines`` takes one line for each student *before* their
files are put in place, so that a file which a killed run left can be told from one that somebody
else put there: nothing is ever written over or removed whose digest isn't known.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ....problems.sheets.documents import sealed_document
from ....problems.sheets.model import Plan, Student
from ...files.names import folder_name, sheet_name
from ...files.tree import FolderTree, digest
from ...language.told import ToldError
from ...version import VERSION
from .jobs import KEYS, STUDENTS, json_bytes

FORMAT, CLASS_FORMAT = "rungwise.making/1", "rungwise.class/1"
CLASS = f"{KEYS}/class.json"
HEAD, LINES = f"{KEYS}/.making.json", f"{KEYS}/.making.lines"
_MOST = 1 << 30
MOST_FILE = 1 << 28
"""Longest file that is compared with what was made, in bytes."""


class StaleError(ToldError):
    """The folder holds sheets of something else; ``differences`` say what is not the same."""

    def __init__(self, differences: Iterable[str]) -> None:
        self.differences = tuple(differences)
        super().__init__(*self.differences)


@dataclass(frozen=True, slots=True)
class MadeFrom:
    """What all files of a folder are made of."""

    plan: Mapping[str, Any]
    students: tuple[tuple[str, str], ...]
    version: str = VERSION

    @classmethod
    def of(cls, plan: Plan, students: Iterable[Student]) -> MadeFrom:
        """The binding of a ``plan`` and its ``students``."""
        return cls(sealed_document(plan), tuple((s.name, s.id) for s in students))

    @property
    def name(self) -> str:
        """What tells it from others."""
        whole = {"plan": self.plan, "students": self.students, "rungwise": self.version}
        return digest(json_bytes(whole))[:16]

    def class_bytes(self) -> bytes:
        """``class.json``: what marking and the report start from."""
        students = [
            {
                "number": number,
                "name": name,
                "id": id_,
                "sheet": sheet_name(number),
                "folder": folder_name(number, name, id_),
            }
            for number, (name, id_) in enumerate(self.students, 1)
        ]
        head = {"format": CLASS_FORMAT, "rungwise": self.version}
        return json_bytes({**head, "plan": self.plan, "students": students})

    def differences(self, other: MadeFrom) -> list[str]:
        """How another one, that would be used now, differs; students at the end may be new."""
        told = []
        if self.version != other.version:
            told.append(
                f"they were made by Rungwise {self.version}, and this is Rungwise {other.version}"
            )
        told += [f"the plan has another {path}" for path in _changed(self.plan, other.plan)]
        if len(other.students) < len(self.students):
            told.append(
                f"there were {len(self.students)} students, and there are {len(other.students)}"
            )
        for number, (old, new) in enumerate(zip(self.students, other.students, strict=False), 1):
            if old != new:
                told.append(f"student {number} was {_person(old)}, and is {_person(new)}")
        return told


def _person(student: tuple[str, str]) -> str:
    name, id_ = student
    return " ".join(filter(None, (name, id_ and f"({id_})"))) or "without a name"


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


class Ledger:
    """What is known of a folder's files.

    Attributes:
        prints: by student number, fingerprints of the circuits on their sheet.
        files: path → digest of what was last made there for this binding.
        stale: path → digests of what was made there before, for another one.
    """

    def __init__(self, tree: FolderTree, binding: MadeFrom) -> None:
        self.prints: dict[int, tuple[str, ...]] = {}
        self.files: dict[str, str] = {}
        self.stale: dict[str, list[str]] = {}
        self._tree = tree
        self._binding = binding
        self._lines: int | None = None

    @classmethod
    def open(cls, tree: FolderTree, binding: MadeFrom, *, again: bool) -> Ledger:
        """What is known of the folder ``tree``, which has this ``binding`` from now on.

        Raises:
            StaleError: the folder holds what was made of something else, and making it
                ``again`` isn't wanted.
            OSError, OutsideError: it can't be written.
        """
        made, before = cls(tree, binding), None
        try:
            before = cls._before(tree)
        except (ValueError, TypeError, KeyError, AttributeError):
            if not again:
                raise StaleError(["the list of what was made in it can't be read"]) from None
        if before is None:
            there = [*tree.names(STUDENTS), *tree.names(KEYS)]
            if not again and any(not name.startswith(".") for name in there):
                raise StaleError(["it holds students or keys that `sheet make` did not make"])
        else:
            differences = before._binding.differences(binding)
            if differences and not again:
                raise StaleError(differences)
            made.stale = before.stale
            made.stale.setdefault(CLASS, []).append(digest(before._binding.class_bytes()))
            if differences:
                # Nobody shall mark by a list of what isn't all there any more.
                if digest(tree.read(CLASS, MOST_FILE) or b"") in made.stale[CLASS]:
                    tree.remove(CLASS)
                for path, known in before.files.items():
                    made.stale.setdefault(path, []).append(known)
            else:
                made.prints, made.files = before.prints, before.files
        if before is None or before._binding != binding:
            made._write_head()
            tree.remove(LINES)
        return made

    @classmethod
    def _before(cls, tree: FolderTree) -> Ledger | None:
        """What runs before this one left; None if there were none.

        Raises:
            ValueError, TypeError, KeyError, AttributeError: it can't be read.
        """
        data = tree.read(HEAD, _MOST)
        if data is None:
            if tree.exists(HEAD):
                raise ValueError
            return None
        head = json.loads(data)
        if head["format"] != FORMAT:
            raise ValueError
        students = tuple((str(name), str(id_)) for name, id_ in head["students"])
        found = cls(tree, MadeFrom(head["plan"], students, str(head["rungwise"])))
        found.stale = {path: list(known) for path, known in head["stale"].items()}
        for entry in head["made"]:
            found._enter(entry)
        name = found._binding.name
        for line in (tree.read(LINES, _MOST) or b"").split(b"\n"):
            try:
                entry = json.loads(line)
            except ValueError:  # the last line of a run that was killed
                continue
            if entry["of"] == name:
                found._enter(entry)
            else:  # of a run for something else, killed as it had just begun
                for path, known in entry["files"].items():
                    found.stale.setdefault(path, []).append(known)
        return found

    def _enter(self, entry: Mapping[str, Any]) -> None:
        self.prints[int(entry["number"])] = tuple(map(str, entry["prints"]))
        for path, known in entry["files"].items():
            self._tree.path(path)  # raises for one that leads elsewhere
            self.files[path] = str(known)

    def note(self, number: int, prints: tuple[str, ...], files: Mapping[str, str]) -> None:
        """Keep what is about to be put in place for the student of a ``number``.

        Args:
            number: the student's.
            prints: fingerprints of their circuits.
            files: path → digest.

        Raises:
            OSError: it can't be written.
        """
        entry = {
            "of": self._binding.name,
            "number": number,
            "prints": prints,
            "files": dict(files),
        }
        if self._lines is None:
            self._lines = self._tree.append_to(LINES)
        # A line of its own also after half a line, and written by one call.
        os.write(self._lines, b"\n" + json_bytes(entry).rstrip())
        self.prints[number] = prints
        self.files.update(files)

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
        by_number: dict[int, dict[str, str]] = {number: {} for number in sorted(self.prints)}
        for path, known in sorted(self.files.items()):
            by_number[number_of(path)][path] = known
        self._tree.write(
            HEAD,
            json_bytes(
                {
                    "format": FORMAT,
                    "rungwise": self._binding.version,
                    "plan": self._binding.plan,
                    "students": self._binding.students,
                    "stale": self.stale,
                    "made": [
                        {"number": number, "prints": self.prints[number], "files": files}
                        for number, files in by_number.items()
                    ],
                }
            ),
        )


def number_of(path: str) -> int:
    """The number of the student whose file this is: 3 for ``students/03-ann/sheet.pdf``."""
    return int(path.split("/")[1].partition("-")[0])
