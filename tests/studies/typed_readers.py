"""Every reader of typed text, and what its strings are made of."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from functools import cache, partial

from rungwise.problems.analysis.response import facts
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.gaps import write_boxed, write_unvalued
from rungwise.problems.circuits.model import leaves
from rungwise.problems.circuits.statement import NotationError
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.formulas.latex import plain_notation
from rungwise.problems.formulas.read import parse
from rungwise.problems.formulas.tree import FormulaError
from rungwise.problems.generate import reverse, sketch
from rungwise.problems.generate.tasks import generate
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.quantities.separators import decimal_sign, spelt_out
from rungwise.problems.quantities.units import QuantityError
from rungwise.problems.questions.analyse import questions_for
from rungwise.problems.questions.model import Form, Problem, Question, Rung, Task
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import ANSWERS_FORMAT, Key, Plan, PlanSection, Student
from rungwise.problems.sketches.model import PlotKind, SketchError
from rungwise.problems.sketches.read import read_line
from rungwise.tutor.browser.names import RefusedNameError, read_name
from rungwise.tutor.classroom.handins.cells import one_line, row, unguarded
from rungwise.tutor.classroom.handins.files import (
    Answers,
    question_number,
    read_csv,
    read_json,
)
from rungwise.tutor.classroom.handins.filling import Filling
from rungwise.tutor.classroom.handins.table import BadTable
from rungwise.tutor.classroom.marking.decided import keep
from rungwise.tutor.classroom.marking.mark import mark_answers, read_tolerance
from rungwise.tutor.classroom.marking.settled import settled_table
from rungwise.tutor.classroom.roster import RosterError, read_roster
from rungwise.tutor.cli.sheet_plan import PlanError, plan_in
from rungwise.tutor.drafting.line import LineDraft, read_typed
from rungwise.tutor.drafting.line_text import kept, take_up
from rungwise.tutor.drafting.map import MapDraft
from rungwise.tutor.drafting.script import ScriptError, read_script
from rungwise.tutor.language.dates import DayError, read_day
from rungwise.tutor.language.texts import Words
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.phrases import answer_text as saying

_CIRCUIT = "source Rs 50 Ω; series R1 1 kΩ; shunt L1 10 mH || C1 100 nF; load RL 3 kΩ"
_NUMBERS = (
    "0 1 2 8 16 1e20 1e40 1e-40 0.5 4k7 3,3 1,000 1000 ½ ٣ １２ 1/3 1e999 99999999999999999999"
)
_PIECES = {
    Form.COUNT: "0 1 2 two no zero poles zeros elements at the origin because degree"
    " of - . , + 2nd order a complex pair and",
    Form.CHOICE: "a b ( ) 1 2 choice option no. low pass band - notch filter low-pass a) it is"
    " second-order RC because not",
    Form.QUANTITY: f"{_NUMBERS} f0 = ω ≈ Hz kHz rad/s 1/(2π √(LC) ) R1 L C1 π * / + - − m M k µ ∥"
    r" → , so ω0= f0= is about 1/s s⁻¹ ; or because (10 \frac{ \sqrt{ \pi } $ 1' ,1",
    Form.RATIO: f"{_NUMBERS} Q = √ ( ) R1 /L1 C1 * R L C ^2 ^-1 ^(1/2) + - dB π Z0 XL ω0 ; →",
    Form.GAIN: f"{_NUMBERS} - dB RL /( R1 + RL ) Rs ∥ = H loss of down minus ; ( or",
    Form.SLOPE: f"{_NUMBERS} - + − 20 dB/decade dB/octave flat dB per decade 6 falls rises by"
    " minus towards DC forty",
    Form.ANGLE: f"{_NUMBERS} - + − 90 180° π/2 π 2π/3 rad ° flat lags lead in phase the input"
    r" minus \frac{\pi}{2} ninety",
    Form.LEVEL: f"{_NUMBERS} - + − dB 3 20 log( 20·log lg ( ) |H| = −arctan( 90° ° rad 0.707 1/√2"
    " R1 ( lags leads down loss of below by minus flat half π/4 , ; tan^-1( 1e40",
    Form.FORMULA: f"{_NUMBERS} s s² s^2 ^16 ^-16 √ √( ( ) ( ) [ ] R1 RL L1 C1 Rs R L j ω"
    " jω π + - * / ∥ || = H(s)= (s+π)^16 (s^2+s+1) 1e40^16 π^16"
    r" \frac{ \sqrt{ } { p τ ω0 Q XL with τ= ; ,",
}  # fmt: skip
_SKETCHES = {
    Rung.GAIN_SKETCH: f"{_NUMBERS} +20 -20 0 −40 to , ; level dB 340 Hz 12 kHz 1e15 flat then"
    " dB/decade",
    Rung.PHASE_SKETCH: f"{_NUMBERS} +90 -90 0 180 to , ; ° jump at 340 Hz 12 kHz 3600 -3600"
    " flat π/2",
    Rung.MAP_SKETCH: "poles: zeros: poles zeros ; , and 1 2 8 9 20 none real complex pair"
    " pairs on the jω axis at origin double a 0",
}  # fmt: skip
_SKETCHED = "series-rlc-across-lc", "shunt-fed-band-pass", "series-fed-notch", "pi-low-pass-3"
"""Families whose sketches are asked for, with an exact null and a third pole among them."""
_MOST_SEEDS = 200


@dataclass(frozen=True)
class Reader:
    """A reader, and what its strings are made of.

    Those of one ``grammar`` read alike: the answers of one form, or the sketches of one kind.
    """

    name: str
    read: Callable[[str], object]
    pieces: tuple[str, ...]
    valid: tuple[str, ...]
    documented: tuple[type[Exception], ...] = ()
    grammar: str = ""


@cache
def readers() -> tuple[Reader, ...]:
    """Every reader of typed text: of all forms of answers, and of all files."""
    return (
        *(_of_question(*asked) for asked in _asked()),
        *_sheets(),
        *_texts(),
        *_files(),
    )


# ------------------------------------------------------------------------------- answers


def _asked() -> Iterator[tuple[str, Problem, Question]]:
    """(what it is of, problem, question): every form, and every rung of every task."""
    for circuit, name in (
        (_CIRCUIT, "5 elements"),
        ("series R1 1 kΩ; shunt C1 100 nF", "2 elements"),
    ):
        ladder = read_circuit(circuit)
        asked = (*questions_for(facts(ladder), Chance(1)),)
        problem = Problem(1, "", 0, 0, ladder, asked)
        yield from ((name, problem, question) for question in asked)
        sketches = sketch.typed(ladder)
        yield from ((name, sketches, question) for question in sketches.questions)
    for family in _SKETCHED:
        problem = generate(1, task=Task.SKETCH, family=family)
        yield from (
            (family, problem, question)
            for question in problem.questions
            if question.form is Form.SKETCH
        )
    yield from _ways_back()
    yield from _levels()


def _levels() -> Iterator[tuple[str, Problem, Question]]:
    """A level in decibels and one in degrees."""
    ladder = read_circuit(_CIRCUIT)
    for unit in ("dB", "°"):
        question = Question(Rung.GAIN_AT, Form.LEVEL, -45.0, unit=unit, tolerance=Fraction(1))
        question = replace(question, values=(("asked", "corner"),))
        yield unit, Problem(4, "", 0, 0, ladder, (question,), Task.PREDICT), question


def _ways_back() -> Iterator[tuple[str, Problem, Question]]:
    """One question of each rung that leads back to a circuit, each of another family."""
    back = [
        Rung.WHICH_CIRCUIT, Rung.LOOKALIKE_REASON, Rung.MISSING_ARM, Rung.ELEMENT_VALUE,
        Rung.LEAST_VALUE, Rung.MOST_VALUE,
    ]  # fmt: skip
    families = set()
    for seed in range(1, _MOST_SEEDS):
        problem = reverse.generate(seed)
        found = [q for q in problem.questions if q.rung in back]
        if found and problem.family not in families:
            families.add(problem.family)
            yield from (("back, " + problem.family, problem, question) for question in found)
            back = [rung for rung in back if rung not in {q.rung for q in found}]
    assert not back


def _of_question(name: str, problem: Problem, question: Question) -> Reader:
    """As the drill, the plain lines and a rehearsal read it: at every key, and at the end."""
    basis, known = Climb(problem).basis, facts(problem.ladder)
    setting = Words.load().setting(question, ",")

    def read(text: str) -> None:
        grade(problem, question, text, known, setting)
        saying.echo(basis, question, text, 80)

    return Reader(
        f"{question.rung.value} ({name})",
        read,
        _pieces(question),
        (right_text(question),),
        grammar=_grammar(question),
    )


def _grammar(question: Question) -> str:
    return question.rung.value if question.form is Form.SKETCH else question.form.value


def _pieces(question: Question) -> tuple[str, ...]:
    if question.form is Form.SKETCH:
        return tuple(_SKETCHES[question.rung].split())
    offered = " ".join(choice.id for choice in question.choices)
    return tuple(f"{_PIECES[question.form]} {offered}".split())


# ------------------------------------------------------------------------------- sheets

_PLAN = Plan(
    "Filters",
    2**61 + 77,
    (
        PlanSection("Climbs", levels=(2, 3), count=2),
        PlanSection("Sketches", task=Task.SKETCH, levels=(3,), count=1),
        PlanSection("Ways back", task=Task.REVERSE, count=3, same_families=False),
    ),
)


def _sheets() -> Iterator[Reader]:
    """Filling in and marking: one question of each rung of a sheet of all tasks."""
    variant = draft(_PLAN, Student(1, "Ann", "1")).variant
    filling = Filling(variant.sheet, "01")
    seen = set()
    for place, (item, asked) in enumerate(filling.places):
        if asked.rung in seen:
            continue
        seen.add(asked.rung)
        of = next(one for one in variant.key.items if one.number == item.number)
        at = item.questions.index(asked)
        question = of.problem.questions[at]
        alone = replace(of.problem, questions=(question,))
        key = replace(variant.key, items=(replace(of, problem=alone, points=(of.points[at],)),))
        pieces, valid = _pieces(question), (right_text(question),)
        name = asked.rung.value
        grammar = _grammar(question)
        for way, read in (
            ("filled in", partial(_fill, filling, place)),
            ("marked", partial(_mark, key, of.number)),
        ):
            yield Reader(f"{name} ({way})", read, pieces, valid, grammar=grammar)


def _fill(filling: Filling, place: int, text: str) -> None:
    filling.go(place)
    filling.give(text)


def _mark(key: Key, number: int, text: str) -> None:
    answers = Answers(answers=((f"{number}.1", (text,)),))
    (marked,) = mark_answers(key, answers)
    for mark in marked.questions:
        # Marking goes on where the grader fails, so that it is asked here.
        if "the grader failed" in mark.trouble:
            raise AssertionError(mark.trouble)


# ------------------------------------------------------------------------------- other texts


def _texts() -> Iterator[Reader]:
    letters = tuple(_PIECES[Form.FORMULA].split())
    numbers = tuple(f"{_NUMBERS} Ω kΩ H F nF Hz rad/s ° dB m M 10^ *10^ - +".split())
    lines = tuple(f"{_NUMBERS} series shunt load R1 L1 C1 = + || ( ) ; # Ω source buffer ?".split())
    days = (
        "1",
        "12",
        "2027",
        ".",
        "-",
        "/",
        "st",
        "December",
        "dec",
        "in",
        "3",
        "days",
        "weeks",
        "today",
        ",",
        "٣",
    )
    circuit = (_CIRCUIT, "series R1 1 kΩ; shunt L1 + C1 10 nF; buffer; series R2; shunt R3")
    yield Reader(
        "quantity", lambda t: read_quantity(t, "Ω"), numbers, ("4.7 kΩ",), (QuantityError,)
    )
    latex = (*letters, "\\", "$", "{", "}", "_", "^", "\\frac", "\\sqrt", "\\text{", "{,}")
    yield Reader("LaTeX", plain_notation, latex, ("\\frac{1}{sC}",))
    yield Reader("decimal sign", _separators, numbers, ("1,234.5", "1'000,5"))
    yield Reader("formula", lambda t: parse(t, ("R1", "C")), letters, ("1/(s*C)",), (FormulaError,))
    yield Reader("circuit", read_circuit, lines, circuit, (NotationError,))
    yield Reader("circuit with a gap", _gaps, lines, circuit, (NotationError,))
    yield _list(lines)
    today = date(2026, 1, 1)
    yield Reader("day", lambda t: read_day(t, today), days, ("14 December 2026",), (DayError,))
    yield Reader(
        "name",
        read_name,
        ("Ann", "O'Neil", "-", ".", "é", "王", "ﷺ", "1"),
        ("Ann",),
        (RefusedNameError,),
    )
    yield Reader(
        "tolerance", read_tolerance, ("5", "%", "0.05", ",", "2,5"), ("5 %",), (ValueError,)
    )
    yield from _drawings()


def _list(lines: tuple[str, ...]) -> Reader:
    """A list of changes for the bench."""
    ladder = read_circuit(_CIRCUIT)
    words = "tap swap turn loss without keep drop ask no circuit: output across x doubles and \n"
    pieces, valid = (*lines, *words.split(" ")), ("R1 x 2\nask L1 doubles\n# so\nno load",)
    read = partial(read_script, ladder=ladder)
    return Reader("list of changes", read, pieces, valid, (ScriptError,))


def _separators(text: str) -> None:
    """What a hand writes for decimals, and the text by either."""
    spelt_out(text, decimal_sign([text]))
    spelt_out(text, ",")


def _gaps(text: str) -> None:
    """A circuit written again with each of its parts left out."""
    ladder = read_circuit(text)
    names = [element.name for element in ladder.elements()]
    write_unvalued(ladder, names[:3])
    for stage in ladder.stages:
        if stage.arm is not None:
            write_boxed(ladder, [element.name for element in leaves(stage.arm)])


def _drawings() -> Iterator[Reader]:
    """What is typed at a drawing, and drawings as they are kept."""
    words = {
        PlotKind.GAIN: _SKETCHES[Rung.GAIN_SKETCH] + " gain; at -2; 0; start 20 ; typed",
        PlotKind.PHASE: _SKETCHES[Rung.PHASE_SKETCH] + " phase; at -1; start 90 ; typed",
    }
    valid = {
        PlotKind.GAIN: "+20 to 340 Hz, 0 to 12 kHz, −20; level −6 dB",
        PlotKind.PHASE: "+90 to 340 Hz, 0 to 12 kHz, −90",
    }
    for plot, text in valid.items():
        work = LineDraft(plot, 1.0, 1e6)
        assert take_up(work, text)
        drawn = (text, kept(work), kept(work) + "; typed 12 k")
        pieces = tuple(words[plot].split())
        yield Reader(f"{plot} taken up", partial(_take_up, plot), pieces, drawn)
        yield Reader(f"{plot} drawn", partial(read_line, plot), pieces, drawn[:1], (SketchError,))
    board = MapDraft()
    text = "poles: 1 complex pair; zeros: 2 at the origin"
    assert take_up(board, text)
    pieces = tuple((_SKETCHES[Rung.MAP_SKETCH] + " map; at real; origin;").split())
    yield Reader("map taken up", lambda t: take_up(MapDraft(), t), pieces, (text, kept(board)))
    numbers = tuple(f"{_NUMBERS} dB Hz kHz . , - −".split())
    yield Reader("level", partial(read_typed, unit="dB"), numbers, ("-6.02 dB",))
    yield Reader("frequency", partial(read_typed, unit="Hz"), numbers, ("12 kHz",))


def _take_up(plot: PlotKind, text: str) -> None:
    work = LineDraft(plot, 1.0, 1e6)
    if take_up(work, text):
        assert take_up(LineDraft(plot, 1.0, 1e6), kept(work))


# ------------------------------------------------------------------------------- files


def _files() -> Iterator[Reader]:
    cells = (
        "name",
        "id",
        ",",
        ";",
        "\t",
        "\n",
        "\r",
        '"',
        "'a",
        "=1+1",
        "@x",
        "-2",
        "+3",
        "Ann",
        "1",
        '""',
        "é",
        "ﷺ",
        "sep=;",
        "email",
    )
    yield Reader(
        "roster", _encoded(read_roster), cells, ("name,id\nAnn,1\n", "Ann\nBob\n"), (RosterError,)
    )
    yield Reader(
        "cell", _cell, (*cells, "＝", "\x00", "\u202e", "Q1.1", "1,2"), ("=cmd|x", "Q1.10")
    )
    answers = (
        *cells,
        "question,asked,answer\n",
        "Q1.1",
        "1.2",
        ",",
        ":",
        "sheet",
        "student",
        "4.7 kHz",
    )
    table = "question,asked,answer\nsheet,leave this row as it is:,03\nQ1.1,corner in Hz:,4.7 kHz\n"
    yield Reader("hand-in.csv", _encoded(read_csv), answers, (table,), (BadTable,))
    document = json.dumps(
        {"format": ANSWERS_FORMAT, "sheet": "03", "answers": {"1.1": "4.7 kHz", "1.2": ""}}
    )
    signs = (*'{}[]:,"\\', "\\u0000", "\\ud800", "null", "1e999", '"answers"', '"1.1"', "é", "\n")
    yield Reader("hand-in.json", _encoded(read_json), signs, (document,), (BadTable,))
    settled = "tag,sheet,question,points,corrected\nT1,03,Q1.1,1.5,\n,3,1.2,,4.7 kHz\n"
    rows = (*cells, "tag", "sheet", "question", "points", "corrected", "1/2", "1,5", "03", "Q1.1")
    alike = "tag,suggested,accept,points\nG3fa92c10b71e22-7b22e1,read 1 Hz,x,\n,,,all 1/2\n"
    rows += ("accept", "suggested", "read ", " points", "all ", "G3fa92c10b71e22-7b22e1", "open")
    yield Reader("settled.csv", _settled, rows, (settled, alike), (BadTable,))
    line = '{"sheet": 3, "question": "1.2", "tag": "", "points": "1/2", "corrected": ""}\n'
    lines = (*signs, '"sheet"', '"question"', '"points"', "3", "1.2", '"alike"', '"open"', "true")
    other = '{"alike": "G3fa92c10b71e22-7b22e1", "every": true, "points": "", "corrected": "1"}\n'
    yield Reader("decided.jsonl", lambda t: keep(_bytes(t), ()), lines, (line, other))
    plan = (
        f'format = "rungwise.plan/3"\ntitle = "T"\nseed = {2**61}\n'
        '[[sections]]\ntitle = "S"\nproblems = 2\n'
    )
    words = (
        "[[sections]]\n", "[[", "]]", "[", "]", "=", '"', "'", "\n", "seed", "title", "5 %", "ask",
        "1e400", "9" * 30, "levels = [1, 2]\n", "points", "{", "}", ".", "true", "1979-05-27",
    )  # fmt: skip
    yield Reader("plan", lambda t: plan_in(_bytes(t), "plan.toml"), words, (plan,), (PlanError,))


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


def _encoded(read: Callable[[bytes], object]) -> Callable[[str], object]:
    return lambda text: read(_bytes(text))


def _cell(text: str) -> None:
    one_line(text)
    unguarded(text)
    question_number(text)
    row([text, 1, Fraction(1, 2)])


def _settled(text: str) -> None:
    """All rows, those that are wrong among them; and the decisions kept."""
    found = [one for one in settled_table(_bytes(text)) if not isinstance(one, BadTable)]
    keep(b"", found)
