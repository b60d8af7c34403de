"""Whether what explains a wrong answer is in sight at 80 by 24, of all families.

    python -m tests.studies.explained_in_sight

A part of it is in the suite (``tests/tutor/screens/test_drill_screen.py``).
"""

from __future__ import annotations

import asyncio

from rungwise.problems.catalogue.families import FAMILIES

from tests.support.idle import quick_waits
from tests.tutor.screens.test_drill_screen import explained_in_sight


def main() -> None:
    """Ask, and print what has to be turned page by page."""
    with quick_waits():
        whole, cut = asyncio.run(explained_in_sight([family.name for family in FAMILIES]))
    print(f"{whole} explanations in sight as a whole, {len(cut)} page by page")
    for family, rung, rows, seen in cut:
        print(f"  {family}, {rung}: {seen} of {rows} rows")
    assert len(cut) <= whole * 0.05


if __name__ == "__main__":
    main()
