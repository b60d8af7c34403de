"""What seeds mean, held for ever.  ``python -m tests.golden.make`` adds a new family's."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES, Family, find
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.questions.model import FORMAT, Choice, Rung

from tests.golden import make
from tests.support.samples import sample

GOLDEN = make.read()
BOOKS = {book: make.read(book) for book in make.BOOKS}
each_book = pytest.mark.parametrize("book", make.BOOKS, ids=lambda b: b.file.stem)


@each_book
def test_every_family_of_a_format_is_in_its_book(book: make.Book) -> None:
    names = {name for name, *rest in BOOKS[book] if rest}
    assert names == {row.name for row in book.rows}
    assert book.format < FORMAT or book.rows == FAMILIES


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_seeds_mean_what_they_always_meant(family: Family) -> None:
    """Every seed of the first format and the newest; of those between one by turns, or all."""
    for book in make.BOOKS:
        if family not in book.rows:
            continue
        turn = make.SEEDS[FAMILIES.index(family) % 3 :][:1]
        between = 1 < book.format < FORMAT
        seeds = sample(turn, make.SEEDS) if between else make.SEEDS
        told = {str(seed) for seed in seeds}
        kept = {k: e for k, e in BOOKS[book].items() if k[0] == family.name and k[1] in told}
        made = {make.key(entry): make.plain(entry) for entry in book.make(family, seeds)}
        assert kept and made.keys() == kept.keys(), book.file
        for key, entry in kept.items():
            assert made[key] == entry, book.file


@pytest.mark.parametrize("book", make.BARE, ids=lambda b: b.file.stem)
def test_seeds_lead_to_the_families_they_always_led_to(book: make.Book) -> None:
    for entry in book.rest():
        assert BOOKS[book][make.key(entry)] == make.plain(entry)


def test_a_bare_book_holds_what_a_problem_is_and_no_words() -> None:
    problem = generate(1, family="series-fed-low-pass")
    told_otherwise = tuple(
        replace(
            q,
            values=(*q.values, ("letters", "other words")),
            choices=tuple(Choice(c.id, (("formula", "in other words"),)) for c in q.choices),
        )
        for q in problem.questions
    )
    assert make.bare(replace(problem, questions=told_otherwise)) == make.bare(problem)
    first, *others = problem.questions
    wrong = replace(first, truth="shunt" if first.truth == "series" else "series")
    assert make.bare(replace(problem, questions=(wrong, *others))) != make.bare(problem)


def test_sketches_are_asked_of_the_circuits_that_are_analysed() -> None:
    for (family, seed, *_), entry in BOOKS[make.SKETCHES].items():
        assert entry["circuit"] == GOLDEN[family, seed, ""]["circuit"]


def test_golden_circuits_read_back_to_their_facts() -> None:
    for entry in GOLDEN.values():
        known = facts(read_circuit(entry["circuit"]))
        assert known.type_exact is find(entry["family"]).type
        for question in entry["questions"]:
            if question["rung"] == Rung.CORNER:
                assert known.corner_hz == pytest.approx(question["truth"], rel=1e-11)
            if question["rung"] == Rung.POLES:
                assert known.transfer.order == question["truth"]
