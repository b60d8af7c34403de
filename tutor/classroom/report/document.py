"""A class report as JSON: every figure that its pages show, under its name."""

from __future__ import annotations

from ..marking.marks import HandInState, QuestionOutcome
from .figures import Spread
from .figures_of_class import Report

FORMAT = "rungwise.report/1"


def document(found: Report) -> dict[str, object]:
    """The report as JSON: every figure that the pages show, under its field's name."""
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
