"""A class's papers to be entered: the folder that ``rungwise sheet make`` wrote, and its file."""

from __future__ import annotations

from pathlib import Path

from ....problems.sheets.model import PlanTrouble, SheetError
from ...language.texts import plain, speaker
from ..handins.entered_file import EnteredFile
from ..interchange.class_folder import KEYS, given, open_folder
from .grid import EntryGrid, PaperSheet

say = speaker("entering")


def open_class(root: Path) -> tuple[str, EntryGrid]:
    """The title of the class's sheets, and its grid.

    Args:
        root: the folder that ``rungwise sheet make`` wrote.

    Raises:
        SheetError: it holds no sheets, or a key can't be read.
        OSError: what was entered before can't be read.
    """
    folder = open_folder(root)
    sheets = [PaperSheet(one.entry, one.key) for one in given(folder)]
    file = EnteredFile(root / KEYS)
    try:
        return folder.plan.title, EntryGrid(sheets, file)
    except ValueError:
        what = say("trouble.no-questions")
        raise SheetError(PlanTrouble(plain(root), "", what)) from None
