"""Contrast of our themes: WCAG 2.2, 4.5:1 for text and 3:1 for the lines of figures."""

from __future__ import annotations

import pytest
from rungwise.tutor.app import Rungwise
from rungwise.tutor.themes import THEMES
from rungwise.tutor.wish import Wish
from textual.color import Color
from textual.theme import Theme

INKS = ("text", "ink-quiet", "ink-copper", "ink-verdigris", "ink-brass", "ink-rust")


def luminance(color: Color) -> float:
    """Relative luminance, as WCAG 2.2 defines it."""

    def linear(channel: int) -> float:
        c = channel / 255
        return float(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)

    return 0.2126 * linear(color.r) + 0.7152 * linear(color.g) + 0.0722 * linear(color.b)


def contrast(a: str, b: str) -> float:
    """The contrast ratio of WCAG 2.2."""
    high, low = sorted((luminance(Color.parse(a)), luminance(Color.parse(b))), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_as_published() -> None:
    # Extremes of the definition, and #777 on white, the usual example that just fails.
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def grounds(theme: Theme) -> dict[str, str]:
    assert theme.background and theme.surface and theme.panel
    return {
        "background": theme.background,
        "surface": theme.surface,
        "panel": theme.panel,
        "picked": theme.variables["picked"],
    }


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("ink", INKS)
def test_text_is_legible_on_every_ground(theme: Theme, ink: str) -> None:
    for name, ground in grounds(theme).items():
        assert contrast(theme.variables[ink], ground) >= 4.5, name


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_reversed_text_is_legible(theme: Theme) -> None:
    assert contrast(theme.variables["ink-reversed"], theme.variables["ink-copper"]) >= 4.5


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_lines_are_visible(theme: Theme) -> None:
    for name in ("background", "surface"):
        assert contrast(theme.variables["ink-line"], grounds(theme)[name]) >= 3, name


async def test_only_our_themes_are_offered() -> None:
    app = Rungwise(Wish(1, None, 7))
    assert set(app.available_themes) == {theme.name for theme in THEMES}
    async with app.run_test() as pilot:
        before = app.theme
        await pilot.press("f6")
        assert app.theme != before
        await pilot.press("f6")
        assert app.theme == before
