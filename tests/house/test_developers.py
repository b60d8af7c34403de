"""The house as DEVELOPERS.md tells it, and the habits that keep it so."""

from __future__ import annotations

import ast
import doctest
import re
from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
GUIDE = ROOT / "DEVELOPERS.md"
ROOMS = ("problems", "tutor")
MOST_FLAT = 4
"""Modules that may lie directly in a room's top folder."""


def modules(room: str) -> list[Path]:
    """All modules below a folder, packages' own files apart."""
    return sorted(p for p in (ROOT / room).rglob("*.py") if p.name != "__init__.py")


@dataclass(frozen=True)
class Written:
    """What is looked for in a module."""

    says: bool
    classes: tuple[str, ...]
    imports: tuple[ast.ImportFrom, ...]


@cache
def written(path: Path) -> Written:
    """A module read once, since its tree takes longer than all that is looked for in it."""
    tree = ast.parse(path.read_text("utf-8"))
    return Written(
        bool(ast.get_docstring(tree)),
        tuple(node.name for node in tree.body if isinstance(node, ast.ClassDef)),
        tuple(node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)),
    )


def listed() -> dict[str, set[str]]:
    """Folder ("tutor/screens", or "tutor" for what lies flat) → the modules named of it."""
    found: dict[str, set[str]] = defaultdict(set)
    folder = ""
    for line in GUIDE.read_text("utf-8").splitlines():
        if head := re.match(r"###+ `?((?:problems|tutor)[a-z/]*?)/?`?(?::|$)", line):
            folder = head[1]
        elif line.startswith("## "):
            folder = ""
        elif folder and (row := re.match(r"\| `([\w/]+\.py)` \|", line)):
            found[folder].add(f"{folder}/{row[1]}")
    return found


def test_the_guide_names_every_module_and_none_that_is_gone() -> None:
    named = set().union(*listed().values())
    there = {p.relative_to(ROOT).as_posix() for room in ROOMS for p in modules(room)}
    assert named - there == set(), "gone"
    assert there - named == set(), "not named"


def test_the_way_of_a_seed_runs_as_it_is_written() -> None:
    result = doctest.testfile(str(GUIDE), module_relative=False)
    assert result.attempted > 8
    assert result.failed == 0


def test_no_public_class_has_the_name_of_another() -> None:
    where = defaultdict(list)
    for room in ROOMS:
        for path in modules(room):
            for name in written(path).classes:
                if not name.startswith("_"):
                    where[name].append(path.relative_to(ROOT).as_posix())
    assert {name: paths for name, paths in where.items() if len(paths) > 1} == {}


@pytest.mark.parametrize("room", ROOMS)
def test_few_modules_lie_in_the_hall(room: str) -> None:
    assert len(list((ROOT / room).glob("*.py"))) <= MOST_FLAT


@pytest.mark.parametrize("room", ROOMS)
def test_every_module_says_what_it_holds(room: str) -> None:
    for path in (ROOT / room).rglob("*.py"):
        assert written(path).says, path


def test_no_module_imports_itself_by_way_of_others() -> None:
    """Also in functions and for types only: what imports nothing that is left is taken away."""
    arrows = _arrows()
    left = {name: set(to) for name, to in arrows.items()}
    while True:
        free = {name for name, to in left.items() if not to & left.keys()}
        if not free:
            break
        left = {name: to for name, to in left.items() if name not in free}
    assert sorted(left) == [], "these import each other in a circle"


def _arrows() -> dict[str, set[str]]:
    names = {}
    for room in ROOMS:
        for path in (ROOT / room).rglob("*.py"):
            name = path.relative_to(ROOT).with_suffix("").as_posix().replace("/", ".")
            names[name.removesuffix(".__init__")] = path
    found: dict[str, set[str]] = {}
    for name, path in names.items():
        package = name.split(".") if path.name == "__init__.py" else name.split(".")[:-1]
        to = found.setdefault(name, set())
        for node in written(path).imports:
            if node.level:
                base = package[: len(package) - node.level + 1]
                module = ".".join(base + ([node.module] if node.module else []))
                for alias in node.names:
                    whole = f"{module}.{alias.name}"
                    target = whole if whole in names else module
                    if target in names and names[target].name != "__init__.py":
                        to.add(target)
    return found
