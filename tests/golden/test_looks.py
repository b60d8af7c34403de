"""What the seeds of looks mean, held for ever; see ``python -m tests.golden.make_looks``."""

from __future__ import annotations

from collections import Counter

import pytest
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.look import look_of
from rungwise.problems.questions.looks import LookKind

from tests.golden import make_looks

KEPT = {since: make_looks.kept(since) for since in make_looks.FORMATS}
each_format = pytest.mark.parametrize("since", make_looks.FORMATS)


@each_format
def test_seeds_mean_the_looks_they_always_meant(since: int) -> None:
    made = list(make_looks.fresh(since))
    assert len(made) == len(KEPT[since])
    for now, was in zip(made, KEPT[since], strict=True):
        assert now == was


@each_format
def test_the_book_holds_every_kind_of_its_format(since: int) -> None:
    kinds = Counter(entry["kind"] for entry in KEPT[since])
    assert kinds.keys() == set(make_looks.kinds(since))
    assert min(kinds.values()) >= make_looks.SEEDS_A_KIND
    assert {entry["format"] for entry in KEPT[since]} == {since}


def test_the_first_book_holds_all_answers_to_a_type() -> None:
    assert len(KEPT[1]) >= 300
    types = {entry["truth"] for entry in KEPT[1] if entry["kind"] == LookKind.TYPE}
    assert types == {"low-pass", "high-pass", "band-pass", "notch", "flat"}


@each_format
def test_circuits_read_back_are_asked_the_same(since: int) -> None:
    single = [e for e in KEPT[since] if "shown" not in e and "values" not in e]
    for entry in single:
        look = look_of(read_circuit(entry["circuit"]), LookKind(entry["kind"]))
        assert look is not None
        assert (look.truth, look.structure) == (entry["truth"], entry["structure"])
