"""Typed text → straight-line sketch.

Values stand from left to right and take turns: slope, break, slope, break, slope.  Commas,
semicolons, bars, arrows and words such as "to", "then" and "at" may stand between them;
numbers and units are read as everywhere else (``1.59k``, ``4k7``, ``10 krad/s``).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum
from functools import partial
from typing import TypeVar

from ..quantities.convert import to_asked
from ..quantities.errors import Wording, wording
from ..quantities.read import read_quantity
from ..quantities.spelling import nearest, shown, uniform
from ..quantities.units import NOUNS, UNITS, QuantityError
from .model import (
    MOST_BREAKS,
    GainSketch,
    LineSketch,
    PhaseSketch,
    PlotKind,
    SketchError,
    gain_sketch,
    phase_sketch,
    same,
)

MOST_CHARACTERS = 1024
"""A longer text is no sketch and is not looked at."""

_STEEPEST, _FURTHEST, _HIGHEST = 1000, 3600, 1000
_FURTHEST_DRAWN = 36000
_SLOWEST, _FASTEST = 1e-6, 1e15
_ROUNDED = 0.99

_Read = TypeVar("_Read", GainSketch, PhaseSketch)


class _Sign(Enum):
    """A word that says what stands next to it."""

    LEVEL = "level"
    JUMP = "jump"


@dataclass(frozen=True, slots=True)
class _Piece:
    """A value as it stands in the text, or a sign; ``at`` is its 0-based column."""

    at: int
    text: str
    sign: _Sign | None = None

    @property
    def in_decibels(self) -> bool:
        """Whether it says dB, and not for each decade."""
        return self.text.lower().endswith("db")


_FILLING = frozenset((
    "a", "after", "afterwards", "an", "and", "angle", "angles", "at", "before", "break",
    "breaks", "by", "db", "decade", "ending", "ends", "end", "finally", "finish", "first",
    "for", "from", "gain", "goes", "going", "in", "is", "it", "last", "line", "middle", "next",
    "of", "on", "phase", "piece", "plot", "second", "slope", "slopes", "start", "starting",
    "starts", "the", "then", "third", "till", "to", "turn", "turning", "turns", "until", "up",
    "upto", "via", "with"
))  # fmt: skip
_FLAT = frozenset(("flat", "horizontal", "constant"))
_SIGNS = {
    **dict.fromkeys(("level", "levels", "height"), _Sign.LEVEL),
    **dict.fromkeys(("jump", "jumps", "jumping", "leap", "leaps"), _Sign.JUMP),
}
_UNITS = frozenset(s.lower() for unit in UNITS.values() for s in (*unit.exact, *unit.loose))
_KNOWN = _FILLING | _FLAT | frozenset(_SIGNS)

_END = r"\s,;:|=→⇒>()\[\]"
_BETWEEN = re.compile(rf"(?:[{_END}]|->|-(?=\s*[+-]\s*[\d.])|[./](?!\d))+")
# A run without blanks, with a comma only between two digits; then groups of three digits.
_RUN = re.compile(rf"[+-]?\ *[^{_END}+-](?:[^{_END}]|(?<=\d),(?=\d))*(?:\ \d{{3}}(?![\d.,]))*")
_UNIT = re.compile(r"\ *([A-Za-zμΩ°%]+(?:\^-1)?)(?:\ *(?:/\ *|\bper\ +)([A-Za-z]+))?")
_PER = re.compile(r"\ *(?:/\ *|\bper\ +)(dec\w*|oct\w*|s|sec\w*)\b", re.IGNORECASE)
_TIMES = re.compile(r"\ *[x*]\ *10\ *\^\ *[+-]?\d+")
_WORD = re.compile(r"[A-Za-z]{2,}(?![\w/°])|a\b", re.IGNORECASE)


def read_gain(text: str, *, as_drawn: bool = False) -> GainSketch:
    """Read a gain: ``+20 to 340 Hz, 0 to 12 kHz, −20; level −6 dB``.

    Args:
        text: what was typed or written.
        as_drawn: keep breaks that turn nothing, and take a slope without any break: this is no
            answer yet.

    Raises:
        SketchError: it is no such sketch.
    """
    return _either_comma(text, partial(_gain, as_drawn=as_drawn))


def read_phase(text: str, *, as_drawn: bool = False) -> PhaseSketch:
    """Read a phase: ``+90 to 340 Hz, 0 to 12 kHz, −90``; a jump says so.

    Args:
        text: what was typed or written.
        as_drawn: take angles as large as a pad can draw: this is no answer yet.

    Raises:
        SketchError: it is no such sketch.
    """
    return _either_comma(text, partial(_phase, as_drawn=as_drawn))


def read_line(plot: PlotKind, text: str, *, as_drawn: bool = False) -> LineSketch:
    """Read a gain or a phase, whichever a ``plot`` is of, in a ``text``; ``as_drawn`` as for these.

    Raises:
        SketchError: it is no such sketch.
    """
    read = read_gain if plot is PlotKind.GAIN else read_phase
    return read(text, as_drawn=as_drawn)


def checked(text: str) -> str:
    """The text, if it is short enough to be looked at and there is something in it.

    Raises:
        SketchError: it is not.
    """
    if len(text) > MOST_CHARACTERS:
        raise SketchError("sketch.too-long", most=MOST_CHARACTERS)
    if not text.strip():
        raise SketchError("sketch.nothing")
    return text


def _either_comma(text: str, read: Callable[[str], _Read]) -> _Read:
    """Commas between digits are decimal signs; where that makes no sense they separate."""
    checked(text)
    try:
        return read(text)
    except SketchError:
        spaced = re.sub(r"(?<=[\w.°]),(?=[\d.])", ", ", text)
        if spaced != text:
            try:
                return read(spaced)
            except SketchError:
                pass
        raise


# ------------------------------------------------------------------------------ pieces


def _pieces(text: str) -> list[_Piece]:
    folded = uniform(text.replace("\n", ";"))
    body, found, at = folded.text, list[_Piece](), 0
    while at < len(body):
        if match := _BETWEEN.match(body, at):
            at = match.end()
        elif (match := _WORD.match(body, at)) and not match[0].lower().startswith("pi"):
            found += _word(match[0], folded.column(at))
            at = match.end()
        elif match := _RUN.match(body, at):
            end = _unit_end(body, match.end())
            found.append(_Piece(folded.column(at), body[at:end]))
            at = end
        else:
            raise SketchError("sketch.unread", folded.column(at), found=shown(body[at:]))
    return found


def _word(word: str, column: int) -> list[_Piece]:
    known = word.lower()
    if known not in _KNOWN:
        guess = nearest(known, _KNOWN) if len(known) > 3 else None
        if guess is None:
            raise SketchError("sketch.word", column, found=shown(word))
        known = guess
    if known in _SIGNS:
        return [_Piece(column, known, _SIGNS[known])]
    return [_Piece(column, "0")] if known in _FLAT else []


def _between(word: str) -> bool:
    """Whether it stands between values, perhaps misspelt, rather than being a unit."""
    if word in _UNITS:
        return False
    return word in _KNOWN or (len(word) > 3 and nearest(word, _KNOWN) is not None)


def _unit_end(body: str, at: int) -> int:
    """Where the unit after a number ends: ``20 dB / decade``, ``1.5 × 10³ Hz``."""
    if match := _TIMES.match(body, at):
        at = match.end()
    match = _UNIT.match(body, at)
    if match and not _between(match[1].lower()):
        at = match.end(1)
    if match := _PER.match(body, at):
        at = match.end()
    return at


# ------------------------------------------------------------------------------- gain


def _gain(text: str, *, as_drawn: bool) -> GainSketch:
    pieces = _pieces(text)
    level, values = _level(pieces, len(text))
    slopes: list[int] = []
    breaks: list[float] = []
    for place, piece in enumerate(values):
        if place % 2:
            breaks.append(_frequency(piece, breaks))
        else:
            slopes.append(_whole(piece, "dB/decade", _STEEPEST))
    _complete(values, len(text), "sketch.first-slope", "sketch.slope-after")
    if level is None:
        raise SketchError("sketch.no-level", len(text))
    height = _value(level, "dB", wording("sketch.level"))
    if abs(height) > _HIGHEST:
        raise SketchError("sketch.level-beyond", level.at, most=_HIGHEST)
    if as_drawn:
        return GainSketch(tuple(slopes), tuple(breaks), height)
    drawn = gain_sketch(slopes, breaks, height)
    if not drawn.breaks and drawn.slopes[0]:
        raise SketchError("sketch.slopes-everywhere", values[0].at)
    return drawn


def _level(pieces: list[_Piece], end: int) -> tuple[_Piece | None, list[_Piece]]:
    """What says the level, and the slopes and breaks."""
    level: _Piece | None = None
    values: list[_Piece] = []
    waiting = False
    for piece in pieces:
        if piece.sign is _Sign.JUMP:
            raise SketchError("sketch.gain-jump", piece.at)
        if piece.sign is _Sign.LEVEL:
            if waiting or level:
                raise SketchError("sketch.level-twice", piece.at)
            waiting = True
        elif waiting:
            level, waiting = piece, False
        else:
            values.append(piece)
    if waiting:
        raise SketchError("sketch.level-height", end)
    if level is None and len(values) % 2 == 0:
        for place in (-1, 0):
            if values and values[place].in_decibels:
                level = values.pop(place)
                break
    return level, values


def _complete(values: list[_Piece], end: int, first: str, after: str) -> None:
    """Values begin and end with a slope or an angle.

    Raises:
        SketchError: they do not; ``first`` is its key where there are none, ``after`` where the
            last is missing.
    """
    if not values:
        raise SketchError(first, end)
    if len(values) % 2 == 0:
        raise SketchError(after, end, last=shown(values[-1].text.strip()))


# ------------------------------------------------------------------------------ phase


def _phase(text: str, *, as_drawn: bool) -> PhaseSketch:
    angles: list[int] = []
    places: list[float] = []
    jumping: set[int] = set()
    values: list[_Piece] = []
    for piece in _pieces(text):
        if piece.sign is _Sign.LEVEL:
            raise SketchError("sketch.phase-level", piece.at)
        if piece.sign is _Sign.JUMP:
            if not values:
                raise SketchError("sketch.jump-first", piece.at)
            jumping.add((len(values) - 1) // 2)
            continue
        if len(values) % 2:
            places.append(_frequency(piece, places))
        else:
            angles.append(_whole(piece, "°", _FURTHEST_DRAWN if as_drawn else _FURTHEST))
        values.append(piece)
    _complete(values, len(text), "sketch.first-angle", "sketch.angle-after")
    if any(place >= len(places) for place in jumping):
        raise SketchError("sketch.jump-place", len(text))
    steps = [
        (place, after - before)
        for place, before, after in zip(places, angles[:-1], angles[1:], strict=True)
    ]
    jumping |= set(_meant_as_jumps(steps))
    return phase_sketch(
        angles[0],
        [step for k, step in enumerate(steps) if k not in jumping],
        [step for k, step in enumerate(steps) if k in jumping],
    )


def _meant_as_jumps(steps: list[tuple[float, int]]) -> Iterator[int]:
    """Steps up by 180° in the middle of a turn down: they can be nothing but jumps."""
    for k, (place, step) in enumerate(steps):
        if step > 0 and step % 180 == 0:
            others = (
                turn for j, (there, turn) in enumerate(steps) if j != k and same(there, place)
            )
            if any(turn < 0 for turn in others):
                yield k


# ------------------------------------------------------------------------------ values


def _value(piece: _Piece, unit: str, what: Wording) -> float:
    """The value in the unit asked for.

    Raises:
        SketchError: it is none.
    """
    text = piece.text
    if unit == "dB/decade" and piece.in_decibels:
        text += "/decade"  # "−20 dB" where only a slope can stand
    try:
        found = read_quantity(text, unit)
    except QuantityError as error:
        raise SketchError(
            "sketch.belongs-because", piece.at + error.position, what=what, trouble=error.wording
        ) from None
    if found.unit == "" and found.value <= 0:
        raise SketchError("sketch.ratio", piece.at, what=what)
    try:
        return to_asked(float(found.value), found.unit, unit)
    except OverflowError:  # pragma: no cover - quantities end long before floats do
        raise SketchError("sketch.belongs", piece.at, what=what) from None


def _whole(piece: _Piece, unit: str, most: int) -> int:
    what = wording("sketch.angle") if unit == "°" else wording("sketch.slope")
    value = _value(piece, unit, what)
    if abs(value) > most:
        text = piece.text.strip()
        raise SketchError(
            "sketch.beyond-apart" if " " in text else "sketch.beyond",
            piece.at,
            found=shown(text),
            most=most,
            unit=unit,
        )
    return round(value)


def _frequency(piece: _Piece, before: list[float]) -> float:
    # A dash may have been meant to lead from one value to the next.
    dashed = re.match(r"- +", piece.text)
    if dashed:
        piece = _Piece(piece.at + dashed.end(), piece.text[dashed.end() :])
    value = _value(piece, "Hz", NOUNS["frequency"])
    if not _SLOWEST <= value <= _FASTEST:
        raise SketchError("sketch.no-frequency", piece.at, found=shown(piece.text.strip()))
    if len(before) == MOST_BREAKS:
        raise SketchError("sketch.breaks", piece.at, most=MOST_BREAKS)
    if before and _ROUNDED * before[-1] <= value < before[-1]:
        return before[-1]  # one frequency, rounded in two ways
    if before and value < before[-1]:
        raise SketchError("sketch.order", piece.at, found=shown(piece.text.strip()))
    return value
