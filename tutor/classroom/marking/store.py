"""What a run of marking knows, in a file of its own: who is in the class, what came back, marks.

It lies in ``.work`` beside the marks and is theirs alone: a cache, which may be deleted at any
time.  Nothing has to be held in memory, so that a class of a hundred thousand needs no more of
it than one of ten; a run that was killed goes on where it was; and a hand-in whose answers, key
and tolerance are as before is not marked again.

Marks are kept under the digest of all that they were made of, so none can be taken for another's.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from .made_class import ClassMember, folder_of, person
from .marks import SetApart

FORM = 2
"""Raised where the tables change; a store of another form is begun anew."""

_TABLES = """
CREATE TABLE entry (
    number INTEGER PRIMARY KEY, folder TEXT NOT NULL, name TEXT NOT NULL, id TEXT NOT NULL,
    called TEXT NOT NULL, known TEXT NOT NULL, place TEXT NOT NULL
) WITHOUT ROWID;
CREATE INDEX called ON entry (called);
CREATE INDEX known ON entry (known);
CREATE INDEX place ON entry (place);
CREATE TABLE handin (
    path BLOB PRIMARY KEY, file TEXT NOT NULL, sheet INTEGER NOT NULL, answers TEXT NOT NULL,
    digest BLOB NOT NULL, blank INTEGER NOT NULL, notes TEXT NOT NULL
) WITHOUT ROWID;
CREATE INDEX sheet ON handin (sheet, blank, digest, path);
CREATE TABLE apart (
    path BLOB NOT NULL, file TEXT NOT NULL, sheet INTEGER NOT NULL, what TEXT NOT NULL,
    remedy TEXT NOT NULL, unread INTEGER NOT NULL
);
CREATE INDEX of_sheet ON apart (sheet);
CREATE TABLE decision (
    sheet INTEGER NOT NULL, question TEXT NOT NULL, line INTEGER NOT NULL, tag TEXT NOT NULL,
    points TEXT NOT NULL, text TEXT NOT NULL, PRIMARY KEY (sheet, question, tag)
) WITHOUT ROWID;
CREATE TABLE standing (
    number INTEGER PRIMARY KEY, state TEXT NOT NULL, file TEXT NOT NULL, notes TEXT NOT NULL,
    digest BLOB
) WITHOUT ROWID;
CREATE INDEX made ON standing (digest);
CREATE TABLE IF NOT EXISTS mark (
    digest BLOB PRIMARY KEY, problems INTEGER NOT NULL, told INTEGER NOT NULL, result TEXT NOT NULL
);
"""
_ANEW = ("entry", "handin", "apart", "decision", "standing")


class KnownHandIn(NamedTuple):
    """A hand-in whose student is known."""

    path: bytes
    file: str
    sheet: int
    answers: str
    digest: bytes
    blank: bool
    notes: str


class SettledRow(NamedTuple):
    """A row of ``settled.csv``, or a line of ``decided.jsonl``."""

    sheet: int
    question: str
    line: int
    tag: str
    points: str
    text: str


class Marked(NamedTuple):
    """What a worker gave for a hand-in.

    ``problems`` counts the problems that were marked; ``told`` says that there is something
    besides marks; ``result`` is all of it as text.
    """

    problems: int
    told: bool
    result: str


@dataclass(frozen=True, slots=True)
class StudentStanding:
    """What became of a student; ``result`` is what a worker gave, where it was marked."""

    entry: ClassMember
    state: str
    file: str
    notes: str
    result: str | None


class Store:
    """The tables of one run.  Marks of runs before are there until :meth:`tidy`."""

    def __init__(self, path: Path) -> None:
        """Open a store, or begin it anew where there is none that can be used.

        Raises:
            OSError: there can be none.
        """
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.is_symlink():  # not one of ours, and nothing is written where it leads
            path.unlink()
        try:
            self._base = _opened(path)
        except sqlite3.DatabaseError:
            # Another version's, or damaged: it holds nothing that can't be made again.
            for ending in ("", "-wal", "-shm", "-journal"):
                path.with_name(path.name + ending).unlink(missing_ok=True)
            try:
                self._base = _opened(path)
            except sqlite3.DatabaseError as error:
                raise OSError(0, str(error), str(path)) from None

    def close(self) -> None:
        """Let go of the file."""
        self._base.close()

    def commit(self) -> None:
        """Keep what was put in so far, all of it at once."""
        self._base.commit()

    # ------------------------------------------------------------------------- the class

    def enrol(self, entries: Iterable[ClassMember]) -> None:
        """Put the class in."""
        self._base.executemany(
            "INSERT OR REPLACE INTO entry VALUES (?, ?, ?, ?, ?, ?, ?)",
            (
                (
                    e.number,
                    e.folder,
                    e.name,
                    e.id,
                    person(e.name),
                    person(e.id),
                    folder_of(e.folder),
                )
                for e in entries
            ),
        )

    def _entries(self, where: str, *values: object) -> list[ClassMember]:
        query = f"SELECT number, folder, name, id FROM entry WHERE {where} ORDER BY number LIMIT 2"  # noqa: S608
        return [ClassMember(*found) for found in self._base.execute(query, values)]

    def by_number(self, number: int) -> ClassMember | None:
        """See :class:`~.marking_class.Roll`."""
        return next(iter(self._entries("number = ?", number)), None)

    def by_folder(self, folder: str) -> ClassMember | None:
        """See :class:`~.marking_class.Roll`."""
        return next(iter(self._entries("place = ?", folder)), None)

    def by_person(self, person: str) -> list[ClassMember]:
        """See :class:`~.marking_class.Roll`."""
        return self._entries("called = ?1 OR known = ?1", person)

    def entries(self) -> Iterator[ClassMember]:
        """The class, by number."""
        for found in self._base.execute(
            "SELECT number, folder, name, id FROM entry ORDER BY number"
        ):
            yield ClassMember(*found)

    # ------------------------------------------------------------------------- what came back

    def came(self, hand_in: KnownHandIn) -> None:
        """Put a hand-in in."""
        self._base.execute("INSERT OR REPLACE INTO handin VALUES (?, ?, ?, ?, ?, ?, ?)", hand_in)

    def set_apart(
        self, path: bytes, file: str, sheet: int, what: str, remedy: str, *, unread: bool = False
    ) -> None:
        """List something that can't be marked; ``unread`` where it is of a kind that never is."""
        self._base.execute(
            "INSERT INTO apart VALUES (?, ?, ?, ?, ?, ?)", (path, file, sheet, what, remedy, unread)
        )

    def of_sheet(self, number: int) -> list[KnownHandIn]:
        """The hand-ins of a sheet, one of each that are alike: that which comes first by path.

        Those with answers come first.  Three at most are given: two already are too many.
        """
        query = (
            "SELECT min(path), file, sheet, answers, digest, blank, notes FROM handin "
            "WHERE sheet = ? GROUP BY blank, digest ORDER BY blank, min(path) LIMIT 3"
        )
        return [KnownHandIn(*found) for found in self._base.execute(query, (number,))]

    def all_of_sheet(self, number: int) -> Iterator[tuple[bytes, str]]:
        """(path, file) of all hand-ins with answers of a sheet, in order."""
        yield from self._base.execute(
            "SELECT path, file FROM handin WHERE sheet = ? AND NOT blank ORDER BY path", (number,)
        )

    def is_apart(self, number: int) -> bool:
        """Whether something of a sheet is listed apart that was to be read."""
        query = "SELECT 1 FROM apart WHERE sheet = ? AND path <> x'' AND NOT unread LIMIT 1"
        return self._base.execute(query, (number,)).fetchone() is not None

    def unread(self, number: int) -> list[str]:
        """The files of a sheet that are of kinds that are not read; a few."""
        query = "SELECT file FROM apart WHERE sheet = ? AND unread ORDER BY path LIMIT 4"
        return [file for (file,) in self._base.execute(query, (number,))]

    def apart(self) -> Iterator[SetApart]:
        """All that is listed apart, in order."""
        query = "SELECT file, what, remedy, sheet FROM apart ORDER BY path, sheet, what, remedy"
        for found in self._base.execute(query):
            yield SetApart(*found)

    # ------------------------------------------------------------------------- decisions

    def decide(self, decided: SettledRow) -> None:
        """Put in a decision about an answer of which there is none yet."""
        self._base.execute("INSERT INTO decision VALUES (?, ?, ?, ?, ?, ?)", decided)

    def decisions(self, number: int) -> list[SettledRow]:
        """The decisions about a sheet."""
        found = self._base.execute(
            "SELECT * FROM decision WHERE sheet = ? ORDER BY question, line", (number,)
        )
        return [SettledRow(*row) for row in found]

    def decided_unknown(self) -> Iterator[SettledRow]:
        """Decisions about sheets that there are not."""
        query = "SELECT * FROM decision WHERE sheet NOT IN (SELECT number FROM entry) ORDER BY line"
        for row in self._base.execute(query):
            yield SettledRow(*row)

    # ------------------------------------------------------------------------- marks

    def stand(
        self, number: int, state: str, file: str = "", notes: str = "", digest: bytes | None = None
    ) -> None:
        """Say what became of a student."""
        self._base.execute(
            "INSERT OR REPLACE INTO standing VALUES (?, ?, ?, ?, ?)",
            (number, state, file, notes, digest),
        )

    def is_marked(self, digest: bytes) -> bool:
        """Whether the marks of these very answers, key, tolerance and decisions are known."""
        return (
            self._base.execute("SELECT 1 FROM mark WHERE digest = ?", (digest,)).fetchone()
            is not None
        )

    def mark(self, digest: bytes, marked: Marked) -> None:
        """Keep marks."""
        self._base.execute("INSERT OR IGNORE INTO mark VALUES (?, ?, ?, ?)", (digest, *marked))

    def most_problems(self) -> int:
        """The most problems that a marked student has."""
        query = "SELECT max(problems) FROM standing JOIN mark USING (digest)"
        return int(self._base.execute(query).fetchone()[0] or 0)

    def standings(self, *, told: bool = False) -> Iterator[StudentStanding]:
        """What became of each student, by number; of those alone whose marks say more."""
        query = (
            "SELECT e.number, e.folder, e.name, e.id, s.state, s.file, s.notes, m.result "  # noqa: S608
            "FROM entry e JOIN standing s USING (number) LEFT JOIN mark m USING (digest) "
            f"{'WHERE m.told ' if told else ''}ORDER BY e.number"
        )
        for number, folder, name, id_, state, file, notes, result in self._base.execute(query):
            yield StudentStanding(
                ClassMember(number, folder, name, id_), state, file, notes, result
            )

    def tidy(self) -> None:
        """Forget marks that nothing leads to any more."""
        self._base.execute(
            "DELETE FROM mark WHERE NOT EXISTS "
            "(SELECT 1 FROM standing WHERE standing.digest = mark.digest)"
        )
        self.commit()


def _opened(path: Path) -> sqlite3.Connection:
    """The base, with all tables but the marks empty.

    Raises:
        sqlite3.DatabaseError: the file is no such base.
    """
    base = sqlite3.connect(path, timeout=5)
    try:
        # Process by process nothing is lost even so; what a power cut takes is made again.
        base.execute("PRAGMA journal_mode = WAL")
        base.execute("PRAGMA synchronous = NORMAL")
        form = base.execute("PRAGMA user_version").fetchone()[0]
        if form not in (0, FORM):
            raise sqlite3.DatabaseError("another form")
        if form:
            base.execute("SELECT digest, problems, told, result FROM mark LIMIT 1").fetchone()
        for table in _ANEW:
            base.execute(f"DROP TABLE IF EXISTS {table}")
        base.executescript(_TABLES)
        base.execute(f"PRAGMA user_version = {FORM}")
        base.commit()
    except BaseException:
        with suppress(sqlite3.Error):
            base.close()
        raise
    return base
