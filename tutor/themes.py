"""The tutor's own colours: copper and verdigris, on graphite by night and on paper by day.

Every text colour has a contrast of at least 4.5:1 to every ground it is used on, and the
lines of the figures at least 3:1 (a test computes both); a verdict is never told by colour
alone.
"""

from __future__ import annotations

from textual.theme import Theme


def _theme(name: str, dark: bool, ink: dict[str, str]) -> Theme:
    """A theme from named inks; every derived colour that we use is set, none is left to chance."""
    return Theme(
        name=name,
        dark=dark,
        primary=ink["copper"],
        secondary=ink["verdigris"],
        accent=ink["copper"],
        success=ink["verdigris"],
        warning=ink["brass"],
        error=ink["rust"],
        foreground=ink["text"],
        background=ink["ground"],
        surface=ink["raised"],
        panel=ink["panel"],
        boost=ink["panel"],
        text_alpha=1.0,
        variables={
            "text": ink["text"],
            "text-muted": ink["quiet"],
            "text-disabled": ink["quiet"],
            "text-primary": ink["copper"],
            "text-secondary": ink["verdigris"],
            "text-accent": ink["copper"],
            "text-success": ink["verdigris"],
            "text-warning": ink["brass"],
            "text-error": ink["rust"],
            "ink-copper": ink["copper"],
            "ink-verdigris": ink["verdigris"],
            "ink-brass": ink["brass"],
            "ink-rust": ink["rust"],
            "ink-quiet": ink["quiet"],
            "ink-line": ink["line"],
            "ink-reversed": ink["ground"],
            "picked": ink["picked"],
            "border": ink["copper"],
            "border-blurred": ink["line"],
            "block-cursor-background": ink["picked"],
            "block-cursor-foreground": ink["text"],
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-background": ink["picked"],
            "block-cursor-blurred-foreground": ink["text"],
            "block-hover-background": ink["panel"],
            "input-cursor-background": ink["copper"],
            "input-cursor-foreground": ink["ground"],
            "input-selection-background": ink["picked"],
            "scrollbar": ink["line"],
            "scrollbar-hover": ink["quiet"],
            "scrollbar-active": ink["copper"],
            "scrollbar-background": ink["raised"],
            "scrollbar-background-hover": ink["raised"],
            "scrollbar-background-active": ink["raised"],
            "scrollbar-corner-color": ink["raised"],
            "footer-background": ink["panel"],
            "footer-foreground": ink["text"],
            "footer-key-foreground": ink["copper"],
            "footer-key-background": ink["panel"],
            "footer-description-foreground": ink["text"],
            "footer-description-background": ink["panel"],
            "footer-item-background": ink["panel"],
            "link-color": ink["copper"],
            "link-background": ink["ground"],
        },
    )


DUSK = _theme(
    "rungwise-dusk",
    True,
    {
        "ground": "#15181B",
        "raised": "#1A1E22",
        "panel": "#20252A",
        "picked": "#3A2F27",
        "line": "#6A7480",
        "text": "#E8E3D9",
        "quiet": "#A3A9AD",
        "copper": "#E59A5C",
        "verdigris": "#6FC3B0",
        "brass": "#D9BC5C",
        "rust": "#F08A78",
    },
)

DAY = _theme(
    "rungwise-day",
    False,
    {
        "ground": "#FBF8F1",
        "raised": "#F6F1E6",
        "panel": "#EFE8D9",
        "picked": "#F3DFC9",
        "line": "#857B6B",
        "text": "#24282B",
        "quiet": "#5A5A54",
        "copper": "#8F4A12",
        "verdigris": "#17614F",
        "brass": "#6B5200",
        "rust": "#A02C1B",
    },
)

THEMES = (DUSK, DAY)
