"""A student works every lesson: ``python -m tests.studies.work_lessons [FOLDER]``.

By keyboard at 80x24, and in plain lines; every page is worked rightly and with every answer wrong.
Told at the end: pages, predictions and looks; that nothing moved before it was foretold; whatever
did not fit the window.  With FOLDER every screen is kept there as text.
"""

from __future__ import annotations

import asyncio
import io
import sys
from collections import Counter
from pathlib import Path

from rungwise.tutor.coach.lesson import after
from rungwise.tutor.drafting.lesson_pages import LessonPage, every_page, pages_of
from rungwise.tutor.phrases import lessons as saying
from rungwise.tutor.plain.lesson import PlainLesson
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.inspect.view import LookView
from rungwise.tutor.screens.lesson.screen import LessonPhase, LessonScreen
from textual.pilot import Pilot

from tests.support.lessons import keys, lines
from tests.tutor.screens.stage import SMALL, settled, text

FOUND: Counter[str] = Counter()


async def work(
    pilot: Pilot[None], screen: LessonScreen, page: LessonPage, folder: Path | None, *, wrong: bool
) -> None:
    """Work one page, and keep what is seen."""
    assert screen.work is not None and screen.work.page is page
    shots = 0
    while not screen.work.done:
        if folder is not None:
            kind = "wrong" if wrong else "right"
            folder.joinpath(f"{page.key}-{kind}-{shots}.txt").write_text(text(pilot), "utf-8")
            shots += 1
        words = screen.query_one("#lesson-words")
        if not screen.has_class("-looking") and words.max_scroll_y:
            FOUND[f"words longer than their room: {page.key}"] += 1
        view = screen.query_one(LookView)
        if screen.has_class("-looking") and view.picture.height > view.size.height:
            FOUND[f"a look that scrolls: {page.key}"] += 1
        before = screen.work.bench.version.ladder, screen.work.end
        if screen.phase in (LessonPhase.ASKED, LessonPhase.LOOK):
            await pilot.press("enter", "space")
            assert (screen.work.bench.version.ladder, screen.work.end) == before, page.key
            right, others = keys(screen.work)
            FOUND["predictions" if screen.phase is LessonPhase.ASKED else "looks"] += 1
            await pilot.press(others[0] if wrong else right)
        elif screen.phase is LessonPhase.FREE:
            await pilot.press("right", "down", *"texvlyb", "u", "u", "enter")
        else:
            await pilot.press("enter")
        await settled(pilot)
    FOUND["pages"] += 1


async def on_screen(folder: Path | None) -> None:
    """All pages, twice."""
    app = Rungwise()
    async with app.run_test(size=SMALL) as pilot:
        for wrong in (False, True):
            screen = LessonScreen(1)
            await app.push_screen(screen)
            await settled(pilot)
            for page in every_page():
                await work(pilot, screen, page, folder, wrong=wrong)
                await pilot.press("enter")
                await settled(pilot)
                assert after(page) is not None or app.screen is not screen


def in_lines() -> None:
    """All levels, twice."""
    for level in sorted({page.level for page in every_page()}):
        for wrong in (False, True):
            typed = [line for page in pages_of(level) for line in lines(page, wrong=wrong)]
            output = io.StringIO()
            source = io.StringIO("".join(f"{line}\n" for line in typed))
            PlainLesson(source, output, echo=True).work(level)
            said = " ".join(output.getvalue().split())
            assert saying.say("plain.over", level=level) in said, level
            FOUND["levels in plain lines"] += 1


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else None
    if folder is not None:
        folder.mkdir(exist_ok=True)
    in_lines()
    asyncio.run(on_screen(folder))
    for what, count in sorted(FOUND.items()):
        print(f"{what}: {count}")


if __name__ == "__main__":
    main()
