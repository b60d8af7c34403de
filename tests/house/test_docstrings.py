"""Public functions say what each of their parameters is (``docstrings.py`` has the rule)."""

from __future__ import annotations

import ast

import pytest

from tests.house.docstrings import HOUSE, ROOT, missing, silences


def test_every_parameter_is_told_about() -> None:
    assert [str(found) for found in silences()] == []


def definition(text: str) -> ast.FunctionDef:
    (function,) = ast.parse(text).body
    assert isinstance(function, ast.FunctionDef)
    return function


@pytest.mark.parametrize(
    ("docstring", "left"),
    [
        ("Add.", ("left", "right")),
        ("Add left and right.", ("left", "right")),
        ("Add ``left`` to ``right``.", ()),
        ("Add ``left`` to it.", ("right",)),
        ("Add.\n\n    Args:\n        left: in ohms.\n        right: in ohms.", ()),
        ("Add.\n\n    Args:\n        left: in ohms,\n            right: so.", ("right",)),
        ("Add.\n\n    Args:\n        left: in ohms.\n\n    right: in ohms.", ("right",)),
        ("Add to ``right``.\n\n    Args:\n        left: in ohms.\n\n    More.", ()),
    ],
)
def test_what_counts_as_told(docstring: str, left: tuple[str, ...]) -> None:
    assert missing(definition(f'def add(left, right):\n    """{docstring}"""')) == left


@pytest.mark.parametrize(
    ("parameters", "method", "left"),
    [
        ("one", False, ()),
        ("self, one", True, ()),
        ("self, one, two", True, ("one", "two")),
        ("one, *more", False, ("one", "more")),
        ("one, /, two, *, three, **four", False, ("one", "two", "three", "four")),
        ("one, _unused", False, ()),
    ],
)
def test_which_parameters_count(parameters: str, method: bool, left: tuple[str, ...]) -> None:
    assert missing(definition(f"def f({parameters}): ..."), method) == left


def test_every_folder_is_looked_at() -> None:
    tops = {path.parent.name for path in ROOT.glob("*/__init__.py")} - {"tests"}
    assert tops == set(HOUSE)
