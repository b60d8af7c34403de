"""Which parameters of public functions no docstring tells about.

    python -m tests.house.docstrings [FOLDER OR FILE ...]

prints them, a function a line (all of the product without a folder), and how many there are.

A public function of two parameters or more, ``self`` and ``cls`` not counted, says of each what
it is: in a line ``name: ...`` under ``Args:``, or in a sentence that has ``name`` in double
backticks.  Not counted are names with a leading underscore, what lies in a function or in such a
class, overloads, what overrides a method of another class of ours, which tells about it, what
Textual calls by its name, and commands, whose options have their own help.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
HOUSE = ("problems", "tutor", "content")

Function = ast.FunctionDef | ast.AsyncFunctionDef
_CALLED_BY_TEXTUAL = re.compile(
    r"(on|action|watch|validate|render|get_content)_|(render|compose|check_action)$"
)
_NOT_COUNTED = {"overload", "override", "command", "group", "setter"}


@dataclass(frozen=True)
class Silence:
    """A public function whose docstring leaves parameters out."""

    path: str
    """Of its file, from the top of the checkout."""
    line: int
    name: str
    """With its class: ``Climb.answer``."""
    missing: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.name}: {', '.join(self.missing)}"


def silences(*places: str) -> list[Silence]:
    """What is missing in all modules of these folders or files, by place.

    Raises:
        FileNotFoundError: there is no such place.
    """
    found = []
    for place in places or HOUSE:
        top = ROOT / place
        if not top.exists():
            raise FileNotFoundError(f"there is no {place} in {ROOT}")
        for path in [top] if top.is_file() else sorted(top.rglob("*.py")):
            found += _of_module(path.relative_to(ROOT).as_posix())
    return found


def missing(function: Function, method: bool = False) -> tuple[str, ...]:
    """The parameters that a function's docstring says nothing of.

    ``function`` is its definition; ``method`` says that its first parameter is the object or
    the class.
    """
    taken = function.args
    names = [a.arg for a in (*taken.posonlyargs, *taken.args)][method:]
    names += [a.arg for a in (taken.vararg, *taken.kwonlyargs, taken.kwarg) if a]
    names = [name for name in names if not name.startswith("_")]
    if len(names) < 2:
        return ()
    told = _told(ast.get_docstring(function) or "")
    return tuple(name for name in names if name not in told)


def _told(docstring: str) -> set[str]:
    """The names a docstring speaks of."""
    told = set(re.findall(r"``\*{0,2}(\w+)``", docstring))
    if block := re.search(r"^Args:\n((?: +.*\n|\n)+)", docstring + "\n", re.MULTILINE):
        # Only at the depth of the block: what stands deeper continues a line.
        told |= set(re.findall(r"^ {4}\*{0,2}(\w+):", block[1], re.MULTILINE))
    return told


def _of_module(path: str) -> Iterator[Silence]:
    for name, function, owner in _public(_tree(path)):
        decorated = {_last_word(d) for d in function.decorator_list}
        if decorated & _NOT_COUNTED:
            continue
        if owner and (_CALLED_BY_TEXTUAL.match(function.name) or _inherits(owner, function.name)):
            continue
        if left := missing(function, owner is not None and "staticmethod" not in decorated):
            yield Silence(path, function.lineno, name, left)


def _public(
    body: ast.Module | ast.ClassDef, within: str = ""
) -> Iterator[tuple[str, Function, ast.ClassDef | None]]:
    """Public functions and methods: what they are called, and their class."""
    for node in body.body:
        if isinstance(node, Function | ast.ClassDef) and node.name.startswith("_"):
            continue
        if isinstance(node, Function):
            yield within + node.name, node, body if isinstance(body, ast.ClassDef) else None
        elif isinstance(node, ast.ClassDef):
            yield from _public(node, f"{within}{node.name}.")


def _inherits(owner: ast.ClassDef, method: str) -> bool:
    """Whether a class of ours above this one has the method, and so its documentation."""
    for base in owner.bases:
        above = _classes().get(_last_word(base))
        if above is None:
            continue
        if any(isinstance(node, Function) and node.name == method for node in above.body):
            return True
        if _inherits(above, method):
            return True
    return False


def _last_word(node: ast.expr) -> str:
    """``command`` of ``@rungwise.command()``, ``Widget`` of ``Widget[str]``."""
    while isinstance(node, ast.Call | ast.Subscript):
        node = node.func if isinstance(node, ast.Call) else node.value
    return node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")


@cache
def _tree(path: str) -> ast.Module:
    return ast.parse((ROOT / path).read_text("utf-8"))


@cache
def _classes() -> dict[str, ast.ClassDef]:
    """Every class of the house: no public name is there twice."""
    return {
        node.name: node
        for top in HOUSE
        for path in (ROOT / top).rglob("*.py")
        for node in ast.walk(_tree(path.relative_to(ROOT).as_posix()))
        if isinstance(node, ast.ClassDef)
    }


if __name__ == "__main__":
    found = silences(*sys.argv[1:])
    print(*found, sep="\n")
    print(f"{len(found)} functions")
