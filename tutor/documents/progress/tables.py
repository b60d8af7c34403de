"""Tables of the progress screen: accuracy and time of every skill, slips week by week."""

from __future__ import annotations

from ...coach.progress import WEEKS, Line, Progress
from ...figures.canvas.styled import StyledLine
from ...language.dates import lasting
from ...phrases.skills import skill_parts, slip_words
from . import blocks
from .blocks import BARS, QUIET, opening
from .map import INKS

_ASKED, _RIGHT, _EACH = 6, 7, 8


def _key(order: str, place: int, line: Line) -> tuple[float, ...]:
    match order:
        case "weakest":
            return (line.share, -line.asked, place)
        case "slowest":
            return (-line.seconds, place)
    return (place,)


def skills(found: Progress, width: int, order: str) -> list[StyledLine]:
    """Every skill ``found`` to be asked: how often, how often right at once, how long it takes.

    Lines are ``width`` columns; the ``order`` is "teaching", "weakest" or "slowest" first.
    """
    asked = [(place, line) for place, line in enumerate(found.lines) if line.asked]
    said = opening(f"progress.order-{order}")
    lines = [blocks.heading(opening("progress.skills"), width, said if asked else "")]
    if not asked:
        return [*lines, *blocks.prose(opening("progress.empty"), width, QUIET)]
    asked.sort(key=lambda pair: _key(order, *pair))
    gauge = 6 if width < 70 else 14 if width < 90 else 20
    name = width - gauge - _ASKED - _RIGHT - _EACH - blocks.GROUPS - 2
    titles = [
        " " * (name + blocks.GROUPS + 2 + gauge),
        *(
            opening(f"progress.{key}").rjust(room)
            for key, room in (("right", _RIGHT), ("asked", _ASKED), ("each", _EACH))
        ),
    ]
    lines.append(StyledLine.of(("".join(titles), QUIET)))
    for _, line in asked:
        rung, group = skill_parts(line.skill)
        lines.append(
            StyledLine.of(
                (blocks.cut(rung, name), "$foreground"),
                (group[: blocks.GROUPS].ljust(blocks.GROUPS + 2), QUIET),
                blocks.bar(line.share, gauge, INKS[line.state]),
                (f"{line.share * 100:.0f} %".rjust(_RIGHT), "$foreground"),
                (str(line.asked).rjust(_ASKED), "$foreground"),
                (lasting(line.seconds).rjust(_EACH), "$foreground"),
            )
        )
    return lines


def slips(found: Progress, width: int, rows: int) -> list[StyledLine]:
    """The slips ``found`` in the last weeks, each as a row of columns, the newest on the right.

    They are ``width`` columns wide, on so many ``rows``.
    """
    courses = found.slips
    if not courses:
        said = opening("progress.weeks-none", weeks=WEEKS)
        return [blocks.heading(opening("progress.weeks", weeks=WEEKS), width),
                *blocks.prose(said, width, QUIET)]  # fmt: skip
    most = max(max(course.weeks) for course in courses)
    shown = courses if len(courses) <= rows else courses[: max(1, rows - 1)]
    cell = 2 if width >= 44 else 1
    name = width - WEEKS * cell - 6
    lines = [blocks.heading(opening("progress.weeks", weeks=WEEKS), width)]
    for course in shown:
        bars = "".join(
            (BARS[max(1, round(count / most * 8))] if count else "·") * (cell - 1 or 1)
            + " " * (cell - 1)
            for count in course.weeks
        )
        lines.append(
            StyledLine.of(
                (blocks.cut(slip_words(course.slip), name), "$foreground"),
                " ",
                (bars, "$ink-rust"),
                (str(sum(course.weeks)).rjust(5), "bold $foreground"),
            )
        )
    return lines + blocks.more(len(courses) - len(shown))


def sight(found: Progress, width: int, rows: int) -> list[StyledLine]:
    """What is ``found`` to be known at sight, and which types were taken for which.

    It is ``width`` columns wide, with so many ``rows`` of confusions at most.
    """
    met = [line for line in found.sight if line.asked]
    if not met:
        return []
    known = sum(line.state == "known" for line in found.sight)
    share = opening("progress.sight-share", known=known, all=len(found.sight))
    lines = [blocks.heading(opening("progress.sight"), width, share)]
    for asked, answered, times in found.confusions[:rows]:
        said = opening("progress.taken", asked=asked, answered=answered)
        lines.append(
            StyledLine.of(
                (blocks.cut(said, width - 6), "$foreground"), (f"{times} ×".rjust(6), QUIET)
            )
        )
    if not found.confusions:
        lines.append(StyledLine.of(("  " + opening("progress.taken-none"), QUIET)))
    return lines
