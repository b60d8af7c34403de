"""The quick tests: what is listed is there, and no room is without one."""

from __future__ import annotations

import ast
from pathlib import Path

from tests.support.quick import FILES, QUICK

ROOT = Path(__file__).parents[2]


def functions(file: str) -> set[str]:
    tree = ast.parse((ROOT / file).read_text("utf-8"))
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef)
    return {node.name for node in tree.body if isinstance(node, kinds)}


def test_what_is_listed_is_there() -> None:
    for name in sorted(QUICK):
        file, _, function = name.partition("::")
        assert (ROOT / file).is_file(), name
        assert not function or function in functions(file), name
        assert not function or file not in QUICK, f"{name}: the whole file is listed already"


def test_every_room_has_a_quick_test() -> None:
    for house in ("problems", "tutor"):
        rooms = {path.parent.name for path in (ROOT / house).glob("*/__init__.py")}
        tested = {Path(file).parts[2] for file in FILES if Path(file).parts[1] == house}
        # What has no tests of its own is tested by those who use it.
        has_tests = {path.parent.name for path in (ROOT / "tests" / house).glob("*/test_*.py")}
        assert rooms & has_tests <= tested, sorted(rooms & has_tests - tested)
        assert has_tests
