"""A class report as JSON: every figure that its pages show, under its name."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from operator import attrgetter

from ....problems.circuits.write import write_circuit
from ..marking.marks import HandInState, QuestionOutcome
from .comparison import Comparison, Difference
from .figures_of_class import Report
from .first_page import SlipShown, right_words_of, slipped_words

FORMAT = "rungwise.report/1"
_COUNTED, _BOUNDS = ("right=share.right", "asked=share.asked"), "interval_95=share.bounds"


def document(found: Report, boards: Sequence[SlipShown] = ()) -> dict[str, object]:
    """The report ``found``, with ``boards`` of its first page, as JSON: each figure by its name."""
    hushed = found.hushed
    middle = ("mean", "median", "deviation")
    spread = middle if found.anonymous else (*middle, "least", "most")  # whose ends are somebody's
    return {
        "format": FORMAT,
        **_fields(found, "title", "course", "date", "anonymous", "expected", "handed_in=count"),
        "unclear": found.unclear,
        "unread": [
            _fields(one, "name=called", "file") for one in found.waiting.of(HandInState.UNREAD)
        ],
        **_fields(found, "blank", "points_of=of"),
        "points": _fields(found.points, *spread) if found.points and not hushed else None,
        "share": _fields(found.share, *spread) if found.share and not hushed else None,
        "histogram": None if hushed else list(found.histogram),
        "reliability": _fields(
            found,
            "alpha_of_questions=alpha_items",
            "alpha_of_problems=alpha_problems",
            "standard_error_points=error",
        ),
        "items": [
            {
                **_fields(item, "number", "kind=rung", "groups", "of"),
                **{o.value: n for o, n in zip(QuestionOutcome, item.outcomes, strict=True)},
                **_fields(item, "difficulty", "discrimination"),
            }
            for item in found.items
        ],
        "slips": [
            _fields(slip, "slip", "students", "times", "points_lost=lost", "questions")
            for slip in found.slips
        ],
        "skills": [
            {
                **_fields(skill, "group", "kind=rung", *_COUNTED, "share=share.value", _BOUNDS),
                **_fields(skill, "students", "points_lost=lost", "points_of=had", "reteach=weak"),
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
            _fields(table, "true", "given", "counts", "others", "silent", "kind=rung")
            for table in found.confusions
        ],
        "unexplained": [
            _fields(one, "how", "factor", "given", "right", "times", "questions", "kind=rung")
            | {"students": [found.unexplained_by[p] for p in one.students]}
            for one in found.unexplained
        ],
        "groups": _compared(found.groups),
        "variants": _compared(found.variants),
        "students": [
            _fields(one, "number", "name", "id", "group", "variant", "points", "of")
            for one in found.standings
        ],
    }


def _fields(value: object, *names: str) -> dict[str, object]:
    """Fields of a value, points as text; "kind=rung" is its field ``rung``, called "kind"."""
    found = {}
    for name in names:
        key, _, field = name.partition("=")
        one = attrgetter(field or key)(value)
        found[key] = str(one) if isinstance(one, Fraction) else one
    return found


def _board(shown: SlipShown) -> dict[str, object]:
    one, board = shown.counted, shown.board
    told = _fields(one, "slip", "points_lost=lost")
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
                **_fields(one, "number", "kind=rung"),
                "difference": _difference(one.difference),
                "parts": [
                    _fields(part, *_COUNTED, _BOUNDS, "discrimination")
                    | {"discrimination_interval_95": [part.low, part.high]}
                    for part in one.parts
                ],
            }
            for one in found.questions
        ],
    }


def _difference(one: Difference | None) -> dict[str, object] | None:
    return None if one is None else _fields(one, "first", "second", "value", "low", "high", "clear")
