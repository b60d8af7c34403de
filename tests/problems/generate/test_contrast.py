"""Circuits next to a look's: one change away, and exactly another answer."""

from __future__ import annotations

import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.topologies import structure
from rungwise.problems.circuits.model import Ladder, merged, valueless
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.changes import ChangeKind, changes, replacements
from rungwise.problems.generate.contrast import answer_of, contrast_look, nearest, neighbours
from rungwise.problems.generate.look_made import MAKERS
from rungwise.problems.questions.lookalikes import shape_of
from rungwise.problems.questions.looks import TYPES, LookKind, look_row

from tests.support.made_once import made_look
from tests.support.samples import sample
from tests.support.told import ENDS, near_one, passes

LOOKS = sample(10, 30)
SINGLE = list(LookKind)[:8]


def shapes(ladder: Ladder) -> set[str]:
    every = (*changes(valueless(ladder)), *replacements(valueless(ladder)))
    return {shape_of(change.ladder) for change in every}


@pytest.mark.parametrize(
    ("start", "kind", "found"),
    [
        ("series R1; shunt C1", ChangeKind.PARTS_SWAPPED, "series C1; shunt R1"),
        ("series R1; shunt L1 + C1", ChangeKind.ARMS_SWAPPED, "series L1 + C1; shunt R1"),
        ("source Rs; shunt C1; load RL", ChangeKind.TURNED, "source Rs; series C1; load RL"),
        ("series R1; shunt L1 + C1", ChangeKind.REJOINED, "series R1; shunt L1 || C1"),
        ("series L1; shunt C1; load RL", ChangeKind.STAGES_SWAPPED,
         "shunt C1; series L1; load RL"),
        ("series R1; series L1; shunt C1", ChangeKind.TAP, "series R1; shunt L1 + C1"),
        ("series R1; shunt C1", ChangeKind.LOAD, "series R1; shunt C1; load RL"),
        ("source Rs; shunt C1", ChangeKind.SOURCE, "shunt C1"),
        ("series R1; shunt C1", ChangeKind.EXCHANGED, "series R1; shunt L1"),
        ("series R1; shunt C1; series C2; shunt R2", ChangeKind.BUFFER,
         "series R1; shunt C1; buffer; series C2; shunt R2"),
        ("series R1; shunt L1 + C1", ChangeKind.REMOVED, "series R1; shunt L1"),
        ("series R1; shunt C1", ChangeKind.ADDED, "series R1; shunt C1 || L1"),
    ],
)  # fmt: skip
def test_each_kind_of_change(start: str, kind: ChangeKind, found: str) -> None:
    made = [c for c in changes(read_circuit(start)) if c.kind is kind]
    assert shape_of(read_circuit(found)) in {shape_of(c.ladder) for c in made}


def test_a_resistance_gives_way() -> None:
    made = [c.ladder for c in replacements(read_circuit("series R1; shunt R2"))]
    assert read_circuit("series R1; shunt C2") in made
    assert read_circuit("series L1; shunt R2") in made


def test_changes_name_their_parts_and_repeat_nothing() -> None:
    for seed in range(LOOKS):
        start = made_look(seed, LookKind.TYPE, seed % 4).ladder
        seen = {shape_of(start)}
        for change in changes(start):
            names = {e.name for x in (start, change.ladder) for e in x.elements()}
            assert set(change.parts) <= names
            assert shape_of(change.ladder) not in seen
            assert change.ladder.valued
            seen.add(shape_of(change.ladder))


@pytest.mark.parametrize("kind", SINGLE)
def test_neighbours_differ_by_one_change_and_in_the_answer(kind: LookKind) -> None:
    for seed in range(LOOKS):
        look = made_look(seed, kind, seed % 4)
        near = shapes(look.ladder)
        for contrast in neighbours(look):
            assert contrast.answer == answer_of(contrast.change.ladder, kind) != look.truth
            assert shape_of(contrast.change.ladder) in near


@pytest.mark.parametrize("kind", [kind for kind in LookKind if kind not in MAKERS])
def test_a_contrast_is_one_change_away_and_exactly_another_answer(kind: LookKind) -> None:
    found = 0
    for seed in range(LOOKS):
        look = made_look(seed, kind, seed % 4)
        other = contrast_look(look, seed)
        if other is None:
            continue
        found += 1
        assert other.kind is kind
        if look.shown:  # side by side, names are given anew
            near = {structure(change.ladder) for change in changes(valueless(look.ladder))}
            assert structure(other.ladder) in near
        else:
            assert shape_of(other.ladder) in shapes(look.ladder)
        assert other == contrast_look(look, seed)
        if kind in SINGLE:
            assert other.truth != look.truth
        if kind is LookKind.TYPE:
            types = [facts(near_one(each.ladder)).type.value for each in (look, other)]
            assert types == [look.truth, other.truth]
    assert found >= LOOKS // 2


def test_a_contrast_of_the_wanted_type() -> None:
    found = 0
    for seed in range(LOOKS):
        look = made_look(seed, LookKind.TYPE, seed % 4)
        for wanted in TYPES:
            other = contrast_look(look, seed, wanted) if wanted != look.truth else None
            found += other is not None
            assert other is None or other.truth == wanted
    assert found >= LOOKS


@pytest.mark.parametrize("kind", SINGLE)
def test_the_nearest_is_what_was_asked_for(kind: LookKind) -> None:
    for seed in range(LOOKS // 2):
        look = made_look(seed, kind, seed % 4)
        for answer in look_row(kind).answers:
            if answer == look.truth:
                continue
            found = nearest(look, kind, answer)
            assert found is not None
            assert found.valued
            assert answer_of(found, kind) == answer
            if kind is LookKind.TYPE:
                assert tuple(passes(found, end) for end in End) == ENDS[answer]
                assert facts(near_one(found)).type.value == answer


def test_one_change_is_nearer_than_two() -> None:
    start = read_circuit("series L1; shunt C1; load RL")
    found = nearest(start, LookKind.TYPE, "high-pass")
    assert found == read_circuit("series C1; shunt L1; load RL")


def test_what_touches_the_parts_in_question_comes_first() -> None:
    start = read_circuit("source Rs; series L1; shunt C1; series L2; load RL")
    for name in ("L1", "L2"):
        found = nearest(start, LookKind.TYPE, "band-pass", (name,))
        assert found is not None
        moved = merged(found).stages
        assert found != start
        assert len(moved) <= len(start.stages)


def test_a_circuit_without_values_has_neighbours_without_values() -> None:
    found = nearest(read_circuit("series R1; shunt C1"), LookKind.TYPE, "notch")
    assert found is not None
    assert not found.valued
