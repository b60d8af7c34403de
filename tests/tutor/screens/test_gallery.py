"""Every screen at three sizes in four themes, compared with the pictures reviewed by eye.

After a change that is meant: ``UPDATE_GALLERY=1 pytest tests/screens/test_gallery.py``, and
look at the pictures before committing them
(``python -m tests.studies.make_screenshots --gallery FOLDER``
draws them as PNG, the four themes of a screen on one sheet).
"""

from __future__ import annotations

import os

import pytest
from rungwise.tutor.screens.themes import THEMES

from .gallery import FOLDER, file, keep, kept, pictures, words
from .scenes import SCENES
from .stage import SIZES


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40", "200x60"])
@pytest.mark.parametrize("name", SCENES)
async def test_screen(name: str, size: tuple[int, int]) -> None:
    make, scene = SCENES[name]
    drawn = await pictures(make(), scene, size)
    different = {}
    for theme, svg in drawn.items():
        path = file(name, size, theme)
        if os.environ.get("UPDATE_GALLERY"):
            keep(path, svg)
        before = kept(path)
        if svg != before:
            lines = zip(words(before), words(svg), strict=False)
            different[path.name] = [pair for pair in lines if pair[0] != pair[1]][:3]
    assert not different


def test_no_picture_is_left_over() -> None:
    wanted = {file(name, size, t.name) for name in SCENES for size in SIZES for t in THEMES}
    assert set(FOLDER.iterdir()) == wanted
