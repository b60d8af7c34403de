"""The words of looks: every entry that code can ask for is there, and says one thing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.look import make_look
from rungwise.problems.hints.counterfact import counterfact
from rungwise.problems.questions.looks import LOOK_KINDS, LookKind, look_row
from rungwise.tutor.language.texts import table
from rungwise.tutor.phrases import looks as words


def entries(found: Any, path: str = "") -> Iterator[tuple[str, str]]:
    for key, value in found.items():
        if isinstance(value, str):
            yield f"{path}{key}", value
        else:
            yield from entries(value, f"{path}{key}.")


def test_every_kind_and_every_choice_has_words() -> None:
    for row in LOOK_KINDS:
        look = make_look(1, row.kind)
        assert words.title(row.kind)
        assert words.prompt(look).endswith("?")
        for answer in row.answers:
            assert words.choice(look, answer)


def test_choices_are_told_apart() -> None:
    for row in LOOK_KINDS:
        look = make_look(1, row.kind)
        said = [words.choice(look, answer) for answer in row.answers]
        assert len(set(said)) == len(said)


def test_verbs_come_in_both_numbers() -> None:
    keys = {key for key, _ in entries(table("looks"))}
    for key in keys:
        if key.endswith("-one") and not key.endswith(("-one-one", "look-one", "step-one")):
            other = key.removesuffix("-one")
            assert f"{other}-many" in keys or other.endswith("resistances"), key


@pytest.mark.parametrize("kind", LookKind)
def test_sentences_are_whole(kind: LookKind) -> None:
    for seed in range(2000, 2012):
        look = make_look(seed, kind, hard=seed % 4)
        said = [words.why(look), *(words.hint(look, level) for level in (1, 2, 3))]
        said += [
            words.counter(look, counterfact(look, answered))
            for answered in look.answers
            if answered != look.truth
        ]
        for answered in look.answers:
            assert words.alike(look, answered).endswith(":")
        for text in said:
            assert text[0].isupper() or text.startswith("f₀"), text
            assert text[-1] in ".?", text
            assert not re.search(r"[{}]|  | [.,;:]|\.\.|None", text), text
            assert len(text) <= 330, text


def test_a_circuit_is_one_line() -> None:
    ladder = read_circuit("source 50 Ω; shunt L1 = 1 mH || C1 = 1 nF; series R1 = 1 kΩ")
    assert words.circuit(ladder) == "source Rs; shunt L1 || C1; series R1"
    assert words.circuit(ladder, valued=True).startswith("source 50 Ω; shunt L1 = 1 mH")


def test_circuits_that_a_look_shows() -> None:
    for kind in LookKind:
        look = make_look(3, kind)
        facing = look_row(kind).facing
        count = {"pair": 2, "circuits": 4, "twins": 5}.get(facing.value, int(not facing.plotted))
        assert len(words.circuits(look)) == count
