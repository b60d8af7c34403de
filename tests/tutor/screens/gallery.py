"""Pictures of every screen at three sizes in four themes, kept compressed beside the tests.

Theme and size are changed on the living screen: what is kept is also what F6 leads to, and what a
window shows that has become larger.
"""

from __future__ import annotations

import gzip
import re
from collections.abc import Awaitable, Callable, Mapping, Sequence
from pathlib import Path

from rungwise.tutor.screens.app import Rungwise
from textual.pilot import Pilot
from textual.theme import Theme

from .stage import settled

Size = tuple[int, int]
Scene = Callable[[Pilot[None]], Awaitable[None]]

FOLDER = Path(__file__).with_name("gallery")
FONT = 'font-family: "DejaVu Sans Mono", Menlo, Consolas, monospace;'


def file(scene: str, size: Size, theme: str) -> Path:
    """Where the picture of a scene is kept."""
    return FOLDER / f"{scene}-{size[0]}x{size[1]}-{theme.removeprefix('rungwise-')}.svgz"


async def pictures(
    app: Rungwise,
    walk: Sequence[tuple[str, Scene]],
    wanted: Mapping[str, Mapping[Size, Sequence[Theme]]],
) -> dict[tuple[str, Size, str], str]:
    """The screen after each scene of a walk, by its name, size and theme, without links to fonts.

    A scene is played at its first size; the window then takes the others in turn.
    """
    drawn = {}
    async with app.run_test(size=next(iter(wanted[walk[0][0]]))) as pilot:
        now = pilot.app.size
        for name, scene in walk:
            for number, (size, themes) in enumerate(wanted[name].items()):
                if size != now:
                    await pilot.resize_terminal(*size)
                    await settled(pilot)
                    now = pilot.app.size
                if number == 0:
                    await scene(pilot)
                # What it has already comes first: a change of theme styles everything.
                for theme in sorted(themes, key=lambda one: one.name != app.theme):
                    app.theme = theme.name
                    await pilot.pause()
                    await pilot.pause()
                    drawn[name, size, theme.name] = without_fonts(app.export_screenshot())
    return drawn


def without_fonts(svg: str) -> str:
    """An SVG that asks nothing of another site."""
    svg = re.sub(r"<!--.*?-->", "", svg, flags=re.DOTALL)
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    return re.sub(r"font-family: [^;]*;", FONT, svg)


def keep(path: Path, svg: str) -> None:
    """Keep a picture; the same picture gives the same bytes."""
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(gzip.compress(svg.encode(), 9, mtime=0))


def kept(path: Path) -> str:
    """A picture as it was kept, or nothing."""
    return gzip.decompress(path.read_bytes()).decode() if path.exists() else ""


def words(svg: str) -> list[str]:
    """The lines of text in a picture, to say where two of them differ."""
    return [
        re.sub(r"<[^>]*>", "", line).replace("&#160;", " ")
        for line in svg.splitlines()
        if "<text" in line
    ]
