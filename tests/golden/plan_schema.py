"""The JSON Schema (2020-12) of a plan file's values, made from the same tables that read them.

It says what a plan may look like; what a section of one task can ask, and whether circuits can
be drawn for it all, only reading it tells.  ``content/plan.schema.json`` holds it for editors; the
program never reads it, so that what makes it lies here.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.catalogue.groups import LEVELS, LOOKED_AT
from rungwise.problems.questions.model import Rung, Task
from rungwise.problems.sheets.inspection import LOOKED, NO_VALUES, ON_PAGE
from rungwise.problems.sheets.marking_rules import CountsRule, LateRule
from rungwise.problems.sheets.marking_table import SLIP_NAMES, VERDICT_NAMES
from rungwise.problems.sheets.model import (
    LEAST_SEED,
    MOST_POINTS,
    MOST_PROBLEMS,
    MOST_SECTIONS,
    MOST_STUDENTS,
    MOST_VARIANTS,
    OLD_PLAN_FORMAT,
    PLAN_FORMAT,
    PLAN_FORMATS,
    SEEDS,
    Paper,
    Series,
    Symbols,
    VariantsBy,
)
from rungwise.problems.sheets.plan import (
    HOME_PAGE,
    LANGUAGES,
    MOST_CIRCUIT,
    MOST_CIRCUITS,
    MOST_INSTRUCTIONS,
    MOST_LABEL,
    MOST_NAME,
    MOST_TITLE,
    NOT_INSPECTED,
    SECTIONS_SINCE_THIRD,
    SINCE_THIRD,
)
from rungwise.problems.sheets.printing import PageFont
from rungwise.problems.sheets.printing_table import MOST_LINES
from rungwise.problems.sheets.problems import ASKABLE
from rungwise.problems.slips.order import SLIPS

Schema = dict[str, Any]

_LINE = r"^[^\u0000-\u001f]*\S[^\u0000-\u001f]*$"
_PERCENT = r"^[0-9]{1,3}(\.[0-9]{1,3})? ?%$"


def schema() -> Schema:
    """The schema of a plan, as plain values."""
    every = frozenset().union(*ASKABLE.values())
    rungs = [rung.value for rung in Rung if rung in every]
    points = {"type": "number", "minimum": 0, "maximum": MOST_POINTS}
    kinds = dict.fromkeys(("each", *(rung.value for rung in Rung)), points)
    common: Schema = {
        "tolerance": {"type": "string", "pattern": _PERCENT, "description": '"0.1 %" to "10 %"'},
        "series": {"enum": [series.value for series in Series]},
        "points": {"oneOf": [points, _table(kinds)]},
        "sketch_weights": _table(dict.fromkeys(("lines", "breaks", "level"), points)),
    }
    line = {"type": "string", "maxLength": MOST_TITLE, "pattern": _LINE}
    prose = {"type": "string", "maxLength": MOST_INSTRUCTIONS}
    label = {"type": "string", "maxLength": MOST_LABEL, "pattern": _LINE}
    circuit = {"type": "string", "minLength": 1, "maxLength": MOST_CIRCUIT}
    circuits = _list(_table({"title": line, "circuit": circuit}, "circuit"), MOST_CIRCUITS)
    section = _table(
        {
            "title": line,
            "instructions": prose,
            "task": {"enum": [task.value for task in Task]},
            "families": _list({"enum": [row.name for row in FAMILIES]}, len(FAMILIES)),
            "levels": _list({"enum": list(LEVELS)}, len(LEVELS)),
            "problems": {"type": "integer", "minimum": 1, "maximum": MOST_PROBLEMS},
            "ask": _list({"enum": rungs}, len(rungs)),
            **common,
            "same_families": {"type": "boolean"},
            "circuits": {**circuits, "uniqueItems": False},
            "by_inspection": {"enum": list(ON_PAGE)},
            "groups": _list({"enum": [group.value for group in LOOKED_AT]}, len(LOOKED_AT)),
            "values": {"type": "boolean"},
            "slips": _list({"enum": sorted({slip.id for slip in SLIPS})}, len(SLIPS)),
            "students": _list(
                {"type": "string", "minLength": 1, "maxLength": MOST_NAME}, MOST_STUDENTS
            ),
            "others": {"type": "boolean"},
        }
    )
    wanted = ("problems", "circuits", "by_inspection")
    section["anyOf"] = [{"required": [key]} for key in wanted]
    section["not"] = {"required": ["families", "levels"]}
    inspected = {rung.value for rung in LOOKED}
    at_sight = _list({"enum": sorted(inspected)}, len(inspected))
    section["dependentRequired"] = {key: ["by_inspection"] for key in ("groups", "values")}
    crowded = {"by_inspection": {"const": NO_VALUES}, "values": {"const": True}}
    section["allOf"] = [{"not": {"properties": crowded, "required": list(crowded)}}]
    section["dependentSchemas"] = {
        "by_inspection": {"properties": {**dict.fromkeys(NOT_INSPECTED, False), "ask": at_sight}}
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A plan of a problem sheet",
        **_table(
            {
                "format": {"enum": list(PLAN_FORMATS)},
                "title": line,
                "course": line,
                "date": {"type": "string", "format": "date"},
                "instructions": prose,
                "language": {"enum": list(LANGUAGES)},
                "seed": {
                    "type": "integer",
                    "minimum": 0,
                    "maximum": SEEDS - 1,
                    "description": "secret; `rungwise sheet start` draws one",
                },
                "practice": {
                    "type": "boolean",
                    "description": "keys need not be secret, and any seed will do",
                },
                "symbols": {"enum": [symbols.value for symbols in Symbols]},
                "paper": {"enum": [paper.value for paper in Paper]},
                "unshared_values": {"type": "boolean"},
                **common,
                "variants": {**_list(label, MOST_VARIANTS), "minItems": 2},
                "variants_by": {"enum": [way.value for way in VariantsBy]},
                "home_page": {**line, "pattern": f"^{HOME_PAGE.pattern}$"},
                "marking": _marking(),
                "print": _printing(),
                "sections": {**_list(section, MOST_SECTIONS), "uniqueItems": False},
            },
            *("format", "title", "seed", "sections"),
        ),
        "allOf": [
            {
                "if": {"properties": {"format": {"const": PLAN_FORMAT}}},
                "then": {"dependentRequired": {"variants_by": ["variants"]}},
                "else": {
                    "properties": {
                        **dict.fromkeys(SINCE_THIRD, False),
                        **_no_section_has(SECTIONS_SINCE_THIRD),
                    }
                },
            },
            {
                "if": {"required": ["variants"]},
                "then": {"properties": _no_section_has(("students", "others"))},
            },
        ],
        "if": {"properties": {"format": {"const": OLD_PLAN_FORMAT}}},
        "then": {"properties": {"practice": False}},
        "else": {
            "anyOf": [
                {"properties": {"practice": {"const": True}}, "required": ["practice"]},
                {"properties": {"seed": {"minimum": LEAST_SEED}}},
            ]
        },
    }


def _no_section_has(keys: Iterable[str]) -> Schema:
    return {"sections": {"items": {"properties": dict.fromkeys(keys, False)}}}


def _marking() -> Schema:
    share = {"type": "number", "minimum": 0, "maximum": 1}
    slips = _table(dict.fromkeys(("each", *SLIP_NAMES), share))
    properties: Schema = {
        "slip_points": {"oneOf": [share, slips]},
        "follow_through": {"oneOf": [{"type": "boolean"}, share]},
        "verdict_points": _table(dict.fromkeys(VERDICT_NAMES, share)),
        "counts": {"enum": [rule.value for rule in CountsRule]},
        "due": {"type": "string", "description": "a date, or a date with a time"},
        "late": {"enum": [rule.value for rule in LateRule]},
    }
    return {**_table(properties), "dependentRequired": {"late": ["due"]}}


def _printing() -> Schema:
    lines = {"type": "integer", "minimum": 0, "maximum": MOST_LINES}
    kinds = dict.fromkeys(("each", *(rung.value for rung in Rung)), lines)
    flags = ("large", "answer_files", "together", "cover", "duplex")
    return _table(
        {
            **{key: {"type": "boolean"} for key in flags},
            "font": {"enum": [font.value for font in PageFont]},
            "working": {"oneOf": [lines, _table(kinds)]},
        }
    )


def _table(properties: Schema, *required: str) -> Schema:
    made: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
    return {**made, "required": list(required)} if required else made


def _list(items: Schema, most: int) -> Schema:
    return {"type": "array", "items": items, "minItems": 1, "maxItems": most, "uniqueItems": True}
