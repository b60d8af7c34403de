"""``rungwise progress``: where a learner stands, as a page of text or for other programs."""

from __future__ import annotations

import sys

from ..coach.progress import Progress, as_csv, as_object, progress_now
from ..documents.progress import blocks
from ..documents.progress import map as progress_map
from ..documents.progress import tables as progress_tables
from ..language.ascii import AsciiCells
from ..language.dates import local_now
from ..language.texts import fill
from .console import fail, in_ascii, warn, write
from .tutor import patient_keeper

WIDEST = 100
"""Columns of the page at most; lines longer than that are hard to read."""


def page(found: Progress, width: int) -> list[str]:
    """The lines of the page that says ``found``, ``width`` columns wide, 60 to 100."""
    width = max(60, min(width, WIDEST))
    if not any(line.asked for line in found.lines) and not found.outlook.known.looks:
        return [fill("opening", "progress.empty")]
    board = found.board
    parts = [
        progress_map.lines(found, None, width),
        blocks.due(board, width, 8),
        blocks.weak(board, width, 8),
        progress_tables.sight(found, width, 8),
        progress_tables.slips(found, width, 12),
        blocks.calendar(board, width, 3),
        blocks.forecast(board, width),
        progress_tables.skills(found, width, "teaching"),
    ]
    lines: list[str] = []
    for part in filter(None, parts):
        lines += [*(line.plain.rstrip() for line in part), ""]
    exam = blocks.exam_words(board)
    return [exam, "", *lines[:-1]] if exam else lines[:-1]


def report(form: str, width: int) -> None:
    """Print where the learner stands in a ``form``: "page" of a ``width``, "json", "csv" or "html".

    Raises:
        SystemExit: the record cannot be read (status 2).
    """
    keeper = patient_keeper()
    try:
        found = progress_now(keeper, local_now())
    finally:
        keeper.close()
    if keeper.trouble:
        fail(keeper.trouble)
    if keeper.notice:
        warn(keeper.notice)
    if form == "json":
        import json

        text = json.dumps(as_object(found, keeper.learner), ensure_ascii=False, indent=2) + "\n"
    elif form == "html":
        from ..documents.html import page_html
        from ..documents.progress.page import progress_page

        # Its own bytes say that they are UTF-8, whatever the terminal's are.
        sys.stdout.flush()
        document = page_html(progress_page(found, keeper.learner))
        sys.stdout.buffer.write(document.encode("utf-8"))
        sys.stdout.flush()
        return
    elif form == "csv":
        text = as_csv(found)
    else:
        text = "\n".join(page(found, width)) + "\n"
        if in_ascii():
            text = AsciiCells().of(text)
    write(text, end="")
