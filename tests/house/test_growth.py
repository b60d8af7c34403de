"""The time of every reader of typed text, and of every pattern, grows with the text at most.

What was met: an ordinary sentence, typed to a question, froze the screen for good.
"""

from __future__ import annotations

import ast
import contextlib
import gc
import re
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from unittest import mock

import pytest
from rungwise.problems.circuits.gaps import write_unvalued
from rungwise.problems.circuits.text import read_circuit
from rungwise.tutor.language import ascii  # noqa: A004
from rungwise.tutor.store import backup

from tests.studies.typed_answers import study
from tests.studies.typed_readers import Reader, readers
from tests.support.samples import sample

ROOT = Path(__file__).resolve().parents[2]
_parse_pattern = re._parser.parse  # type: ignore[attr-defined]


def spent(do: Callable[[], object], enough: float) -> float:
    """The least of three runs, in seconds of this thread's time; one that is enough ends them.

    What other tests have left is not timed: threads that still run, and garbage, whose collection
    takes the longer the more there is.
    """
    found = []
    gc.disable()
    try:
        for _ in range(3):
            start = time.thread_time()
            do()
            found.append(time.thread_time() - start)
            if found[-1] > 0.5 or found[-1] <= enough:
                break
    finally:
        gc.enable()
    return min(found)


@dataclass(frozen=True)
class Written:
    """A regular expression of the code, and the methods that are called on it."""

    place: str
    pattern: str | bytes
    flags: int
    methods: frozenset[str]


METHODS = {
    "match": lambda compiled, text: compiled.match(text),
    "fullmatch": lambda compiled, text: compiled.fullmatch(text),
    "search": lambda compiled, text: compiled.search(text),
    "sub": lambda compiled, text: compiled.sub(text[:0], text),
    "split": lambda compiled, text: compiled.split(text),
    "findall": lambda compiled, text: compiled.findall(text),
    "finditer": lambda compiled, text: list(compiled.finditer(text)),
}
BUILT = {
    "problems/circuits/gaps.py": lambda: recorded(
        lambda: write_unvalued(
            read_circuit("series L1; series L2; shunt C1; load RL"), ("L1", "L2", "C1")
        )
    ),
    "tutor/language/ascii.py": lambda: [(ascii._POWER.pattern, ascii._POWER.flags)],
    "tutor/store/backup.py": lambda: [(backup._DAY.pattern, backup._DAY.flags)],
}
"""What gives the patterns that a module puts together as it runs: [(pattern, flags)]."""


def recorded(do: Callable[[], object]) -> list[tuple[str, int]]:
    """The patterns that are compiled while something is done."""
    found: list[tuple[str, int]] = []
    compiled = re._compile  # type: ignore[attr-defined]

    def noted(pattern: str, flags: int) -> object:
        found.append((pattern, int(flags)))
        return compiled(pattern, flags)

    with mock.patch.object(re, "_compile", noted):
        do()
    return found


CALLED = re.compile(rf"\b\w+\.(?:compile|{'|'.join(METHODS)})\b")


@cache
def patterns() -> list[Written]:
    """Every regular expression that the code writes out, or puts together as it runs."""
    return list(_patterns())


def _patterns() -> Iterator[Written]:
    paths = sorted((*ROOT.glob("problems/**/*.py"), *ROOT.glob("tutor/**/*.py")))
    texts = {path: path.read_text() for path in paths}
    # Trees are made of those alone that write a pattern, or call a method on one.
    written = {path: ast.parse(text) for path, text in texts.items() if CALLED.search(text)}
    called = _called(written.values())
    for path, tree in written.items():
        if "re." not in texts[path]:
            continue
        known, place = constants(tree), str(path.relative_to(ROOT))
        named = {
            id(node.value): node.targets[0].id
            for node in ast.walk(tree)
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
        }
        for node in ast.walk(tree):
            if not (isinstance(node, ast.Call) and _is_re(node.func) and node.args):
                continue
            assert isinstance(node.func, ast.Attribute)
            methods = frozenset((node.func.attr,))
            if node.func.attr == "compile":
                methods = called.get(named.get(id(node), ""), frozenset(METHODS))
            pattern = _value(ast.unparse(node.args[0]), known)
            if isinstance(pattern, str | bytes):
                at = f"{place}:{node.lineno}"
                yield Written(at, pattern, _flags(node, known), methods)
            else:
                for built, flags in BUILT[place]():
                    yield Written(f"{place}:{node.lineno}", built, flags, methods)


def _called(trees: Iterable[ast.Module]) -> dict[str, frozenset[str]]:
    """Name of a pattern → the methods that any module calls on what has this name."""
    found: dict[str, set[str]] = {}
    for tree in trees:
        for node in ast.walk(tree):
            if (
                isinstance(node, ast.Attribute)
                and isinstance(node.value, ast.Name)
                and node.attr in METHODS
            ):
                found.setdefault(node.value.id, set()).add(node.attr)
    return {name: frozenset(methods) for name, methods in found.items()}


def constants(tree: ast.Module) -> dict[str, object]:
    """A module's plain constants, by which patterns are put together."""
    found: dict[str, object] = {"re": re}
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            value = _value(ast.unparse(node.value), found)
            if value is not None:
                found[node.targets[0].id] = value
    return found


def _is_re(func: ast.expr) -> bool:
    return (
        isinstance(func, ast.Attribute)
        and isinstance(func.value, ast.Name)
        and func.value.id == "re"
        and func.attr in ("compile", *METHODS)
    )


def _value(written: str, known: dict[str, object]) -> object:
    try:
        return eval(written, {"__builtins__": {}}, known)  # the project's own constants
    except Exception:
        return None


def _flags(node: ast.Call, known: dict[str, object]) -> int:
    written = [ast.unparse(a) for a in (*node.args[1:], *(k.value for k in node.keywords))]
    values = [_value(w, known) for w in written if w.startswith("re.")]
    return sum(int(v) for v in values if isinstance(v, int))


def pieces(parsed: object) -> Iterator[str]:
    """Signs that a pattern looks for, from its own parsed form."""
    for op, value in parsed:  # type: ignore[attr-defined]
        match str(op):
            case "LITERAL":
                yield chr(value)
            case "IN":
                for kind, what in value:
                    if str(kind) == "LITERAL":
                        yield chr(what)
                    elif str(kind) == "RANGE":
                        yield chr(what[0])
                    elif str(kind) == "CATEGORY":
                        yield {"DIGIT": "1", "SPACE": " "}.get(str(what).split("_")[-1], "a")
            case "NOT_LITERAL" | "ANY":
                yield "a"
            case "BRANCH":
                for branch in value[1]:
                    yield from pieces(branch)
            case "SUBPATTERN":
                yield from pieces(value[3])
            case "MAX_REPEAT" | "MIN_REPEAT" | "POSSESSIVE_REPEAT":
                yield from pieces(value[2])
            case "ASSERT" | "ASSERT_NOT":
                yield from pieces(value[1])


def shapes(pattern: str | bytes) -> list[tuple[str, str, str]]:
    """(head, what is repeated, tail) made for a pattern: runs, pairs, and an end that fails."""
    signs = list(dict.fromkeys(pieces(_parse_pattern(pattern))))
    kept = list(dict.fromkeys((*signs[:6], *signs[-3:])))
    literal = "".join(signs[:12])
    units = [*kept, literal, *(a + b for a in kept[:4] for b in kept[:4] if a != b)]
    return [(head, unit, "\x01") for unit in units if unit for head in ("", literal)]


FLOOR = 0.020
"""Seconds under which nothing is said of growth: the machine's own noise."""
LENGTHS = (24, 2_000, 16_000)
STEEP = 3
"""How many times more than in proportion a time may grow; what is quadratic grows 8 times more."""


def grows(read: Callable[[str], object], made: Callable[[int], str]) -> str:
    """What is wrong with how a reader's time grows along LENGTHS; "" for nothing.

    A text of 24 signs may take FLOOR: what is exponential would never end at 2,000.  Further on
    a time above FLOOR may be STEEP times what the shorter text took in proportion.  So a run is
    enough where the next length could not be allowed more than FLOOR by it.
    """
    allowed = FLOOR
    for length, after in zip(LENGTHS, (*LENGTHS[1:], 0), strict=True):
        text = made(length)
        enough = FLOOR * length / (STEEP * after) if after else allowed
        took = spent(lambda t=text: read(t), enough)
        if took > allowed:
            return f"{took:.3f} s for {length}"
        allowed = max(FLOOR, STEEP * max(took, 1e-4) * after / length)
    return ""


def test_all_patterns_are_found() -> None:
    found = patterns()
    assert len(found) > 100
    places = {written.place.rpartition(":")[0] for written in found}
    assert places >= {"problems/grading/read.py", *BUILT}
    tried = {method for written in found for method in written.methods}
    assert tried >= {"match", "fullmatch", "search", "sub", "findall"}


def test_no_pattern_takes_more_than_linear_time() -> None:
    """Each by the methods that the code calls on it, over texts made of what it looks for."""
    grown = []
    for written in patterns():
        compiled = re.compile(written.pattern, written.flags)
        for head, unit, tail in shapes(written.pattern):
            for method in written.methods:
                apply = METHODS[method]

                def read(text: str, compiled=compiled, apply=apply) -> object:
                    whole = text.encode("utf-8") if isinstance(compiled.pattern, bytes) else text
                    return apply(compiled, whole)

                trouble = grows(
                    read, lambda n, h=head, u=unit, t=tail: f"{h}{u * (n // len(u))}{t}"
                )
                if trouble:
                    grown.append((written.place, method, unit, trouble))
    assert not grown


@pytest.mark.parametrize(
    ("pattern", "method"),
    [
        (r"\+?(?:(?P<n>\d{1,4})|(?P<word>[a-z]+))(?P<rest>(?:[ -]?[a-z]+)*)", "fullmatch"),
        (r"a+b", "search"),
        (r" +$", "sub"),
    ],
)
def test_the_growth_test_sees_what_grows(pattern: str, method: str) -> None:
    """What froze a screen; and two that are linear to match and not to look for."""
    compiled = re.compile(pattern)
    assert any(
        grows(
            lambda text: METHODS[method](compiled, text),
            lambda n, h=head, u=unit, t=tail: f"{h or '1'}{u * (n // len(u))}{t}",
        )
        for head, unit, tail in shapes(pattern)
    )


TURNS = sample(3, 1)
"""Readers of one grammar share what the texts repeat: each is given every third of it."""
PARTS = 8


@cache
def texts_of_readers() -> list[tuple[Reader, tuple[str, ...]]]:
    """Every reader, with what the texts that it is given repeat."""
    alike, met = Counter(reader.grammar for reader in readers()), Counter[str]()
    found = []
    for reader in readers():
        units = (*dict.fromkeys(reader.pieces), "because ", "a", "1", " ", "-", "1 ", "(", "ﷺ")
        turns = min(TURNS, alike[reader.grammar]) if reader.grammar else 1
        found.append((reader, units[met[reader.grammar] % turns :: turns]))
        met[reader.grammar] += 1
    return found


def test_all_that_a_grammar_has_is_read() -> None:
    read: dict[str, set[str]] = {}
    for reader, units in texts_of_readers():
        read.setdefault(reader.grammar or reader.name, set()).update(units)
    for reader in readers():
        alike = [one for one in readers() if reader.grammar and one.grammar == reader.grammar]
        shared = set(reader.pieces).intersection(*(one.pieces for one in alike))
        assert shared and shared <= read[reader.grammar or reader.name], reader.name


@pytest.mark.parametrize("part", range(PARTS))
def test_no_reader_takes_more_than_linear_time(part: int) -> None:
    """Up to what a line takes, 50 ms at the most; beyond, in proportion."""
    for reader, units in texts_of_readers()[part::PARTS]:
        takes_linear_time(reader, units)


def takes_linear_time(reader: Reader, units: tuple[str, ...]) -> None:
    def read(text: str) -> None:
        with contextlib.suppress(reader.documented):
            reader.read(text)

    for place, unit in enumerate(units):
        for tail in sample(("", "!")[place % 2 :][:1], ("", "!")):
            read(unit * 8 + tail)  # what is read once and kept is not the text's
            for count in 64, 256, 480:
                text = unit * (count // len(unit)) + tail
                assert spent(lambda t=text: read(t), 0.049) < 0.05, (reader.name, unit, count)
            made = lambda n, u=unit, t=tail: u * (n // len(u)) + t  # noqa: E731
            assert not grows(read, made), (reader.name, unit)


def test_strings_of_the_readers_grammar() -> None:
    """``python -m tests.studies.typed_answers 1000000`` is the long one."""
    for name, found in study(sample(4_000, 20_000), seed=2).items():
        assert not found.raised, (name, found.raised)
        assert not found.slow, (name, found.worst, found.text)
