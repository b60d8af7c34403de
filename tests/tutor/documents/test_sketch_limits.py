"""What a key prints as the limits of a sketch is what marking takes: sketches by lot, in and out.

The limits are read off the printed statements alone, as a teacher with a red pen reads them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from random import Random

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.generate.sketch import generate, typed
from rungwise.problems.grading.grade import grade
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.questions.model import Problem, Question, Rung, sketch_of
from rungwise.problems.sketches.compare import agree
from rungwise.problems.sketches.model import GainSketch, PhaseSketch, Region
from rungwise.problems.sketches.write import write
from rungwise.tutor.documents.pages_marking import counts_as_right

from tests.support.word_corpus import random_ladder

SEEDS = 2
_RANGE = re.compile(r"from (\S+ \S+) to (\S+ \S+)$")


@dataclass(frozen=True)
class Printed:
    """The limits of one sketch as they are printed."""

    angles: tuple[int, ...]
    breaks: tuple[tuple[float, float], ...]
    jumps: tuple[tuple[float, float], ...]
    levels: tuple[tuple[str, float, float], ...]
    as_one: tuple[tuple[int, float, float], ...]
    level_as_one: tuple[tuple[float, float], ...]


def printed(question: Question) -> Printed:
    found: dict[str, list[tuple[str, float, float]]] = {}
    angles: tuple[int, ...] = ()
    for told in counts_as_right(question):
        label = told.split(":")[0]
        if told.startswith(("slopes", "angles")):
            listed = told.split(": ")[1].split(";")[0].replace("−", "-").replace("°", "")
            angles = tuple(int(text) for text in listed.split(", "))
        elif match := _RANGE.search(told):
            kind = re.sub(r"\d+", "#", label).split(" #")[0]
            kind = "one" if "as one" in label else "level one" if label.endswith("then") else kind
            kind = "level" if label.startswith("level") and kind != "level one" else kind
            unit = "dB" if kind.startswith("level") else "Hz"
            low, high = (float(read_quantity(text, unit).value) for text in match.groups())
            found.setdefault(kind, []).append((label, low, high))
    plain = {kind: tuple((low, high) for _, low, high in ranges) for kind, ranges in found.items()}
    return Printed(
        angles,
        plain.get("break", plain.get("middle of turn", ())),
        plain.get("jump", ()),
        tuple(found.get("level", ())),
        tuple((int(re.findall(r"\d+", s)[0]) - 1, a, b) for s, a, b in found.get("one", ())),
        plain.get("level one", ()),
    )


def asked(rung: Rung, seed: int) -> list[tuple[Problem, Question]]:
    return [(p, q) for p in _problems(seed) for q in p.questions if q.rung is rung]


@cache
def _problems(seed: int) -> list[Problem]:
    """One of every family, and circuits that nobody would build."""
    problems = [generate(seed, family=family.name) for family in FAMILIES]
    return problems + [typed(random_ladder(n)) for n in range(40 * seed, 40 * seed + 40)]


def height(sketch: GainSketch, label: str) -> float:
    """The height of the piece that a printed level is of."""
    if not sketch.breaks:
        return sketch.level
    number = int(re.findall(r"\d+", label)[0])
    return sketch.heights[number - 1]


def with_height(sketch: GainSketch, label: str, wanted: float) -> GainSketch:
    return replace(sketch, level=sketch.level + wanted - height(sketch, label))


def four(frequency: float) -> float:
    return float(f"{frequency:.3e}")


@pytest.mark.parametrize("seed", range(SEEDS))
def test_limits_of_a_gain(seed: int) -> None:
    chance, inside, outside = Random(seed), 0, 0
    for problem, question in asked(Rung.GAIN_SKETCH, seed):
        limits, truth = printed(question), sketch_of(question.truth)
        assert isinstance(truth, GainSketch)
        assert limits.angles == truth.slopes
        assert len(limits.breaks) == len(truth.breaks)
        known = facts(problem.ladder)
        for _ in range(6):
            places = [low + (high - low) * chance.random() for low, high in limits.breaks]
            places = [four(place) for place in places]
            if any(b <= a for a, b in pairwise(places)):
                continue
            label, low, high = chance.choice(limits.levels)
            drawn = GainSketch(limits.angles, tuple(places))
            drawn = with_height(drawn, label, low + 0.02 + (high - low - 0.04) * chance.random())
            drawn = replace(drawn, level=round(drawn.level, 2))
            offs = [
                max(bottom - height(drawn, there), height(drawn, there) - top)
                for there, bottom, top in limits.levels
            ]
            if abs(max(offs)) < 0.02:
                continue
            right = max(offs) < 0
            assert agree(truth, drawn) is right, (write(truth), write(drawn), limits)
            inside += right
            # Just outside one limit, everything else as it should be.
            good = truth
            for label, low, high in limits.levels:
                for beyond in (low - 0.03, high + 0.03):
                    off = with_height(good, label, beyond)
                    assert not agree(truth, off), (write(truth), write(off), label)
                    outside += 1
            for number, (low, high) in enumerate(limits.breaks):
                for beyond in (low / 1.005, high * 1.005):
                    moved = [*truth.breaks]
                    moved[number] = beyond
                    if moved == sorted(moved):
                        off = replace(truth, breaks=tuple(moved))
                        label, bottom, top = limits.levels[0]
                        off = with_height(off, label, (bottom + top) / 2)
                        assert not agree(truth, off), (write(truth), write(off), number)
                        outside += 1
        # The typed sketch meets the same judge.
        for drawn in (truth, replace(truth, level=truth.level + 2.6)):
            if abs(drawn.level) < 900:
                found = grade(problem, question, write(drawn), known)
                assert found.passed is agree(truth, drawn)
        slopes = list(truth.slopes)
        # Between breaks that may be drawn as one there may be any slope.
        free = {number + 1 for number, *_ in limits.as_one}
        number = chance.choice([n for n in range(len(slopes)) if n not in free])
        slopes[number] += chance.choice((20, -20))
        assert not agree(truth, replace(truth, slopes=tuple(slopes)))
    assert inside > 200 and outside > 1000, (inside, outside)


@pytest.mark.parametrize("seed", range(SEEDS))
def test_limits_of_a_phase(seed: int) -> None:
    chance, inside, outside = Random(seed), 0, 0
    for _, question in asked(Rung.PHASE_SKETCH, seed):
        limits, truth = printed(question), sketch_of(question.truth)
        assert isinstance(truth, PhaseSketch)
        assert (limits.angles[0], limits.angles[-1]) == (truth.start, truth.end)
        for _ in range(6):
            turns, jumps = (
                sorted(four(low + (high - low) * chance.random()) for low, high in ranges)
                for ranges in (limits.breaks, limits.jumps)
            )
            places = [place for place, _ in truth.turns], [place for place, _ in truth.jumps]
            drawn = moved(truth, turns, jumps, 360 * chance.choice((-1, 0, 1)))
            fits = all(
                low <= place <= high
                for ranges, mine in ((limits.breaks, turns), (limits.jumps, jumps))
                for (low, high), place in zip(ranges, mine, strict=True)
            )
            if fits:
                assert agree(truth, drawn), (write(truth), write(drawn))
                inside += 1
            for kind, ranges in enumerate((limits.breaks, limits.jumps)):
                for number, (low, high) in enumerate(ranges):
                    for beyond in (low / 1.005, high * 1.005):
                        mine = [list(places[0]), list(places[1])]
                        mine[kind][number] = beyond
                        if mine[kind] == sorted(mine[kind]):
                            assert not agree(truth, moved(truth, *mine))
                            outside += 1
        for by in (90, -90, 180):
            assert not agree(truth, moved(truth, *places, by))
    assert inside > 200 and outside > 1000, (inside, outside)


def moved(truth: PhaseSketch, turns: list[float], jumps: list[float], by: int = 0) -> PhaseSketch:
    """The right turns and jumps at other places, the whole so many degrees higher."""
    return PhaseSketch(
        truth.start + by,
        tuple((place, turn) for place, (_, turn) in zip(turns, truth.turns, strict=True)),
        tuple((place, jump) for place, (_, jump) in zip(jumps, truth.jumps, strict=True)),
    )


def test_what_may_be_drawn_as_one() -> None:
    """Two breaks that lie near each other: the one for both, and its height, as printed."""
    tried = levels = 0
    for seed in range(SEEDS):
        for _, question in asked(Rung.GAIN_SKETCH, seed):
            limits, truth = printed(question), sketch_of(question.truth)
            assert isinstance(truth, GainSketch)
            heights = iter(limits.level_as_one)
            for first, low, high in limits.as_one:
                slopes = truth.slopes[: first + 1] + truth.slopes[first + 2 :]
                between = f"level of the flat piece between breaks {first + 1} and {first + 2}"
                flat = any(told == between for told, *_ in limits.levels)
                label, bottom, top = limits.levels[0]
                if flat:
                    label, (bottom, top) = f"at break {first + 1}", next(heights)
                elif label.split()[-1].isdigit() and int(label.split()[-1]) > first + 1:
                    label = f"at break {int(label.split()[-1]) - 1}"
                for place, height_, right in (
                    (low * 1.002, bottom + 0.01, True),
                    (high / 1.002, top - 0.01, True),
                    ((low * high) ** 0.5, bottom - 0.03, False),
                    ((low * high) ** 0.5, top + 0.03, False),
                    (low / 1.005, (bottom + top) / 2, False),
                    (high * 1.005, (bottom + top) / 2, False),
                ):
                    if high < low * 1.005 and right:
                        continue
                    breaks = (*truth.breaks[:first], place, *truth.breaks[first + 2 :])
                    drawn = with_height(GainSketch(slopes, breaks), label, height_)
                    if len(limits.levels) == 1 or not right:
                        assert agree(truth, drawn) is right, (write(truth), write(drawn), right)
                        tried += 1
                        levels += flat
    assert tried > 20 and levels > 5, (tried, levels)


def test_limits_of_a_map() -> None:
    """All regions exactly: one root more, one less, or elsewhere is wrong."""
    for problem, question in asked(Rung.MAP_SKETCH, 0)[::3]:
        truth = sketch_of(question.truth)
        [told] = counts_as_right(question)
        assert "in these regions" in told
        assert grade(problem, question, write(truth)).passed
        for region in Region:
            by = 2 if region in (Region.AXIS, Region.PAIR) else 1
            counts = dict(truth.poles)
            counts[region] = counts.get(region, 0) + by
            more = replace(truth, poles=tuple(counts.items()))
            assert not grade(problem, question, write(more)).passed
