"""A plan of the sheet that follows a class report: the skills least known, asked again.

The plan is text of a plan file (TOML).  What it asks has been proved to be askable: families that
can't be asked everything of their section are left out.  Its seed comes from the digest of what
was marked, so that the same marks give the same plan, and nobody can guess it who has not got them.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from hashlib import sha256
from itertools import islice

from ....problems.catalogue.families import FAMILIES
from ....problems.catalogue.groups import SkillGroup
from ....problems.questions.model import Rung, Task
from ....problems.sheets.model import PLAN_FORMAT, Paper, PlanSection, Symbols
from ....problems.sheets.problems import ASKABLE, EXPLAINED, WAYS, bare, can_ask
from ...language.texts import plain
from ...learning.skill_map import TASK_OF, group_of
from ..marking.marks import ClassMarks
from .figures_of_class import Report, Skill
from .in_words import points, say, skill_name

MOST_SECTIONS = 4
MOST_ASKED = 5
"""Kinds of question in a section, not counting those that a reason needs."""
MOST_FAMILIES = 6
"""Families of a section: whether each can be asked everything takes a while to find out."""
PROBLEMS = 2
"""Problems in each section."""
_MOST_TITLE = 200

_PLAIN: Mapping[str, str] = {}
_STYLES: Mapping[str, type[StrEnum]] = {"symbols": Symbols, "paper": Paper}


@dataclass(frozen=True, slots=True)
class SectionWanted:
    """One section: a group of circuits, and the skills of it that are asked again."""

    group: str
    task: Task
    skills: tuple[Skill, ...]
    ask: tuple[Rung, ...]
    families: tuple[str, ...]


def follow_up(found: Report, made_of: str, style: Mapping[str, str] = _PLAIN) -> str:
    """A plan file's text; "" where no skill is weak, or none can be asked of drawn circuits.

    Args:
        found: the report.
        made_of: the digest of what was marked.
        style: symbols and paper of the plan before, where it names them.
    """
    wanted = sections(found)
    return _written(found, wanted, seed_of(made_of, found), style) if wanted else ""


def seed_of(made_of: str, found: Report, what: str = "follow-up") -> int:
    """The seed, 2⁶¹ to 2⁶² − 1, of the sheet after the report ``found``.

    Marks are told apart by their digest ``made_of``, plans after one report by ``what`` they are.
    """
    text = json.dumps([f"rungwise {what}", made_of, found.title, found.course, found.date])
    return int.from_bytes(sha256(text.encode()).digest()[:8], "big") >> 3 | 1 << 61


def digest_of(marks: ClassMarks) -> str:
    """What was marked, as a short text: the marks' own digest, or one of the right answers."""
    if marks.made_of:
        return marks.made_of
    answers = [
        question.answer
        for student in marks.students
        for problem in student.problems
        for question in problem.questions
    ]
    return sha256(json.dumps(answers).encode()).hexdigest()


def sections(found: Report) -> tuple[SectionWanted, ...]:
    """What to ask again, the group with the least known skill first."""
    groups: dict[tuple[str, Task, frozenset[str]], list[Skill]] = {}
    for skill in found.reteach:
        if skill.group == SkillGroup.OTHER or not _known(skill):
            continue
        # One problem leads back to its circuit in one way only.
        ways = WAYS.get(Rung(skill.rung), frozenset())
        group = groups.setdefault((skill.group, TASK_OF[Rung(skill.rung)], ways), [])
        if len(group) < MOST_ASKED:
            group.append(skill)
    made = (_wanted(group, task, skills) for (group, task, _), skills in groups.items())
    return tuple(islice((section for section in made if section), MOST_SECTIONS))


def _known(skill: Skill) -> bool:
    """Whether it can be asked on a sheet: another version's marks may hold anything."""
    rung = next((rung for rung in Rung if rung == skill.rung), None)
    return rung is not None and rung in ASKABLE[TASK_OF[rung]]


def _wanted(group: str, task: Task, skills: Sequence[Skill]) -> SectionWanted | None:
    """A section of as many of the skills as one family at least can be asked together."""
    for count in range(len(skills), 0, -1):
        chosen = tuple(skills[:count])
        ask = _with_answers(chosen)
        section = bare(PlanSection(task=task, ask=ask))
        seen = sorted({family for skill in chosen for family in skill.families})
        names = [f.name for f in FAMILIES if f.name in seen]
        others = [f.name for f in FAMILIES if group_of(f.name) == group and f.name not in seen]
        fit = _fit(names, section) or _fit(others, section)
        if fit:
            return SectionWanted(group, task, chosen, ask, fit)
    return None


def _fit(names: Sequence[str], section: PlanSection) -> tuple[str, ...]:
    return tuple(islice((name for name in names if can_ask(name, section)), MOST_FAMILIES))


def _with_answers(skills: Sequence[Skill]) -> tuple[Rung, ...]:
    """The kinds of question in the order of a climb; a reason only with what it explains."""
    asked = {Rung(skill.rung) for skill in skills}
    asked |= {EXPLAINED[rung] for rung in asked if rung in EXPLAINED}
    return tuple(rung for rung in Rung if rung in asked)


def _written(
    found: Report, wanted: Sequence[SectionWanted], seed: int, style: Mapping[str, str]
) -> str:
    lines = list(plan_head(found, seed, style, "class"))
    for section in wanted:
        lines += ["", *_section(section)]
    return "\n".join(lines) + "\n"


def plan_head(found: Report, seed: int, style: Mapping[str, str], which: str) -> Iterator[str]:
    """The lines of a plan file above its sections.

    Args:
        found: the report.
        seed: the plan's.
        style: as for :func:`follow_up`.
        which: the key of what is said of the plan: "class" or "each".
    """
    course = plain(found.course).strip()[:_MOST_TITLE].strip()
    styles = {  # marks may hold anything
        name: style[name] for name, values in _STYLES.items() if style.get(name) in tuple(values)
    }
    yield f"# {say(f'follow-up.comment-{which}')}"
    yield from toml_lines(
        format=PLAN_FORMAT,
        title=_title(found),
        **({"course": course} if course else {}),
        instructions=say(f"follow-up.instructions-{which}"),
    )
    yield f"# {say('follow-up.comment-seed')}"
    yield from toml_lines(seed=seed, **styles)


def _title(found: Report) -> str:
    name = plain(found.title).strip()
    title = say("follow-up.plan-title", title=name) if name else say("follow-up.plan-title-plain")
    return title[:_MOST_TITLE]


def _section(section: SectionWanted) -> Iterator[str]:
    yield "[[sections]]"
    for skill in section.skills:
        told = say(
            "follow-up.comment-skill",
            skill=skill_name(skill.group, skill.rung),
            right=skill.share.right,
            asked=skill.share.asked,
        )
        yield f"# {told}"
    # No title: the group's name would tell how many poles there are, or which parts are idle.
    yield from toml_lines(
        task=section.task, families=section.families, problems=PROBLEMS, ask=section.ask
    )
    kinds = [f"{s.rung} = {points(s.of)}" for s in section.skills if s.of != 1]
    if kinds:
        yield f"points = {{ each = 1, {', '.join(kinds)} }}"


def toml_lines(**values: str | int | Sequence[str]) -> Iterator[str]:
    """Keys and ``values`` of TOML 1.0, a line each: texts, whole numbers, arrays of texts."""
    for key, value in values.items():
        if isinstance(value, int):
            yield f"{key} = {value}"
        elif isinstance(value, str):
            yield f"{key} = {_toml(value)}"
        else:
            yield f"{key} = [{', '.join(map(_toml, value))}]"


def _toml(text: str) -> str:
    """A basic string of TOML 1.0: JSON's escapes, and DEL, which JSON leaves as it is."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")
