"""Errors have words, and every word is of an error."""

from __future__ import annotations

import ast
import pickle
import re
import tomllib
from functools import cache
from pathlib import Path

import pytest
from rungwise.problems.analysis.gain_type import Limit
from rungwise.problems.catalogue.families import find
from rungwise.problems.circuits.model import Element, Kind
from rungwise.problems.circuits.statement import NotationError
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.quantities.errors import WordedError, wording
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.quantities.units import UNITS, QuantityError
from rungwise.tutor.language.errors import worded
from rungwise.tutor.language.texts import PLACEHOLDER

MAKERS = ("Unclear", "ValueRefused", "Wording", "wording", "fail", "__init__")
READERS = ("decimal_to", "whole_of")
"""What makes a reader of values: one of the arguments is the key of what it refuses."""
KEY = re.compile(r"[a-z]+\.[a-z0-9-]+")
ROOT = Path(__file__).parents[3]


def words() -> dict[str, str]:
    """Key → text of everything in the file."""
    tables = tomllib.loads((ROOT / "content" / "errors.toml").read_text("utf-8"))
    return {f"{name}.{key}": text for name, found in tables.items() for key, text in found.items()}


@cache
def read() -> tuple[tuple[ast.Call, ...], frozenset[object]]:
    """Every call that is given something, and every constant, of the code."""
    calls, constants = [], set()
    for path in (*(ROOT / "problems").rglob("*.py"), *(ROOT / "tutor").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Constant):
                constants.add(node.value)
            elif isinstance(node, ast.Call) and node.args:
                calls.append(node)
    return tuple(calls), frozenset(constants)


def keys_of(node: ast.expr) -> list[str]:
    """The keys that a first argument may be."""
    if isinstance(node, ast.IfExp):
        return keys_of(node.body) + keys_of(node.orelse)
    found = isinstance(node, ast.Constant) and isinstance(node.value, str)
    return [node.value] if found and KEY.fullmatch(node.value) else []


def calls() -> list[tuple[str, set[str]]]:
    """(key, names of the values) of every call that makes an error or a wording of a key."""
    found = []
    for node in read()[0]:
        name = getattr(node.func, "id", "") or getattr(node.func, "attr", "")
        if name.endswith("Error") or name in (
            "Unclear",
            "ValueRefused",
            "Wording",
            "wording",
            "fail",
            "__init__",
        ):
            named = {str(word.arg) for word in node.keywords}
            found += [(key, named) for key in keys_of(node.args[0])]
        elif name in READERS:
            found += [(key, set()) for argument in node.args for key in keys_of(argument)]
    return found


def test_every_error_that_is_raised_has_words_for_its_values() -> None:
    texts, made = words(), calls()
    for key, values in made:
        assert {m[1] for m in PLACEHOLDER.finditer(texts[key]) if m[1]} <= values, key
    # Of these keys the call has but a name; the words are tried out where they are read.
    assert set(texts) - {key for key, _ in made} == {
        "family.unknown", "family.unknown-near", "list.either",
        *(f"noun.{unit.dimension}" for unit in UNITS.values()),
        "sketch.first-slope", "sketch.slope-after", "sketch.first-angle", "sketch.angle-after",
        "map.poles-where", "map.zeros-where", "map.no-poles", "map.no-zeros",
        "map.poles", "map.zeros", *(f"plan.near-{limit.value}" for limit in Limit),
    }  # fmt: skip


@pytest.mark.parametrize("limit", Limit)
def test_a_limit_that_is_too_near_is_told_with_both_levels(limit: Limit) -> None:
    text = words()[f"plan.near-{limit.value}"]
    assert {m[1] for m in PLACEHOLDER.finditer(text)} == {"found", "limit"}


def test_no_words_are_left_over() -> None:
    assert set(words()) <= read()[1]


def test_an_error_is_told_in_words() -> None:
    with pytest.raises(WordedError) as caught:
        Element(Kind.R, "L1")
    assert worded(caught.value) == (
        "'L1' cannot name a R: a name is the letter R and at most 11 letters, digits or underscores"
    )
    assert str(caught.value) == "circuit.bad-name: name = 'L1', kind = R"
    with pytest.raises(LookupError) as near:
        find("rc-low-pas")
    assert worded(near.value).startswith(
        "there is no family 'rc-low-pas'; did you mean rc-low-pass"
    )
    assert worded(ValueError("as it is")) == "as it is"


def test_an_error_within_an_error_is_told_in_words() -> None:
    with pytest.raises(NotationError) as caught:
        read_circuit("series R1 = 1,000")
    assert worded(caught.value) == (
        "line 1, column 14: “1,000” is here, where there should be a value such as 4.7 kΩ: the "
        "comma in “1,000” could be a decimal sign or group digits: write 1.000 or 1000"
    )


def test_an_error_is_the_same_value_however_often_it_is_made_and_is_carried_about() -> None:
    made = []
    for _ in range(2):
        with pytest.raises(QuantityError) as caught:
            read_quantity("4 m", "Ω")
        made.append(caught.value)
    carried = pickle.loads(pickle.dumps(made[0]))
    assert made[0].wording == made[1].wording == carried.wording
    assert hash(made[0].wording) == hash(carried.wording)
    assert (carried.position, carried.readings) == (made[0].position, made[0].readings)


def test_words_are_kept_as_they_are_whatever_the_screen_can_show(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told = wording("quantity.beyond", typed="“9 Ω”")
    before = worded(told)
    monkeypatch.setattr("rungwise.tutor.language.texts.ascii_screen", lambda: True)
    assert worded(told) == before == "“9 Ω” lies beyond 10⁻³⁰ to 10³⁰"
