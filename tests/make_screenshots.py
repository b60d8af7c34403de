"""Draws the pictures of the README: ``python -m tests.make_screenshots [FOLDER]``.

Writes the SVGs that the README shows into ``.pictures/`` (or FOLDER), with the links to web
fonts taken out, so that a page showing them asks nothing of another site.

Options: ``--all`` draws every screen at every size, the main ones in all themes; ``--png``
has headless Chromium draw each as PNG too, for looking.
"""

from __future__ import annotations

import asyncio
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Awaitable, Callable
from pathlib import Path

from rungwise.tutor.app import Rungwise
from textual.pilot import Pilot

from .screens.stage import SIZES
from .screens.test_snapshots import (
    CONTRAST,
    DAY,
    DUSK,
    GREY,
    bench,
    chooser,
    half_way,
    hinted,
    slipped,
    summit,
    tutor,
)

Scene = Callable[[Pilot[None]], Awaitable[None]]

SCENES: dict[str, tuple[Scene, str]] = {
    "drill": (half_way, DUSK.name),
    "drill-slip": (slipped, DUSK.name),
    "hint": (hinted, DUSK.name),
    "summit": (summit, DUSK.name),
    "bench": (bench, DUSK.name),
    "chooser": (chooser, DUSK.name),
    "drill-day": (half_way, DAY.name),
    "summit-day": (summit, DAY.name),
    "drill-contrast": (half_way, CONTRAST.name),
    "summit-contrast": (summit, CONTRAST.name),
    "bench-contrast": (bench, CONTRAST.name),
    "drill-grey": (half_way, GREY.name),
    "summit-grey": (summit, GREY.name),
    "bench-grey": (bench, GREY.name),
}
README = (
    "drill-80x24.svg",
    "drill-slip-120x40.svg",
    "hint-120x40.svg",
    "drill-200x60.svg",
    "summit-120x40.svg",
    "bench-120x40.svg",
)
FONT = 'font-family: "DejaVu Sans Mono", Menlo, Consolas, monospace;'


async def picture(app: Rungwise, scene: Scene, size: tuple[int, int]) -> str:
    """The screen after a scene, as SVG without links to fonts."""
    async with app.run_test(size=size) as pilot:
        await scene(pilot)
        await pilot.pause()
        svg = app.export_screenshot()
    svg = re.sub(r"<!--.*?-->", "", svg, flags=re.DOTALL)
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    return re.sub(r"font-family: [^;]*;", FONT, svg)


def to_png(svg: Path) -> None:
    """Draw an SVG with Chromium (rsvg misaligns the columns)."""
    size = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg.read_text())
    assert size
    width, height = size.groups()
    with tempfile.TemporaryDirectory() as home:
        page = Path(home, "page.html")
        page.write_text(f'<body style="margin:0">{svg.read_text()}</body>')
        subprocess.run(
            [
                shutil.which("chromium") or "chromium",
                *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic"),
                *("--no-first-run", "--disable-background-networking", "--disable-sync"),
                *("--disable-component-update", f"--user-data-dir={home}/profile"),
                f"--screenshot={svg.with_suffix('.png')}",
                f"--window-size={int(float(width)) + 1},{int(float(height)) + 1}",
                page.as_uri(),
            ],
            check=True,
            capture_output=True,
        )


def main() -> None:
    """Write the pictures."""
    words = [word for word in sys.argv[1:] if not word.startswith("--")]
    folder = Path(words[0] if words else ".pictures")
    folder.mkdir(exist_ok=True)
    for name, (scene, theme) in SCENES.items():
        for size in SIZES:
            file = f"{name}-{size[0]}x{size[1]}.svg"
            if "--all" not in sys.argv and file not in README:
                continue
            svg = folder / file
            svg.write_text(asyncio.run(picture(tutor(theme), scene, size)), encoding="utf-8")
            if "--png" in sys.argv:
                to_png(svg)
            print(svg)


if __name__ == "__main__":
    main()
