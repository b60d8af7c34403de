"""Imports stand at the head of a module, but for those of commands and of what may be missing."""

from __future__ import annotations

import ast
import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
COMMANDS = "tutor/cli"
"""Where imports belong into functions: a command loads what it needs, and nothing else."""
EXTRAS = {"distributed", "font-source-sans-pro", "pypdf", "typst"}
"""What an optional extra installs (``paper``, ``cluster``)."""
SOME_SYSTEMS = {"resource", "termios"}
"""Modules that Windows lacks."""

LEFT = {
    "problems/generate": 4,
    "problems/grading": 5,
    "problems/sheets": 6,
    "problems/slips": 1,
    "tutor/classroom/handins": 4,
    "tutor/classroom/interchange": 1,
    "tutor/classroom/making": 5,
    "tutor/classroom/marking": 3,
    "tutor/coach": 14,
    "tutor/documents": 20,
    "tutor/documents/drawings": 1,
    "tutor/figures/schematic": 1,
    "tutor/files": 2,
    "tutor/language": 4,
    "tutor/learning": 31,
    "tutor/phrases": 6,
    "tutor/plain": 14,
    "tutor/screens": 7,
    "tutor/screens/answers": 9,
    "tutor/screens/bench": 2,
    "tutor/screens/compat": 4,
    "tutor/screens/drill": 15,
    "tutor/screens/opening": 25,
    "tutor/screens/rehearsal": 1,
    "tutor/screens/sheet": 2,
    "tutor/store": 5,
}
"""Imports in functions by package: what start-up does without, or is still to be moved.

A number may only fall.  Where a screen opens another, a function given by ``cli`` would do.
"""


INDENTED = re.compile(r"^[ \t]+(?:from|import)\b|[:;][ \t]*(?:from|import)\b", re.MULTILINE)
"""Where an import may be that is not at the head."""


def late() -> Iterator[tuple[str, str]]:
    """(package, what is imported) of every import inside a function."""
    for room in ("problems", "tutor"):
        for path in sorted((ROOT / room).rglob("*.py")):
            package = path.parent.relative_to(ROOT).as_posix()
            text = path.read_text("utf-8")
            # A tree takes long, and most modules have imports at their head alone.
            tree = ast.parse(text if INDENTED.search(text) else "")
            for statement in in_functions(tree):
                names = {alias.name for alias in statement.names}
                if isinstance(statement, ast.ImportFrom) and not statement.level:
                    names = {str(statement.module)}
                if not {name.split(".")[0] for name in names} <= EXTRAS | SOME_SYSTEMS:
                    yield package, f"{path.relative_to(ROOT)}: {ast.unparse(statement)}"


def in_functions(tree: ast.Module) -> list[ast.Import | ast.ImportFrom]:
    """The imports inside functions, those of functions within functions once."""
    return list(
        {
            id(node): node
            for function in ast.walk(tree)
            if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef)
            for node in ast.walk(function)
            if isinstance(node, ast.Import | ast.ImportFrom)
        }.values()
    )


def test_imports_stand_at_the_head_of_a_module() -> None:
    found = [(package, what) for package, what in late() if package != COMMANDS]
    counts = Counter(package for package, _ in found)
    over = {package for package, count in counts.items() if count > LEFT.get(package, 0)}
    assert not [what for package, what in found if package in over], over


def test_an_import_in_a_function_is_seen() -> None:
    code = "import a\ndef f():\n    from b import c\n    async def g():\n        import d\n"
    found = [ast.unparse(node) for node in in_functions(ast.parse(code))]
    assert sorted(found) == ["from b import c", "import d"]


def test_the_extras_are_those_of_the_project() -> None:
    """What is named here is what pyproject.toml offers beyond what is always there."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    offered = project["optional-dependencies"]
    named = {line.split(">")[0] for extra in ("paper", "cluster") for line in offered[extra]}
    assert named == EXTRAS
    assert set(offered) == {"paper", "cluster", "test"}
