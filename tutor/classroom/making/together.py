"""What is made of a whole class once all its sheets are there.

    OUT/keys/answer-table.pdf answer-table.html   everybody's right answers, to mark by eye
    OUT/keys/short-keys.pdf                       the short keys, one after the other
    OUT/print/thu-10.pdf                          a group's sheets, to be printed at once

Like all else they are put in place whole, and nothing is written over that was not made here:
``keys/.together.json`` has the digest of each, and of what they were made of.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from io import BytesIO
from typing import TYPE_CHECKING

from ....problems.sheets.documents import key_of, sealed_document
from ....problems.sheets.model import Heading, Plan, Student
from ....problems.sheets.variant import heading_of
from ...documents.pages_short_key import AnswerRow, answer_row, answer_table_page, cover_page
from ...documents.rendered import rendered
from ...files.names import slug
from ...files.tree import FolderTree, digest
from .allotment import place_of
from .enrolment import Enrolled
from .jobs import KEY_JSON, KEYS, SHORT_KEY, STUDENTS, json_bytes

if TYPE_CHECKING:
    from pypdf import PdfWriter

PRINT = "print"
"""The folder of what is printed at once: nothing of a key is ever in it."""
LIST = f"{KEYS}/.together.json"
TABLE, ALL_SHORT = f"{KEYS}/answer-table", f"{KEYS}/short-keys.pdf"
_FORMAT = "rungwise.together/1"
_MOST = 1 << 28


@dataclass(frozen=True, slots=True)
class ClassFiles:
    """What is to be made of a class.

    Attributes:
        plan: of its sheets.
        members: everybody who is in it now.
        formats: those the sheets are made in.
        together: whether each group's sheets are one more file.
    """

    plan: Plan
    members: Sequence[Enrolled]
    formats: frozenset[str]
    together: bool

    @property
    def of(self) -> str:
        """What tells whether all of it would be the same as before."""
        made = [self.together, sorted(self.formats), sealed_document(self.plan)]
        whom = [[asdict(member.student), member.folder] for member in self.members]
        return digest(json_bytes({"made": made, "members": whom}))


@dataclass
class ClassFilesMade:
    """What came of it: files ``made``, those put ``aside`` (path, its new path), and what lacks."""

    made: list[str] = field(default_factory=list)
    aside: list[tuple[str, str]] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    """Sheets that could not be put into a file to print, since there is no PDF of them."""


def make_together(tree: FolderTree, wanted: ClassFiles, *, fresh: bool) -> ClassFilesMade:
    """Make in a ``tree`` what is ``wanted`` of its whole class; ``fresh``: any sheet or key is new.

    Raises:
        OSError, OutsideError: something can't be written.
        PdfError: PDF files can't be made here.
    """
    of, known = _known(tree)
    outcome = ClassFilesMade()
    if not fresh and of == wanted.of and all(tree.exists(path) for path in known):
        return outcome
    files: list[str] = []
    for path, data in _all(tree, _kept_up(wanted, known), outcome):
        files.append(path)
        found = tree.read(path, _MOST)
        if tree.exists(path) and digest(found or b"") not in known.get(path, ()):
            outcome.aside.append((path, tree.put_aside(path)))
            found = None
        known.setdefault(path, []).append(digest(data))
        if found != data:
            _note(
                tree, "", known
            )  # before it is there: a run that is killed leaves nothing strange
            tree.write(path, data)
            outcome.made.append(path)
    for path in sorted(known.keys() - set(files)):  # of a group that is no more
        if digest(tree.read(path, _MOST) or b"") in known[path]:
            tree.remove(path)
    if files or known:
        _note(tree, wanted.of, {path: known[path][-1:] for path in files})
    return outcome


def _kept_up(wanted: ClassFiles, known: Collection[str]) -> ClassFiles:
    """What is wanted, and what was once: else it would tell of sheets that are others now."""
    forms = {path.rpartition(".")[2] for path in known if path.startswith(f"{KEYS}/")}
    printed = any(path.startswith(f"{PRINT}/") for path in known)
    return replace(wanted, formats=wanted.formats | forms, together=wanted.together or printed)


def _note(tree: FolderTree, of: str, known: Mapping[str, Sequence[str]]) -> None:
    """Keep of what all is made, where that is done, and the digests that each file may have."""
    tree.write(LIST, json_bytes({"format": _FORMAT, "of": of, "files": known}))


def _known(tree: FolderTree) -> tuple[str, dict[str, list[str]]]:
    """Of what was made before, and the digests of each file; nothing where that can't be read."""
    try:
        found = json.loads(tree.read(LIST, _MOST) or b"")
        files = {str(path): list(map(str, some)) for path, some in found["files"].items()}
        for path in files:
            tree.path(path)  # raises for one that leads elsewhere
        return (str(found["of"]), files) if found["format"] == _FORMAT else ("", {})
    except (ValueError, TypeError, KeyError, AttributeError):
        return "", {}


def _all(
    tree: FolderTree, wanted: ClassFiles, outcome: ClassFilesMade
) -> Iterator[tuple[str, bytes]]:
    heading = heading_of(wanted.plan)
    members = sorted(wanted.members, key=lambda member: in_order(member.student))
    pages = [form for form in ("pdf", "html") if form in wanted.formats]
    if pages:
        yield from _table(tree, heading, members, pages)
    if "pdf" in wanted.formats:
        data = _short_keys(tree, wanted.plan, members)
        if data:
            yield ALL_SHORT, data
    if wanted.together:
        yield from _groups(tree, wanted.plan, heading, members, outcome)


def in_order(student: Student) -> tuple[object, ...]:
    """The order in which papers lie: by group, seat, name and number."""
    seat = place_of(student.seat)
    return (
        student.group.casefold(),
        seat is None,
        seat or ("", 0),
        student.name.casefold(),
        student.number,
    )


# ------------------------------------------------------------------------------------- keys


def _table(
    tree: FolderTree, heading: Heading, members: Iterable[Enrolled], forms: Iterable[str]
) -> Iterator[tuple[str, bytes]]:
    rows = [row for member in members if (row := _row(tree, member)) is not None]
    page = answer_table_page(heading, rows)
    for form in forms:
        yield f"{TABLE}.{form}", rendered(page, form, heading.paper)


def _row(tree: FolderTree, member: Enrolled) -> AnswerRow | None:
    """The right answers to a student's sheet; ``None`` where their key was taken away."""
    data = tree.read(f"{KEYS}/{member.folder}/{KEY_JSON}", _MOST)
    try:
        return None if data is None else answer_row(key_of(json.loads(data)))
    except ValueError:  # somebody changed it: making has told of that
        return None


def _short_keys(tree: FolderTree, plan: Plan, members: Iterable[Enrolled]) -> bytes:
    """The short keys: of each variant the first, else of everybody."""
    seen: set[str] = set()
    out = _Bound()
    for member in members:
        if plan.variants:
            if member.student.variant in seen:
                continue
            seen.add(member.student.variant)
        out.add(tree.read(f"{KEYS}/{member.folder}/{SHORT_KEY}.pdf", _MOST), even=False)
    return out.bytes()


# ------------------------------------------------------------------------------------- print


def _groups(
    tree: FolderTree,
    plan: Plan,
    heading: Heading,
    members: Sequence[Enrolled],
    outcome: ClassFilesMade,
) -> Iterator[tuple[str, bytes]]:
    groups: dict[str, list[Enrolled]] = {}
    for member in members:
        groups.setdefault(member.student.group, []).append(member)
    taken: set[str] = set()
    for group, some in groups.items():
        name = base = slug(group) if group else "all" if len(groups) == 1 else "without-group"
        count = 1
        while name in taken:
            count += 1
            name = f"{base}-{count}"
        taken.add(name)
        data = _bound(tree, plan, heading, group, some, outcome)
        if data:
            yield f"{PRINT}/{name}.pdf", data


def _bound(
    tree: FolderTree,
    plan: Plan,
    heading: Heading,
    group: str,
    members: Iterable[Enrolled],
    outcome: ClassFilesMade,
) -> bytes:
    """A group's sheets in order, each on leaves of its own, below what says whose they are."""
    even = plan.printing.duplex
    sheets = _Bound()
    rows: list[tuple[Student, int]] = []
    for member in members:
        data = tree.read(f"{STUDENTS}/{member.folder}/sheet.pdf", _MOST)
        count = sheets.add(data, even=even)
        if count:
            rows.append((member.student, count))
        else:
            outcome.missing.append(member.folder)
    if not rows or not plan.printing.cover:
        return sheets.bytes()
    seats = {student.number: student.seat for student, _ in rows}
    cover = _Bound()
    cover.add(rendered(cover_page(heading, group, rows, seats), "pdf", heading.paper), even=even)
    cover.add(sheets.bytes(), even=False)
    return cover.bytes()


class _Bound:
    """PDF files one after the other."""

    def __init__(self) -> None:
        self._writer: PdfWriter | None = None

    def add(self, data: bytes | None, *, even: bool) -> int:
        """Put a file behind the others; how many pages it has, without an ``even`` one's blank.

        Nothing is added of what is no PDF.
        """
        from pypdf import PdfReader, PdfWriter
        from pypdf.errors import PyPdfError

        if data is None:
            return 0
        try:
            pages = PdfReader(BytesIO(data)).pages
            count = len(pages)
        except (PyPdfError, ValueError, KeyError):
            return 0
        self._writer = self._writer or PdfWriter()
        for page in pages:
            self._writer.add_page(page)
        if even and count % 2:
            self._writer.add_blank_page()
        return count

    def bytes(self) -> bytes:
        """All of it; nothing where nothing was added."""
        if self._writer is None:
            return b""
        out = BytesIO()
        self._writer.write(out)
        return out.getvalue()
