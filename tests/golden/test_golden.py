"""What seeds mean, held for ever.  ``python -m tests.golden.make`` adds a new family's."""

from __future__ import annotations

from collections import Counter

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES, Family, find
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.questions.model import Rung

from tests.golden import make

GOLDEN = make.read()
BOOKS = {book: make.read(book) for book in make.BOOKS}


@pytest.mark.parametrize("book", make.BOOKS, ids=lambda b: b.file.stem)
def test_there_are_three_golden_problems_of_every_family(book: make.Book) -> None:
    assert Counter(name for name, _ in BOOKS[book]) == {f.name: 3 for f in FAMILIES}


@pytest.mark.parametrize("book", make.BOOKS, ids=lambda b: b.file.stem)
@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_seeds_mean_what_they_always_meant(family: Family, book: make.Book) -> None:
    for (name, seed), entry in BOOKS[book].items():
        if name == family.name:
            made = make.record(book.generate(seed, family=name))
            assert made["circuit"] == entry["circuit"]
            for now, then in zip(made["questions"], entry["questions"], strict=True):
                assert now == then
            assert made == entry


def test_sketches_are_asked_of_the_circuits_that_are_analysed() -> None:
    for key, entry in BOOKS[make.SKETCHES].items():
        assert entry["circuit"] == GOLDEN[key]["circuit"]


def test_golden_circuits_read_back_to_their_facts() -> None:
    for entry in GOLDEN.values():
        known = facts(read_circuit(entry["circuit"]))
        assert known.type is find(entry["family"]).type
        for question in entry["questions"]:
            if question["rung"] == Rung.CORNER:
                assert known.corner_hz == pytest.approx(question["truth"], rel=1e-11)
            if question["rung"] == Rung.POLES:
                assert known.transfer.order == question["truth"]
