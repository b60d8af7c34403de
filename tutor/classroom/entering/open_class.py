"""A class's papers to be entered: the folder that ``rungwise sheet make`` wrote, and its file."""

from __future__ import annotations

from pathlib import Path

from ....problems.sheets.model import PlanTrouble, SheetError
from ...language.texts import plain, speaker
from ..handins.cells import one_line
from ..handins.entered_file import EnteredFile
from ..interchange.class_folder import KEYS, given, open_folder
from ..marking.made_class import person
from .grid import EntryGrid, PaperSheet

say = speaker("entering")


def open_class(root: Path, group: str = "") -> tuple[str, EntryGrid]:
    """The title of the class's sheets, and its grid.

    Args:
        root: the folder that ``rungwise sheet make`` wrote.
        group: the group whose papers are entered; "" for all.

    Raises:
        SheetError: it holds no sheets, a key can't be read, or there is no such group.
        OSError: what was entered before can't be read.
    """
    folder = open_folder(root)
    numbers = [m.number for m in folder.students if person(group) in ("", person(m.group))]
    if not numbers:
        groups = ", ".join(sorted({one_line(m.group) for m in folder.students if m.group}))
        what = say("trouble.no-group" if groups else "trouble.no-groups", groups=groups)
        raise SheetError(PlanTrouble("--group", one_line(group)[:80], what))
    sheets = [PaperSheet(one.entry, one.key) for one in given(folder, numbers)]
    file = EnteredFile(root / KEYS)
    try:
        return folder.plan.title, EntryGrid(sheets, file)
    except ValueError:
        what = say("trouble.no-questions")
        raise SheetError(PlanTrouble(plain(root), "", what)) from None
