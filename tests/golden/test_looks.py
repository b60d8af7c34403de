"""What the seeds of looks mean, held for ever; see ``python -m tests.golden.make_looks``."""

from __future__ import annotations

from collections import Counter

from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.look import look_of
from rungwise.problems.questions.looks import LookKind

from tests.golden import make_looks

KEPT = make_looks.kept()


def test_seeds_mean_the_looks_they_always_meant() -> None:
    made = list(make_looks.fresh())
    assert len(made) == len(KEPT)
    for now, was in zip(made, KEPT, strict=True):
        assert now == was


def test_the_book_holds_every_kind_and_all_answers_to_a_type() -> None:
    kinds = Counter(entry["kind"] for entry in KEPT)
    assert kinds.keys() == set(LookKind)
    assert min(kinds.values()) >= make_looks.SEEDS_A_KIND
    assert len(KEPT) >= 300
    types = {entry["truth"] for entry in KEPT if entry["kind"] == LookKind.TYPE}
    assert types == {"low-pass", "high-pass", "band-pass", "notch", "flat"}


def test_circuits_read_back_are_asked_the_same() -> None:
    single = [e for e in KEPT if "shown" not in e and "values" not in e]
    for entry in single:
        look = look_of(read_circuit(entry["circuit"]), LookKind(entry["kind"]))
        assert look is not None
        assert (look.truth, look.structure) == (entry["truth"], entry["structure"])
