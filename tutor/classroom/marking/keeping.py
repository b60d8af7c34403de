"""Decisions on the disk: tables that came back are read, and ``decided.jsonl`` is added to.

Whoever adds to it holds a lock and looks first at what others have added.  What marking takes out
of tables is put in place whole; what is decided on the screen is one line, forced to the disk.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from ...files.added import AddedTo, NoPlainFileError
from ...files.locks import alone
from ...language.texts import filled, plain
from ...language.told import ToldError
from ..handins.table import BadTable
from .decided import KEPT, MOST_KEPT, Decisions, Kept, decision_of, keep, line_of
from .folder import read_plain
from .marks import SetApart
from .out import EARLIER, UNCLEAR_CSV, WIDENED_CSV, WORK, MarksFolder
from .settled import MOST_BYTES, SettledRow, bad, is_settled_name, set_apart, settled_table

MARKS = "marks"
"""The folder of marks in that of a class, unless the command names another."""
MOST_TABLES = 200
"""Tables of decisions that are read in one run."""
_WRITTEN = (UNCLEAR_CSV, WIDENED_CSV)
"""Tables that marking writes over."""


def take_decisions(place: MarksFolder) -> Kept:
    """Read what a human decided in tables, and keep all of it before anything is made of it.

    A table that is written over by the next marking is kept beside the earlier marks.

    Raises:
        OSError: it can't be kept.
    """
    troubles: list[SetApart] = []

    def tell(file: str, error: BadTable) -> None:
        troubles.append(set_apart(file, 0, error))

    with alone(place.root / WORK / "decided"):
        new = [row for name in _tables(place, tell) for row in _of_table(place, name, tell)]
        before = place.read(KEPT, MOST_KEPT)
        if isinstance(before, BadTable):
            tell(KEPT, before)
            kept = keep(b"", new)
        else:
            kept = keep(before or b"", new)
            if kept.data != (before or b""):
                place.replace(KEPT, kept.data)
    return replace(kept, troubles=(*troubles, *kept.troubles))


def _tables(place: MarksFolder, tell: Callable[[str, BadTable], None]) -> list[str]:
    """The tables of decisions in the folder; those saved under a name of their own come last."""
    found = sorted(name for name in os.listdir(place.root) if is_settled_name(name))
    found.sort(key=lambda name: name.casefold().startswith("settled"))
    if len(found) > MOST_TABLES:
        tell(found[MOST_TABLES], bad("too-many", most=MOST_TABLES))
    return found[:MOST_TABLES]


def _of_table(
    place: MarksFolder, name: str, tell: Callable[[str, BadTable], None]
) -> Iterator[SettledRow]:
    """The decisions of a table, one about the same answers; the lowest row counts."""
    data = place.read(name, MOST_BYTES)
    found, filled_in = Decisions(), False
    try:
        if isinstance(data, BadTable):
            raise data
        for row in settled_table(data or b""):
            filled_in = True
            if isinstance(row, BadTable):
                tell(name, row)
            elif before := _replaced(found, row._replace(by=name)):
                tell(name, bad("within", line=row.line, before=before.line))
    except BadTable as error:
        filled_in = True
        tell(name, error)
    if filled_in and name in _WRITTEN and isinstance(data, bytes):
        _keep_copy(place, name, data)
    yield from found


def _replaced(found: Decisions, row: SettledRow) -> SettledRow | None:
    """Take a row of a table; the row above it that decided otherwise and now does not count."""
    before = found.add(row)
    if before is None and row.place[0]:
        before = found.take_back(*row.place)
        return before if before and before.content != row.content else None
    return before


def _keep_copy(place: MarksFolder, table: str, data: bytes) -> None:
    """Keep what the next marking writes over."""
    name = f"{EARLIER}/{Path(table).stem}-{sha256(data).hexdigest()[:12]}.csv"
    if not (place.root / name).exists():
        (place.root / EARLIER).mkdir(exist_ok=True)
        place.replace(name, data)


def decided_before(places: Iterable[Path]) -> Decisions:
    """What was decided in other classes; of several decisions that of the last place counts.

    Decisions of earlier releases about single sheets say nothing of another class.

    Args:
        places: folders of classes or of marks, or files: ``decided.jsonl``, or a table.

    Raises:
        SettlingError: there is nothing of the kind.
    """
    found = Decisions()
    for place in places:
        kept_in = (place, place / KEPT, place / MARKS / KEPT)
        path = next((one for one in kept_in if one.is_file()), None)
        if path is None:
            raise SettlingError(filled("settling", "before.none", [("place", plain(place))]))
        try:
            rows = _rows_before(path, read_plain(path, MOST_KEPT))
        except (BadTable, OSError) as error:
            values = [("place", plain(path)), ("why", plain(error))]
            raise SettlingError(filled("settling", "before.unread", values)) from None
        for row in rows:
            if not row.sheet:
                found.add(row)
    return found


class SettlingError(ToldError):
    """What is to be settled, or was decided before, can't be had; says why."""


def _rows_before(path: Path, data: bytes) -> list[SettledRow]:
    if path.suffix.casefold() != ".jsonl":
        rows = [row for row in settled_table(data) if isinstance(row, SettledRow)]
        numbered = (row._replace(line=line) for line, row in enumerate(rows, 1))
        return list(keep(b"", numbered).decisions)
    lines = enumerate(data.split(b"\n"), 1)
    return [row for number, line in lines if (row := decision_of(number, line)) is not None]


class DecidedFile:
    """``decided.jsonl`` of a folder of marks, while anybody adds decisions to it."""

    def __init__(self, place: MarksFolder) -> None:
        self._place, self._file = place, AddedTo(place.root / KEPT, MOST_KEPT)
        self._begin()
        (place.root / WORK).mkdir(mode=0o700, exist_ok=True)

    @property
    def lines(self) -> int:
        """How many lines it has."""
        return self._lines

    def look(self) -> None:
        """Take what was added since; all of it anew where another file stands there.

        Raises:
            OSError: it can't be read.
            BadTable: it is no plain file, or far too long.
        """
        try:
            whole, another = self._file.new()
        except FileNotFoundError:
            whole, another = b"", True
        except NoPlainFileError:
            raise bad("no-file", file=KEPT, most=MOST_KEPT) from None
        if another:
            self._begin()
        for line in whole.split(b"\n")[:-1]:
            self._lines += 1
            decided = decision_of(self._lines, line)
            if decided is not None:
                self.decisions.add(decided)

    def _begin(self) -> None:
        self.decisions, self._lines = Decisions(), 0

    def add(
        self, rows: list[SettledRow], unless: Callable[[Decisions], bool] = lambda _: False
    ) -> bool:
        """Add decisions, forced to the disk before this returns; False where nothing was added.

        Args:
            rows: what was decided, in order.
            unless: looks at what others have decided meanwhile, and says whether to add nothing.

        Raises:
            OSError: they can't be kept.
            BadTable: as :meth:`look`.
        """
        with alone(self._place.root / WORK / "decided"):
            self.look()
            if unless(self.decisions):
                return False
            self._file.add("".join(map(line_of, rows)).encode())
            self.look()
        return True
