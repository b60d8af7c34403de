"""A plan of follow-up sheets, each from its student's own slips, on other families.

A section is one slip: it asks the kind of question at which the class made it most, of circuits
on which it shows, and names the students who made it.  None of its families is one at which any of
them made it.  Who made no slip is given circuits of the next level; whom no section names (a
newcomer, somebody who was away, or whose slips only few made) is given the commonest slips.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import islice

from ....problems.catalogue.families import FAMILIES, Family
from ....problems.catalogue.groups import LEVELS
from ....problems.questions.kinds import kind
from ....problems.questions.model import Rung
from ....problems.sheets.board import section_of
from ....problems.sheets.model import MOST_SECTIONS, PlanSection
from ....problems.sheets.problems import can_ask, likely, pool
from ....problems.slips.order import SLIPS
from ...language.texts import plain
from ...learning.skill_map import group_of
from ...phrases.skills import slip_words
from ..marking.marks import ClassMarks, HandInState, StudentMarks
from .figures_of_class import Report
from .in_words import say
from .plan import digest_of, plan_head, seed_of, toml_lines

MOST_SLIPS = 3
"""Slips that one sheet comes back to, those first that cost its student most."""
MOST_FAMILIES = 4
"""Families of a section."""
PROBLEMS = 2
"""Problems of a section that has more than one family."""
COMMONEST = 2
"""Sections that are also for those whom no section names."""

_PLAIN: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class PersonalPlan:
    """A plan file's text, how many students have own slips in it, and how many harder circuits."""

    text: str
    own: int
    harder: int


@dataclass(slots=True)
class _Made:
    """A slip as one student made it."""

    lost: Fraction = Fraction(0)
    families: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class _SlipSection:
    """One section: what is asked, of which families, and the places of its students."""

    section: PlanSection
    students: tuple[int, ...]


def personal(
    marks: ClassMarks, found: Report, style: Mapping[str, str] = _PLAIN
) -> PersonalPlan | None:
    """The plan after ``marks``; ``None`` where nobody made a slip that another circuit shows.

    Every family of every section has been proved to be askable, and to show the slip.

    Args:
        marks: of the class.
        found: its report, which gives the plan its name.
        style: symbols and paper of the plan before, where it names them.
    """
    results = [s for s in marks.students if s.state is HandInState.MARKED and s.problems]
    made = [_slips_of(result) for result in results]
    sections = _sections(made, _rungs(results))
    if not sections:
        return None
    harder = tuple(place for place, slips in enumerate(made) if not slips)
    next_level = _harder(results) if harder else None
    lines = list(plan_head(found, seed_of(digest_of(marks), found, "each"), style, "each"))
    lines.append("unshared_values = false")
    for place, one in enumerate(sections):
        lines += ["", *_written(one, results, others=place < COMMONEST)]
    if next_level is not None:
        lines += ["", *_written_harder(next_level, [results[place] for place in harder])]
    own = {place for one in sections for place in one.students}
    text = "\n".join(lines) + "\n"
    return PersonalPlan(text, len(own), len(harder) if next_level is not None else 0)


def _slips_of(result: StudentMarks) -> dict[str, _Made]:
    """The slips of one student; of several that explain one answer, only the likeliest."""
    made: dict[str, _Made] = defaultdict(_Made)
    for problem in result.problems:
        for question in problem.questions:
            if question.slip:
                one = made[question.slip]
                one.lost += question.lost
                one.families.add(problem.family)
    return dict(made)


def _rungs(results: Sequence[StudentMarks]) -> dict[str, list[Rung]]:
    """By slip, the kinds of question at which it was made and that sheets ask, oftenest first."""
    known = {(one.id, rung.value): rung for one in SLIPS for rung in one.rungs}
    times: dict[str, Counter[Rung]] = defaultdict(Counter)
    for result in results:
        for question in result.questions:
            rung = known.get((question.slip, question.rung))
            if rung and section_of(rung) is not None:
                times[question.slip][rung] += 1
    order = list(Rung)
    return {
        slip: sorted(counts, key=lambda rung: (-counts[rung], order.index(rung)))
        for slip, counts in times.items()
    }


def _sections(
    made: Sequence[Mapping[str, _Made]], rungs: Mapping[str, Sequence[Rung]]
) -> list[_SlipSection]:
    """The sections, the slip that most students made first."""
    found: list[_SlipSection] = []
    room = Counter({place: MOST_SLIPS for place, slips in enumerate(made) if slips})
    left = {slip for slips in made for slip in slips if slip in rungs}
    while left and len(found) < MOST_SECTIONS - 1:
        # Those first who have nothing yet; a slip is for whom it is among the costliest.
        wanted = {slip: [p for p, s in enumerate(made) if slip in s and room[p]] for slip in left}
        slip = max(
            sorted(left),
            key=lambda s: (sum(room[p] == MOST_SLIPS for p in wanted[s]), len(wanted[s])),
        )
        left.remove(slip)
        takers = [p for p in wanted[slip] if _among_costliest(made[p], slip, room[p], left)]
        for section in _of_slip(slip, rungs[slip], takers, made):
            if len(found) < MOST_SECTIONS - 1:
                found.append(section)
                room.subtract(section.students)
    return sorted(found, key=lambda one: -len(one.students))


def _among_costliest(slips: Mapping[str, _Made], slip: str, room: int, left: set[str]) -> bool:
    """Whether fewer than ``room`` of the slips that are yet to come cost the student more."""
    dearer = [s for s in slips if s in left and slips[s].lost > slips[slip].lost]
    return len(dearer) < room


def _of_slip(
    slip: str, rungs: Sequence[Rung], takers: Sequence[int], made: Sequence[Mapping[str, _Made]]
) -> Iterator[_SlipSection]:
    """Sections for those who made one slip; more than one where no family is new to them all."""
    if not takers:
        return
    met = set().union(*(made[place][slip].families for place in takers))
    for rung in rungs:
        section = section_of(rung)
        assert section is not None
        section = replace(section, slips=(slip,))
        fresh = _families(section, rung, met, lambda row: row.name not in met)
        if fresh:
            count = PROBLEMS if len(fresh) > 1 else 1
            yield _SlipSection(replace(section, families=fresh, count=count), tuple(takers))
            return
    unserved = list(takers)
    section = section_of(rungs[0])
    assert section is not None
    section = replace(section, slips=(slip,))
    for name in _families(section, rungs[0], met, lambda row: row.name in met):
        served = tuple(p for p in unserved if name not in made[p][slip].families)
        if served:
            yield _SlipSection(replace(section, families=(name,), count=1), served)
            unserved = [place for place in unserved if place not in served]


def _families(
    section: PlanSection, rung: Rung, met: set[str], wanted: Callable[[Family], bool]
) -> tuple[str, ...]:
    """Families on which the slip shows: those like the ones it was made at first."""
    groups = {group_of(name) for name in met}
    deepest = max((row.level for row in FAMILIES if row.name in met), default=LEVELS[-1])
    rows = [row for row in FAMILIES if wanted(row) and kind(rung).fits(row)]
    rows.sort(key=lambda row: (group_of(row.name) not in groups, row.level > deepest, row.level))
    fit = (r.name for r in rows if likely(r.name, section) and can_ask(r.name, section))
    chosen = set(islice(fit, MOST_FAMILIES))
    return tuple(row.name for row in FAMILIES if row.name in chosen)


def _harder(results: Sequence[StudentMarks]) -> PlanSection | None:
    """Circuits of the level above those that were asked, and what a climb would ask of them."""
    asked = {problem.family for result in results for problem in result.problems}
    level = max((row.level for row in FAMILIES if row.name in asked), default=LEVELS[0])
    section = PlanSection(levels=(min(level + 1, LEVELS[-1]),), count=PROBLEMS)
    return section if pool(section) else None


def _written(one: _SlipSection, results: Sequence[StudentMarks], *, others: bool) -> Iterator[str]:
    section = one.section
    (slip,) = section.slips
    yield "[[sections]]"
    yield f"# {say('follow-up.comment-slip', slip=slip_words(slip), count=len(one.students))}"
    yield from toml_lines(
        task=section.task,
        families=section.families,
        problems=section.count,
        ask=[rung for rung in Rung if rung in section.ask],
        slips=section.slips,
    )
    yield from _students([results[place] for place in one.students])
    if others:
        yield f"# {say('follow-up.comment-others')}"
        yield "others = true"


def _written_harder(section: PlanSection, students: Sequence[StudentMarks]) -> Iterator[str]:
    yield "[[sections]]"
    yield f"# {say('follow-up.comment-harder')}"
    yield f"levels = [{section.levels[0]}]"
    yield f"problems = {section.count}"
    yield from _students(students)


def _students(students: Sequence[StudentMarks]) -> Iterator[str]:
    """What a plan calls them (``sheets/addressed.py``), each once."""
    yield from toml_lines(students=list(dict.fromkeys(map(_called, students))))


def _called(student: StudentMarks) -> str:
    texts = (plain(student.id).strip(), plain(student.name).strip())
    return next(filter(None, texts), str(student.number))
