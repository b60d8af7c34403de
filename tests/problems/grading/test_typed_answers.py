"""No text that is typed may hold up a screen or end it: growth, budgets, and what is counted."""

from __future__ import annotations

import ast
import contextlib
import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.formulas.model import echo, parse
from rungwise.problems.generate.analyse import generate
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Rung, Verdict
from rungwise.problems.sketches.sketch import SketchError, read_map
from rungwise.tutor.cli.solve import run

from tests.studies.typed_answers import readers, study

from .test_grader import SERIES, mark

ROOT = Path(__file__).resolve().parent.parent
_parse_pattern = re._parser.parse  # type: ignore[attr-defined]
SEARCHING = ("search", "sub", "split", "findall", "finditer")


def spent(do: Callable[[], object]) -> float:
    """The least of three runs, in seconds of processor time."""
    found = []
    for _ in range(3):
        start = time.process_time()
        do()
        found.append(time.process_time() - start)
        if found[-1] > 1:
            break
    return min(found)


def patterns() -> Iterator[tuple[str, str, int]]:
    """(place, pattern, flags) of every regular expression that the code writes out."""
    for path in sorted((*ROOT.glob("problems/**/*.py"), *ROOT.glob("tutor/**/*.py"))):
        module = compile_globals(path)
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and _is_re(node.func) and node.args:
                written = ast.unparse(node.args[0])
                pattern = _value(written, module)
                if isinstance(pattern, str):
                    flags = _flags(node, module)
                    yield f"{path.relative_to(ROOT)}:{node.lineno}", pattern, flags


def compile_globals(path: Path) -> dict[str, object]:
    """The module's plain string constants, by which patterns are put together."""
    found: dict[str, object] = {"re": re}
    for node in ast.parse(path.read_text()).body:
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
        and func.attr in ("compile", "match", "fullmatch", *SEARCHING)
    )


def _value(written: str, known: dict[str, object]) -> object:
    try:
        return eval(written, {"__builtins__": {}}, known)  # the project's own constants
    except Exception:
        return None


def _flags(node: ast.Call, module: dict[str, object]) -> int:
    written = [ast.unparse(a) for a in (*node.args[1:], *(k.value for k in node.keywords))]
    values = [_value(w, module) for w in written if w.startswith("re.")]
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


def shapes(pattern: str) -> list[tuple[str, str, str]]:
    """(head, what is repeated, tail) made for a pattern: runs, pairs, and an end that fails."""
    signs = list(dict.fromkeys(pieces(_parse_pattern(pattern))))
    kept = list(dict.fromkeys((*signs[:6], *signs[-3:])))
    literal = "".join(signs[:12])
    units = [*kept, literal, *(a + b for a in kept[:4] for b in kept[:4] if a != b)]
    return [(head, unit, "\x01") for unit in units if unit for head in ("", literal)]


PATTERNS = list(patterns())


def test_all_patterns_are_found() -> None:
    assert len(PATTERNS) > 80
    assert any("grader_read" in place for place, _, _ in PATTERNS)


def test_no_pattern_takes_more_than_linear_time() -> None:
    """Sixteen times the text in at most some 40 times the time; under 20 ms nothing is said."""
    grown = []
    for place, pattern, flags in PATTERNS:
        compiled = re.compile(pattern, flags)
        for head, unit, tail in shapes(pattern):
            for read in compiled.match, compiled.fullmatch:
                # 24 first: what grows exponentially would never end at 16,000.
                for count in 24, 1_000, 16_000:
                    text = head + unit * (count // len(unit) + 1) + tail
                    took = spent(lambda t=text, r=read: r(t))
                    if took > 0.020 * max(1, count / 1_000):
                        grown.append((place, unit, count, took))
                        break
    assert not grown


def test_the_growth_test_sees_what_grows() -> None:
    old = re.compile(r"\+?(?:(?P<n>\d{1,4})|(?P<word>[a-z]+))(?P<rest>(?:[ -]?[a-z]+)*)")
    unit = next(u for _, u, _ in shapes(old.pattern) if u == "a")
    assert spent(lambda: old.fullmatch("1" + unit * 24 + "\x01")) > 0.020


@pytest.mark.parametrize("reader", readers(), ids=lambda reader: reader.name)
def test_no_reader_takes_more_than_linear_time(reader) -> None:
    def read(text: str) -> None:
        with contextlib.suppress(reader.documented):
            reader.read(text)

    units = (*dict.fromkeys(reader.pieces), "because ", "a", "1", " ", "-", "1 ", "(", "ﷺ")
    for unit in units:
        for tail in "", "!":
            read(unit * 8 + tail)  # what is read once and kept is not the text's
            for count in 64, 256, 480, 20_000:  # up to what the line takes, and far beyond
                text = unit * (count // len(unit)) + tail
                assert spent(lambda t=text: read(t)) < 0.05, (unit, count)


def test_20000_strings_of_the_readers_grammar() -> None:
    for name, found in study(20_000, seed=2).items():
        assert not found.raised, (name, found.raised)
        assert not found.slow, (name, found.worst, found.text)


def test_a_sentence_about_poles_is_read_at_once() -> None:
    problem = generate(3, level=1)
    asked = next(q for q in problem.questions if q.rung is Rung.POLES)
    text = "2 poles because the denominator has degree 2"
    start = time.process_time()
    assert grade(problem, asked, text).verdict is Verdict.UNCLEAR
    assert time.process_time() - start < 1


def test_a_root_beyond_all_floats_is_refused() -> None:
    problem = generate(1, level=2)
    asked = next(q for q in problem.questions if q.rung is Rung.TRANSFER)
    for text in "√(1e20^16)", "√(1e40^16*1e40^16)", "√(1e-40^16)", "√(1/(1e40^16))":
        assert grade(problem, asked, text).verdict in (Verdict.UNCLEAR, Verdict.WRONG)


def test_roots_in_one_place_add_up_before_they_are_too_many() -> None:
    with pytest.raises(SketchError, match="too many"):
        read_map("poles: 8 complex pairs, 8 complex pairs; zeros: none")


NOUNS = [
    (Rung.POLES, "2 zeros", "poles"),
    (Rung.POLES, "2 elements", "poles"),
    (Rung.POLES, "two zeros at the origin", "poles"),
    (Rung.ZEROS, "1 pole", "all finite zeros"),
    (Rung.ZEROS, "1 zero at the origin", "all finite zeros"),
    (Rung.ZEROS, "1 at the origin", "all finite zeros"),
    (Rung.ORIGIN_ZEROS, "1 pole at the origin", "the zeros at the origin"),
    (Rung.ORIGIN_ZEROS, "1 pole", "the zeros at the origin"),
    (Rung.INDEPENDENT, "2 poles", "the parts that store energy"),
    (Rung.INDEPENDENT, "2 zeros", "the parts that store energy"),
]  # fmt: skip


@pytest.mark.parametrize(("rung", "text", "asked"), NOUNS)
def test_a_count_of_something_else_is_asked_about(rung: Rung, text: str, asked: str) -> None:
    found = mark(SERIES, rung, text) if rung is not Rung.INDEPENDENT else mark(HIDDEN, rung, text)
    assert found.verdict is Verdict.UNCLEAR
    assert f"asks for {asked}" in found.trouble


HIDDEN = "series L1 10 mH; series L2 10 mH; shunt C1 100 nF; load RL 1 kΩ"


@pytest.mark.parametrize(
    ("rung", "text"),
    [(Rung.POLES, "2 poles"), (Rung.POLES, "two"), (Rung.ZEROS, "1 zero"), (Rung.ZEROS, "1 finite"),
     (Rung.ORIGIN_ZEROS, "1 zero"), (Rung.ORIGIN_ZEROS, "one zero at the origin")],
)  # fmt: skip
def test_a_count_of_what_is_asked_is_taken(rung: Rung, text: str) -> None:
    assert mark(SERIES, rung, text).verdict is Verdict.RIGHT


LETTERS = ["R1", "RL", "C1", "C2", "L1"]


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("RL∥1/(sC1)", "RL ∥ (1/(s·C1))"),
        ("1/(sC1)||RL", "(1/(s·C1)) ∥ RL"),
        ("RL∥1/(sC1)/(R1+RL∥1/(sC1))", "(RL ∥ (1/(s·C1)))/(R1 + (RL ∥ (1/(s·C1))))"),
        ("1/(sC1)∥1/(sC2)", "(1/(s·C1)) ∥ (1/(s·C2))"),
        ("s·L1∥R1", "(s·L1) ∥ R1"),
        ("R1∥s·L1", "R1 ∥ (s·L1)"),
        # Where both make sense, or neither, the written order stands.
        ("R1∥RL/R1", "(R1 ∥ RL)/R1"),
        ("1/R1∥RL", "1/(R1 ∥ RL)"),
        ("RL∥1k/(sC1)", "(RL ∥ 1000)/(s·C1)"),
        ("(RL∥1)/(sC1)", "(RL ∥ 1)/(s·C1)"),
    ],
)
def test_bars_written_loosely(typed: str, read: str) -> None:
    found = echo(parse(typed, LETTERS))
    assert found == read
    assert echo(parse(found, LETTERS)) == read


def test_a_transfer_function_with_loose_bars_is_right_and_echoed() -> None:
    circuit = "series R1 1 kΩ; shunt C1 100 nF; load RL 3 kΩ"
    found = mark(circuit, Rung.TRANSFER, "RL∥1/(sC1)/(R1+RL∥1/(sC1))")
    assert found.verdict is Verdict.RIGHT
    assert "RL ∥ (1/(s·C1))" in found.understood


def test_values_of_50_digits_are_solved_at_once() -> None:
    """Values that differ in the last digit only, apart by buffers, took half a minute."""
    lines = []
    for k in range(1, 13):
        lines += [f"series R{k} = 1.{'0' * 48}{k % 9 + 1} kΩ",
                  f"shunt C{k} = 1.{'0' * 48}{k * 5 % 9 + 1} µF", "buffer"]  # fmt: skip
    text = "\n".join(lines[:-1])
    assert read_circuit(text)
    start = time.process_time()
    assert run(text, as_json=True)[0] == 0
    assert time.process_time() - start < 1


def test_the_limit_of_an_answer_is_said() -> None:
    found = mark(SERIES, Rung.POLES, "2" * 2_000)
    assert found.verdict is Verdict.UNCLEAR
    assert "too long" in found.trouble
