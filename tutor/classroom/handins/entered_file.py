"""``entered.jsonl`` held open: every cell is on the disk before the next one is asked for.

Two teachers may be at it at once.  Each line is written alone, under a lock, by whoever has seen
the newest line about the same cell; who has not is shown it first, so that nothing that somebody
else entered is gone over unseen.  A line that a killed program left without its end was never
acknowledged: the next one begins below it.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ...files.added import AddedTo
from ...files.locks import alone
from .entered import MOST_BYTES, NAME, EnteredAnswer, EnteredHow, read_entered


class EnteredElsewhereError(Exception):
    """Somebody else entered the same cell meanwhile; ``newer`` is what they did."""

    def __init__(self, newer: EnteredAnswer | None) -> None:
        super().__init__("entered elsewhere")
        self.newer = newer


class EnteredFile:
    """What was entered, on the disk and here.

    Args:
        folder: the folder of keys that the file lies in.

    Raises:
        OSError: it is there and can't be read, or is no plain file.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / NAME
        self.cells: dict[tuple[int, str], EnteredAnswer] = {}
        self.troubles = 0
        self._file = AddedTo(self.path, MOST_BYTES)
        self.look()

    def look(self) -> list[tuple[int, str]]:
        """Take up what was written since, by whomever; which cells it is about.

        Raises:
            OSError: the file can't be read.
        """
        try:
            data, another = self._file.new()
        except FileNotFoundError:
            return []
        before = list(self.cells) if another else []
        if another:
            self.troubles, self.cells = 0, {}
        found = self._take(data)
        return [*before, *found]

    def _take(self, data: bytes) -> list[tuple[int, str]]:
        found, troubles = read_entered(data)
        self.troubles += len(troubles)
        for one in found:
            self.cells.pop(one.cell, None)
            if one.how is not EnteredHow.BACK:
                self.cells[one.cell] = one
        return [one.cell for one in found]

    def put(self, entered: EnteredAnswer, seen: EnteredAnswer | None) -> bool:
        """Write down for good what was ``entered``, which is on the disk when this comes back.

        Says whether somebody else had written anything since this file was last looked at.  What
        stood in the cell when it was entered is ``seen``.

        Says whether somebody else had written anything since this file was last looked at.

        Raises:
            EnteredElsewhereError: something else stands there by now.
            OSError: it can't be written; nothing has changed then.
        """
        with self._locked():
            others = bool(self.look())
            newer = self.cells.get(entered.cell)
            if (newer.says if newer else None) != (seen.says if seen else None):
                raise EnteredElsewhereError(newer)
            self._file.add(entered.line())
            self.look()
        return others

    @contextmanager
    def _locked(self) -> Iterator[None]:
        try:
            with alone(self.path):
                yield
        except TimeoutError as error:
            raise OSError(11, "somebody else is writing to it", str(self.path)) from error
