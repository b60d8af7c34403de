"""Pages that are more than 40 % empty though what comes next would have fitted on them.

``python -m tests.studies.empty_pages [COUNT]`` makes so many sheets (30) of every task, with their
keys, on both papers, and prints the emptiest pages and what begins the page after each.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from itertools import pairwise

from rungwise.problems.questions.model import Task
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import Paper, Plan, PlanSection, Student
from rungwise.tutor.documents.pages import sheet_page
from rungwise.tutor.documents.pages_form import PageKind
from rungwise.tutor.documents.pages_key import key_page

from tests.support.printed import PrintedPage, printed

COUNT = 30
EMPTY = 0.4
BETWEEN = 8.0
"""Millimetres between two problems, and what the measure may be off."""


def pages(seed: int) -> Iterator[tuple[PageKind, list[PrintedPage]]]:
    """The pages of one sheet of every task, and those of its key."""
    sections = (
        PlanSection("Inspection", levels=(2, 3, 4), count=2),
        PlanSection("Sketches", task=Task.SKETCH, levels=(1 + seed % 3, 2 + seed % 4), count=3),
        PlanSection("Ways back", task=Task.REVERSE, count=3, same_families=False),
    )
    paper = list(Paper)[seed % len(Paper)]
    plan = Plan("Filters", seed, sections, instructions="Show your working.", paper=paper)
    made = draft(plan, Student(seed + 1)).variant
    for page in (sheet_page(made.sheet), key_page(made.sheet, made.key)):
        yield page.kind, printed(page, paper)


def empty(found: list[PrintedPage], share: float = EMPTY) -> Iterator[tuple[int, float, float]]:
    """(page, millimetres left on it, millimetres that come next) of pages emptier than a share."""
    for number, (page, after) in enumerate(pairwise(found), 1):
        if page.empty > share:
            yield number, page.high - page.ink, after.first


def main() -> None:
    """Print the emptiest pages."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else COUNT
    seen = wrong = 0
    for seed in range(count):
        for kind, found in pages(seed):
            seen += len(found)
            for number, left, needed in empty(found):
                fits = needed + BETWEEN <= left
                wrong += fits
                print(
                    f"{kind} {seed + 1}, page {number}: {left:.0f} mm left, "
                    f"{needed:.0f} mm come next{', which fits' if fits else ''}"
                )
    print(f"{seen} pages: {wrong} more than {EMPTY:.0%} empty where what comes next would fit")


if __name__ == "__main__":
    main()
