"""JSON files read whole, with every trouble told: which file, where in it, and what mends it.

What is read is turned into values by ``problems.sheets.records``.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ...problems.sheets.model import PlanTrouble, SheetError
from ..language.texts import plain


def json_file(path: Path, most: int, remedy: str) -> object:
    """What the file at a ``path`` holds of plain values, ``most`` bytes; a ``remedy`` mends others.

    Raises:
        SheetError: it can't be read, is longer, or is no JSON.
    """
    try:
        with open(path, "rb") as file:
            data = file.read(most + 1)
        if len(data) > most:
            raise ValueError("it is far too long")
        return json.loads(data)
    except (OSError, ValueError, RecursionError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or error
        what = f"it can't be read: {plain(reason)[:200]}"
        raise SheetError(PlanTrouble(plain(path), "", what, remedy)) from None


@contextmanager
def in_file(path: Path) -> Iterator[None]:
    """Troubles say in which file they are.

    Raises:
        SheetError: one was raised in the block.
    """
    try:
        yield
    except SheetError as error:
        raise SheetError(
            *(
                PlanTrouble(f"{plain(path)}: {t.path}".rstrip(": "), t.value, t.what, t.remedy)
                for t in error.troubles
            )
        ) from None
