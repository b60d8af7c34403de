"""Errors have words, and every word is of an error."""

from __future__ import annotations

import ast
import tomllib
from pathlib import Path

import pytest
from rungwise.problems.catalogue.families import find
from rungwise.problems.circuits.model import Element, Kind
from rungwise.problems.quantities.errors import WordedError
from rungwise.tutor.language.errors import worded
from rungwise.tutor.language.texts import PLACEHOLDER

ROOT = Path(__file__).parents[3]


def words() -> dict[str, str]:
    """Key → text of everything in the file."""
    tables = tomllib.loads((ROOT / "content" / "errors.toml").read_text("utf-8"))
    return {f"{name}.{key}": text for name, found in tables.items() for key, text in found.items()}


def calls() -> list[tuple[str, set[str]]]:
    """(key, names of the values) of every call in problems/ whose first word is such a key."""
    known, found = set(words()), []
    tables = {key.partition(".")[0] for key in known}
    for path in (ROOT / "problems").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
                key = node.args[0].value
                error = getattr(node.func, "id", "").endswith("Error")
                if error and isinstance(key, str) and key.partition(".")[0] in tables:
                    found.append((key, {str(word.arg) for word in node.keywords}))
    return found


def test_every_error_that_is_raised_has_words_for_its_values() -> None:
    texts = words()
    assert len(calls()) >= len(texts) - 2  # UnknownFamily picks one of two
    for key, values in calls():
        assert {m[1] for m in PLACEHOLDER.finditer(texts[key]) if m[1]} <= values, key


def test_no_words_are_left_over() -> None:
    raised = {key for key, _ in calls()} | {"family.unknown", "family.unknown-near"}
    assert set(words()) == raised


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
