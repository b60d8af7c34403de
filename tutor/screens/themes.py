"""The tutor's own colours: copper and verdigris, on graphite by night and on paper by day.

Beside these two, a theme of strong contrast and one of greys only.  Every text colour has a
contrast of at least 4.5:1 to every ground it is used on (7:1 where strong contrast is
promised), and all lines of the figures, grids too, at least 3:1 (a test computes both).
Nothing is told by colour alone: verdicts have signs and words, curves have patterns, and what
is picked has a pointer.
"""

from __future__ import annotations

from textual.theme import Theme


def _theme(name: str, dark: bool, ink: dict[str, str], *, bold: bool = False) -> Theme:
    """A theme from named inks; every derived colour that we use is set, none is left to chance.

    Args:
        name: What it is called.
        dark: Whether its grounds are dark.
        ink: Its colours.
        bold: Whether what is picked is shown in reverse and bold, rather than on a tinted ground.
    """
    cursor, on_cursor = (ink["text"], ink["ground"]) if bold else (ink["picked"], ink["text"])
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
            # Goes after the colour that words have of their own, and overrules it where bold.
            "picked-look": f"bold {on_cursor} on {cursor}" if bold else f"on {cursor}",
            "border": ink["copper"],
            "border-blurred": ink["line"],
            "block-cursor-background": cursor,
            "block-cursor-foreground": on_cursor,
            "block-cursor-text-style": "bold",
            # Among two lists, the one without the keyboard keeps a tinted ground in all themes.
            "block-cursor-blurred-background": ink["picked"],
            "block-cursor-blurred-foreground": ink["text"],
            "block-cursor-blurred-text-style": "bold" if bold else "none",
            "block-hover-background": ink["panel"],
            "input-cursor-background": ink["copper"],
            "input-cursor-foreground": ink["ground"],
            # The line that is typed in has the picked ground: its selection needs another.
            "input-selection-background": ink["quiet"],
            "input-selection-foreground": ink["ground"],
            "screen-selection-background": ink["quiet"],
            "screen-selection-foreground": ink["ground"],
            "scrollbar": ink["line"],
            "scrollbar-hover": ink["quiet"],
            "scrollbar-active": ink["copper"],
            "scrollbar-background": ink["raised"],
            "scrollbar-background-hover": ink["raised"],
            "scrollbar-background-active": ink["raised"],
            "scrollbar-corner-color": ink["raised"],
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

CONTRAST = _theme(
    "rungwise-contrast",
    True,
    {
        "ground": "#000000",
        "raised": "#090B0D",
        "panel": "#14181C",
        "picked": "#2A2119",
        "line": "#97A3AE",
        "text": "#FFFFFF",
        "quiet": "#D3D9DE",
        "copper": "#FFB27A",
        "verdigris": "#83EBD2",
        "brass": "#FFE07A",
        "rust": "#FFAA9C",
    },
    bold=True,
)

GREY = _theme(
    "rungwise-grey",
    True,
    {
        "ground": "#121212",
        "raised": "#191919",
        "panel": "#232323",
        "picked": "#303030",
        "line": "#7D7D7D",
        "text": "#E6E6E6",
        "quiet": "#B0B0B0",
        "copper": "#FFFFFF",
        "verdigris": "#C6C6C6",
        "brass": "#D8D8D8",
        "rust": "#F4F4F4",
    },
    bold=True,
)

THEMES = (DUSK, DAY, CONTRAST, GREY)


def after(name: str) -> str:
    """The name of the theme that follows, round and round; the first after an unknown one."""
    names = [theme.name for theme in THEMES]
    return names[(names.index(name) + 1) % len(names)] if name in names else names[0]
