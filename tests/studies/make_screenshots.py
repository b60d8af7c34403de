"""Draws the pictures of the README: ``python -m tests.studies.make_screenshots [FOLDER]``.

Writes the SVGs that the README shows into ``.pictures/`` (or FOLDER), with the links to web
fonts taken out, so that a page showing them asks nothing of another site, and a picture of the
tutor in Chromium.  Names of scenes after FOLDER draw only these.

Options: ``--gallery`` has headless Chromium draw the pictures kept by the tests instead, the
four themes of a screen on one PNG, for looking; names of scenes after it draw only these.
"""

from __future__ import annotations

import asyncio
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from rungwise.tutor.screens.themes import DUSK, THEMES

from tests.tutor.browser.browser import Browser, visit
from tests.tutor.browser.server import serving
from tests.tutor.screens.gallery import file, kept, pictures
from tests.tutor.screens.lesson_scenes import LESSONS
from tests.tutor.screens.scenes import SCENES
from tests.tutor.screens.stage import SIZES

LOOKS = "look", "look-error", "look-pair", "look-round"
README = (
    *(f"{look}-{size}" for look in LOOKS for size in ("80x24", "120x40", "200x60")),
    "drill-slip-120x40",
    "opening-120x40",
    "opening-first-120x40",
    "drill-80x24",
    "drill-hint-120x40",
    "predict-curve-120x40",
    "predict-step-120x40",
    "look-curves-120x40",
    "look-steps-120x40",
    "bench-told-120x40",
    "drill-200x60",
    "summit-120x40",
    "sketch-gain-120x40",
    "sketch-phase-120x40",
    "sketch-map-120x40",
    "reverse-gain-120x40",
    "reverse-arm-120x40",
    "bench-120x40",
    "progress-120x40",
    "rehearsal-120x40",
    "rehearsal-review-120x40",
    "summing-up-120x40",
    "chooser-120x40",
    "lesson-ends-80x24",
    "lesson-taps-80x24",
    "lesson-ringing-120x40",
    "lesson-poles-120x40",
    "lesson-receiver-120x40",
    "lesson-look-120x40",
    "help-120x40",
    "sheet-120x40",
    "entering-120x40",
    "settling-120x40",
)
"""The pictures that the README shows: scene and size."""


def to_png(svgs: list[str], png: Path) -> None:
    """Draw SVGs two by two with Chromium (rsvg misaligns the columns)."""
    size = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svgs[0])
    assert size
    columns, rows = min(2, len(svgs)), -(-len(svgs) // 2)
    width, height = (int(float(n)) + 1 for n in size.groups())
    # One SVG's style names would reach into the next: each is an image of its own.
    with tempfile.TemporaryDirectory() as home:
        images = ""
        for i, svg in enumerate(svgs):
            Path(home, f"{i}.svg").write_text(svg, encoding="utf-8")
            images += f'<img src="{i}.svg" width="{width}" height="{height}">'
        page = Path(home, "page.html")
        style = f"margin:0;font-size:0;width:{columns * width}px"
        page.write_text(f'<body style="{style}">{images}</body>')
        subprocess.run(
            [
                shutil.which("chromium") or "chromium",
                *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic"),
                *("--no-first-run", "--disable-background-networking", "--disable-sync"),
                *("--disable-component-update", f"--user-data-dir={home}/profile"),
                f"--screenshot={png.absolute()}",
                f"--window-size={columns * width},{rows * height}",
                page.as_uri(),
            ],
            check=True,
            capture_output=True,
        )


def readme(folder: Path, scenes: list[str]) -> None:
    """Write the pictures of the README, or those of some scenes."""
    folder.mkdir(exist_ok=True)
    for picture in README:
        name, _, shape = picture.rpartition("-")
        if scenes and name not in scenes:
            continue
        columns, rows = map(int, shape.split("x"))
        make, scene = {**SCENES, **LESSONS}[name]
        size = columns, rows
        drawn = asyncio.run(pictures(make(), [(name, scene)], {name: {size: [DUSK]}}))
        svg = folder / f"{picture}.svg"
        svg.write_text(drawn[name, size, DUSK.name], encoding="utf-8")
        print(svg)
    if scenes:
        return
    pages(folder)
    slide(folder / "slide-bode.svg")
    png = folder / "browser-1280x800.png"
    with tempfile.TemporaryDirectory() as home:
        png.write_bytes(asyncio.run(in_browser(Path(home))))
    print(png)


PAGES = {
    "sheet-page": "sheets/students/01-ann-tenna/sheet.pdf",
    "short-key-page": "sheets/keys/01-ann-tenna/short-key.pdf",
    "report-page": "sheets/marks/report.pdf",
}
"""First pages that the README shows, of files in the folder of a marked class."""
QUIZ = """
format = "rungwise.plan/3"
title = "Filters at a glance"
course = "Circuits and signals"
date = 2026-12-03
seed = 4611686018427387904
variants = ["A", "B"]
[print]
answer_files = false
[[sections]]
title = "By inspection"
by_inspection = 12
"""
"""A quiz on paper, for a picture: nobody is asked what it asks."""
QUIZ_PAGES = {
    "inspection-page": "quiz/students/01-ann-tenna/sheet.pdf",
}
"""First pages of it that the README shows."""


def pages(folder: Path) -> None:
    """Make and mark sheets for a class of the README's names, and draw first pages as PNG.

    Needs pdftoppm (Debian's poppler-utils).
    """
    from .fill_a_class import fill

    rungwise = [sys.executable, "-m", "rungwise.tutor", "sheet"]
    names = "Ann Tenna", "Bo Wire", "Cy Pole", "Di Ode", "Ed Coil", "Flo Watt", "Gus Amp", "Ida Ohm"
    with tempfile.TemporaryDirectory() as home:
        here = Path(home)
        here.joinpath("roster.csv").write_text("name\n" + "\n".join(names) + "\n", encoding="utf-8")

        def run(*words: str) -> None:
            subprocess.run([*rungwise, *words], cwd=here, check=True, capture_output=True)

        run("start", "plan.toml")
        run("make", "plan.toml", "--students", "roster.csv", "--out", "sheets")
        fill(here / "sheets", here / "hand-ins", seed=3)
        run("mark", "sheets", "hand-ins")
        run("report", "sheets/marks")
        here.joinpath("quiz.toml").write_text(QUIZ, encoding="utf-8")
        run("make", "quiz.toml", "--students", "roster.csv", "--out", "quiz", "--formats", "pdf")
        for name, file in {**PAGES, **QUIZ_PAGES}.items():
            first_page(here / file, folder / name)


def slide(target: Path) -> None:
    """Draw the README's example of a figure for slides."""
    circuit = "series R1; series L1 = 10 mH; shunt C1 = 100 nF"
    words = ["--text", circuit, "--vary", "R1=50,150,447", "--figures", "bode", "--force"]
    draw = [sys.executable, "-m", "rungwise.tutor", "draw", *words, "--to", str(target)]
    subprocess.run(draw, check=True, capture_output=True)
    print(target)


def first_page(pdf: Path, target: Path) -> None:
    """Draw the first page of a ``pdf`` as PNG; ``target`` is its path without the ending."""
    drawn = ["pdftoppm", "-r", "90", "-l", "1", "-png", "-singlefile", str(pdf)]
    subprocess.run([*drawn, str(target.absolute())], check=True)
    print(target.with_suffix(".png"))


async def in_browser(home: Path) -> bytes:
    """The bench in a browser's window, as PNG."""
    with serving(home) as served:
        async with Browser() as browser, visit(browser, served.address) as tab:
            await tab.enter("Ana")
            await tab.sees("One circuit in full")
            await tab.press("b")
            await tab.sees("Bench: output across")
            await tab.press("ArrowDown")  # from the coil to the resistor
            for _ in range(2):  # a version is kept, and its copy damped more
                await tab.press("k", *["ArrowRight"] * 4)
            await asyncio.sleep(2)
            return await tab.picture()


def gallery(folder: Path, scenes: list[str]) -> None:
    """Draw what the tests keep, a sheet of four themes for each scene and size."""
    folder.mkdir(exist_ok=True)
    for name in scenes or SCENES:
        for size in SIZES:
            png = folder / f"{name}-{size[0]}x{size[1]}.png"
            to_png([kept(file(name, size, theme.name)) for theme in THEMES], png)
            print(png)


def main() -> None:
    """Write the pictures."""
    words = [word for word in sys.argv[1:] if not word.startswith("--")]
    if "--gallery" in sys.argv:
        gallery(Path(words[0]), words[1:])
    else:
        readme(Path(words[0] if words else ".pictures"), words[1:])


if __name__ == "__main__":
    main()
