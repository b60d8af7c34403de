"""What a first start shows: three sentences, and one circuit read step by step."""

from __future__ import annotations

from ...figures.canvas.braille import COLUMNS, ROWS, Dots
from ...figures.canvas.canvas import Canvas
from ...figures.canvas.styled import StyledLine
from ...language.texts import fill
from ...language.wrap import fold
from .example import DRAWINGS, INKS

STEPS = 5
_ENDS = {2: "low", 3: "high"}
"""Steps that show the circuit as it is at one end of the frequency axis."""
_LOW, _TALL = 8, 11
"""Rows of the compact and of the full drawing."""
_ROOMY = 30
"""Rows of the page from which on every step says why."""
_GAP = 2


def _put(canvas: Canvas, row: int, col: int, text: str, ink: str) -> None:
    """Put a text; its blanks leave what is there."""
    for at, sign in enumerate(text, col):
        if sign != " ":
            canvas.put(at, row, sign, ink)


def _draw(canvas: Canvas, step: int, height: int) -> int:
    """Draw the circuit as a step sees it; returns the columns that it takes at any step."""
    end, size = _ENDS.get(step, ""), height
    lines, roles = DRAWINGS[end, size]
    for row, (line, marks) in enumerate(zip(lines, roles, strict=True)):
        for col, (sign, role) in enumerate(zip(line, marks, strict=True)):
            _put(canvas, row, col, sign, INKS[role])
    return max(len(line) for end in ("", *_ENDS.values()) for line in DRAWINGS[end, size][0])


def _chart(canvas: Canvas, step: int, left: int, width: int, height: int) -> None:
    """The straight-line chart, as far as the steps have come to know it."""
    rows = height - 2
    dots = Dots(width - 5, rows)
    right, bottom = dots.width * COLUMNS - 1, dots.height * ROWS - 1
    top, drop = ROWS // 2, min(bottom - ROWS // 2, right * 5 // 9)
    corner = (right - drop) // 2 if right > 2 * drop else right - drop
    fall = (corner + drop, top + drop)
    for thick in (0, 1):
        if step >= 2:
            dots.line(0, top + thick, corner if step >= 4 else corner * 2 // 3, top + thick)
        if step >= 3:
            known = drop if step >= 4 else drop // 3
            x, y = fall[0] + thick, fall[1]
            dots.line(x - known, y - known, x, y)
    axis = left + 4
    _put(canvas, 0, left, "0 dB┤", "$ink-quiet")
    for row in range(rows):
        if row:
            _put(canvas, row, axis, "│", "$ink-quiet")
    canvas.lay(axis + 1, 0, dots, "bold $ink-copper")
    _put(canvas, rows, axis, "└" + "─" * dots.width, "$ink-quiet")
    if step >= 4:
        text = fill("opening", "first.slope")
        row = rows // 2
        beside = axis + 1 + (corner + row * ROWS) // COLUMNS + 3
        if beside + len(text) > left + width:  # under the line, where it is narrow
            row, beside = rows - 1, axis + 2
        _put(canvas, row, beside, text, "$ink-verdigris")
    if step >= 5:
        at = axis + 1 + corner // COLUMNS
        text = fill("opening", "first.corner")
        _put(canvas, rows, at, "┴", "$ink-brass")
        _put(canvas, rows + 1, at - len(text) // 2, text, "bold $ink-brass")


def picture(step: int, width: int, height: int) -> list[StyledLine]:
    """The circuit as a step sees it, and beside it what is known of its response.

    Args:
        step: which step, from 1.
        width: columns of the picture.
        height: its rows.
    """
    canvas = Canvas(width, height)
    used = _draw(canvas, step, height) + _GAP
    if width - used >= 16:
        _chart(canvas, step, used + 1, min(46, width - used - 2), height)
    return canvas.styled("$foreground")


def steps(step: int, width: int, *, reasons: bool) -> list[StyledLine]:
    """The steps up to the one in hand, and the rest faintly.

    Args:
        step: the one in hand, from 1.
        width: columns of the room.
        reasons: whether each says why.
    """
    lines: list[StyledLine] = []
    for number in range(1, STEPS + 1):
        say = fold(fill("opening", f"first.step-{number}.say"), width - 5)
        look, sign = ("bold $foreground", "▸") if number == step else ("$foreground", " ")
        for row, line in enumerate(say):
            head = f"{sign} {number}  " if row == 0 else "     "
            lines.append(StyledLine.of((head, "bold $ink-copper"), (line, look)))
        if reasons:
            why = fold(fill("opening", f"first.step-{number}.why"), width - 5)
            lines += [StyledLine.of((f"     {line}", "$ink-quiet")) for line in why]
    return lines


def page(step: int, width: int, height: int, *, say: str = "") -> list[StyledLine]:
    """The whole page for a room of this many columns and rows; it may be taller.

    Args:
        step: the step of the example that is in hand.
        width: columns of the room.
        height: rows of the room.
        say: what is said above the example, in the place of what a first start says.
    """
    roomy = height >= _ROOMY
    told = fold(say or fill("opening", "first.say"), width)
    above = [StyledLine.of(line) for line in told]
    heading, turn = fill("opening", "first.example"), fill("opening", "first.turn")
    room = width - len(heading)
    head = StyledLine.of(
        (heading[:width], "bold $ink-copper"),
        (turn.rjust(room) if room > len(turn) else "", "$ink-quiet"),
    )
    blank = [StyledLine()]
    told_steps = steps(step, width, reasons=roomy)
    tall = len(above) + len(told_steps) + _TALL + 5 <= height
    shown = picture(step, width, _TALL if tall else _LOW)
    between = blank if tall else []
    lines = [*above, *blank, head, *between, *shown, *blank, *told_steps]
    return [*blank, *lines] if len(lines) < height else lines
