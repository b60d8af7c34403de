"""A class report as JSON: every figure that its pages show, under its name."""

from __future__ import annotations

from collections.abc import Sequence

from ....problems.circuits.write import write_circuit
from ..marking.marks import HandInState, QuestionOutcome
from .comparison import Comparison, Difference
from .figures import Spread
from .figures_of_class import Report
from .first_page import SlipShown, right_words_of, slipped_words

FORMAT = "rungwise.report/1"


def document(found: Report, boards: Sequence[SlipShown] = ()) -> dict[str, object]:
    """The report as JSON: every figure that the pages show, under its field's name.

    Args:
        found: the figures.
        boards: the slips of the first page, with their circuits.
    """
    hushed = found.hushed
    return {
        "format": FORMAT,
        "title": found.title,
        "course": found.course,
        "date": found.date,
        "anonymous": found.anonymous,
        "expected": found.expected,
        "handed_in": found.count,
        "unclear": found.unclear,
        "unread": [
            {"name": one.called, "file": one.file} for one in found.waiting.of(HandInState.UNREAD)
        ],
        "blank": found.blank,
        "points_of": None if found.of is None else str(found.of),
        "points": None if hushed else _spread(found.points, ends=not found.anonymous),
        "share": None if hushed else _spread(found.share, ends=not found.anonymous),
        "histogram": None if hushed else list(found.histogram),
        "reliability": {
            "alpha_of_questions": found.alpha_items,
            "alpha_of_problems": found.alpha_problems,
            "standard_error_points": found.error,
        },
        "items": [
            {
                "number": item.number,
                "kind": item.rung,
                "groups": list(item.groups),
                "of": str(item.of),
                **{o.value: n for o, n in zip(QuestionOutcome, item.outcomes, strict=True)},
                "difficulty": item.difficulty,
                "discrimination": item.discrimination,
            }
            for item in found.items
        ],
        "slips": [
            {
                "slip": slip.slip,
                "students": slip.students,
                "times": slip.times,
                "points_lost": str(slip.lost),
                "questions": list(slip.questions),
            }
            for slip in found.slips
        ],
        "skills": [
            {
                "group": skill.group,
                "kind": skill.rung,
                "right": skill.share.right,
                "asked": skill.share.asked,
                "share": skill.share.value,
                "interval_95": [skill.share.low, skill.share.high],
                "students": skill.students,
                "points_lost": str(skill.lost),
                "points_of": str(skill.had),
                "reteach": skill.weak,
            }
            for skill in found.skills
        ],
        "board": [_board(shown) for shown in boards],
        "waiting": {
            "unclear": found.waiting.unclear[0],
            "on_paper": found.waiting.paper[0],
            "students": [
                _fields(one, "number", "name", "id", "group", "state", "file")
                for one in found.waiting.absent
            ],
            "files": [_fields(one, "file", "what", "remedy") for one in found.waiting.files],
        },
        "confusion": [
            _fields(table, "true", "given", "counts", "others", "silent") | {"kind": table.rung}
            for table in found.confusions
        ],
        "unexplained": [
            _fields(one, "how", "factor", "given", "right", "times", "questions")
            | {"kind": one.rung, "students": [found.unexplained_by[p] for p in one.students]}
            for one in found.unexplained
        ],
        "groups": _compared(found.groups),
        "variants": _compared(found.variants),
        "students": [
            {
                "number": one.number,
                "name": one.name,
                "id": one.id,
                "points": str(one.points),
                "of": str(one.of),
            }
            for one in found.standings
        ],
    }


def _spread(found: Spread | None, *, ends: bool) -> dict[str, float | None] | None:
    """A distribution; its two ends are somebody's."""
    if found is None:
        return None
    middle = {"mean": found.mean, "median": found.median, "deviation": found.deviation}
    return {**middle, "least": found.least, "most": found.most} if ends else middle


def _fields(value: object, *names: str) -> dict[str, object]:
    return {name: getattr(value, name) for name in names}


def _board(shown: SlipShown) -> dict[str, object]:
    one, board = shown.counted, shown.board
    told: dict[str, object] = {"slip": one.slip, "points_lost": str(one.lost)}
    if board is not None:
        told |= {
            "circuit": write_circuit(board.problem.ladder, "; "),
            "kind": board.question.rung.value,
            "right": right_words_of(board.question),
            "slipped": slipped_words(board),
        }
    return told


def _compared(found: Comparison | None) -> dict[str, object] | None:
    if found is None:
        return None
    return {
        "parts": [
            _fields(part, "name", "count", "mean", "deviation", "low", "high")
            for part in found.parts
        ],
        "differences": [_difference(one) for one in found.differences],
        "questions": [
            {
                "number": one.number,
                "kind": one.rung,
                "difference": _difference(one.difference),
                "parts": [
                    {
                        "right": part.share.right,
                        "asked": part.share.asked,
                        "interval_95": [part.share.low, part.share.high],
                        "discrimination": part.discrimination,
                        "discrimination_interval_95": [part.low, part.high],
                    }
                    for part in one.parts
                ],
            }
            for one in found.questions
        ],
    }


def _difference(one: Difference | None) -> dict[str, object] | None:
    return None if one is None else _fields(one, "first", "second", "value", "low", "high", "clear")
