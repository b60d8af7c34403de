"""Every screen at three sizes and in four themes, compared with the pictures reviewed by eye.

After a change that is meant: ``UPDATE_GALLERY=1 pytest tests/tutor/screens/test_gallery.py``, and
look at the pictures before committing them
(``python -m tests.studies.make_screenshots --gallery FOLDER``
draws them as PNG, the four themes of a screen on one sheet).
"""

from __future__ import annotations

import os

import pytest
from rungwise.tutor.screens.themes import THEMES
from textual.theme import Theme

from tests.support.samples import whole

from .gallery import FOLDER, Scene, Size, file, keep, kept, pictures, words
from .scenes import SCENES, WALKS
from .stage import SIZES

SCROLLED = {
    *("sketch-gain", "sketch-phase", "sketch-map", "reverse-gain", "rehearsal-end"),
    "predict-curve",
}
"""Scenes that go on in another place of a page, or of a curve, in a window of another size."""


def everything() -> bool:
    """Whether each size is played by itself, in all themes."""
    return whole() or bool(os.environ.get("UPDATE_GALLERY"))


def plays(name: str) -> list[tuple[Size, ...]]:
    """The sizes of the window in each play of a scene."""
    return [(size,) for size in SIZES] if everything() or name in SCROLLED else [SIZES]


def themes(name: str, size: Size) -> list[Theme]:
    """Two on a small screen, one on each of the larger: every scene is seen in all four.

    Which theme comes at which size takes turns from scene to scene.
    """
    if everything():
        return [*THEMES]
    turn = [*SCENES].index(name)
    places = {SIZES[0]: (0, 1), SIZES[1]: (2,), SIZES[2]: (3,)}[size]
    return [THEMES[(turn + place) % len(THEMES)] for place in places]


def test_every_scene_is_seen_in_every_theme_and_every_theme_at_every_size() -> None:
    for name in SCENES:
        assert {theme.name for size in SIZES for theme in themes(name, size)} == {
            theme.name for theme in THEMES
        }
    seen = {(size, theme.name) for size in SIZES for name in SCENES for theme in themes(name, size)}
    assert len(seen) == len(SIZES) * len(THEMES)


def walks() -> list[list[tuple[str, Scene]]]:
    """Scenes played in one sitting, each of them come to from the one before."""
    if everything():
        return [[(name, scene)] for name, (_, scene) in SCENES.items()]
    onward = {name for steps in WALKS.values() for name in steps}
    assert not onward & (SCROLLED | {*WALKS}) and not SCROLLED & {*WALKS}
    return [
        [(name, scene), *WALKS.get(name, {}).items()]
        for name, (_, scene) in SCENES.items()
        if name not in onward
    ]


@pytest.mark.parametrize(
    ("walk", "sizes"),
    [
        pytest.param(walk, sizes, id=f"{walk[0][0]}-{sizes[0][0]}")
        for walk in walks()
        for sizes in plays(walk[0][0])
    ],
)
async def test_screen(walk: list[tuple[str, Scene]], sizes: tuple[Size, ...]) -> None:
    make, _ = SCENES[walk[0][0]]
    wanted = {name: {size: themes(name, size) for size in sizes} for name, _ in walk}
    drawn = await pictures(make(), walk, wanted)
    assert {name for name, *_ in drawn} == {name for name, _ in walk}
    different = {}
    for (name, size, theme), svg in drawn.items():
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
