"""Strings of the readers' own grammar, through every reader of typed text.

``python -m tests.studies.typed_answers N`` reads N strings and prints, reader by reader, the
worst processor time and what was raised.  Each string of a question goes to the grader as the
drill, the plain lines, a rehearsal and the marking call it, and to the echo that is shown at
every key and when a sheet is filled in.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date

from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import NotationError, read_circuit
from rungwise.problems.formulas.model import FormulaError, parse
from rungwise.problems.generate.sketch import sketch_questions
from rungwise.problems.grading.grade import grade
from rungwise.problems.quantities.read import QuantityError, read_quantity
from rungwise.problems.questions.analyse import questions_for
from rungwise.problems.questions.model import Form, Problem, Question, Rung
from rungwise.tutor.language.dates import DayError, read_day
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.phrases import answer_text as saying

SLOWEST = 0.050
"""Seconds of processor time that a string may take."""

_CIRCUIT = "source Rs 50 Ω; series R1 1 kΩ; shunt L1 10 mH || C1 100 nF; load RL 3 kΩ"
_NUMBERS = (
    "0 1 2 8 16 1e20 1e40 1e-40 0.5 4k7 3,3 1,000 1000 ½ ٣ １２ 1/3 1e999 99999999999999999999"
)
_PIECES = {
    Form.COUNT: "0 1 2 two no zero poles zeros elements at the origin because degree"
    " of - . , + 2nd",
    Form.CHOICE: "a b ( ) 1 2 choice option no. low pass band - notch filter low-pass",
    Form.QUANTITY: f"{_NUMBERS} f0 = ω ≈ Hz kHz rad/s 1/(2π √(LC) ) R1 L C1 π * / + - − m M k µ ∥",
    Form.RATIO: f"{_NUMBERS} Q = √ ( ) R1 /L1 C1 * R L C ^2 ^-1 ^(1/2) + - dB π",
    Form.GAIN: f"{_NUMBERS} - dB RL /( R1 + RL ) Rs ∥ = H",
    Form.SLOPE: f"{_NUMBERS} - + − 20 dB/decade dB/octave flat dB per decade 6",
    Form.ANGLE: f"{_NUMBERS} - + − 90 180° π/2 π 2π/3 rad ° flat",
    Form.FORMULA: f"{_NUMBERS} s s² s^2 ^16 ^-16 √ √( ( ) ( ) [ ] R1 RL L1 C1 Rs R L j ω"
    " jω π + - * / ∥ || = H(s)=",
}  # fmt: skip
_SKETCHES = {
    Rung.GAIN_SKETCH: f"{_NUMBERS} +20 -20 0 −40 to , ; level dB 340 Hz 12 kHz 1e15 flat then"
    " dB/decade",
    Rung.PHASE_SKETCH: f"{_NUMBERS} +90 -90 0 180 to , ; ° jump at 340 Hz 12 kHz 3600 -3600"
    " flat π/2",
    Rung.MAP_SKETCH: "poles: zeros: poles zeros ; , and 1 2 8 9 20 none real complex pair"
    " pairs on the jω axis at origin double a 0",
}  # fmt: skip


@dataclass
class Found:
    """What the strings of one reader came to."""

    strings: int = 0
    worst: float = 0.0
    text: str = ""
    slow: int = 0
    raised: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Reader:
    """A reader, and what its strings are made of."""

    name: str
    read: Callable[[str], object]
    pieces: tuple[str, ...]
    valid: tuple[str, ...]
    documented: tuple[type[Exception], ...] = ()


def text_of(reader: Reader, chance: random.Random) -> str:
    """One string: pieces in any order, a valid text spoilt or repeated, or something nested."""
    kind = chance.randrange(8)
    if kind < 4:
        count = chance.choice((1, 2, 3, 5, 8, 13, 30, 120))
        gap = chance.choice(("", " ", " "))
        return gap.join(chance.choices(reader.pieces, k=count))
    if kind == 4:
        return (chance.choice(reader.pieces) + chance.choice((" ", ""))) * chance.randint(2, 300)
    if kind == 5:
        depth = chance.choice((2, 8, 40, 70))
        opening = chance.choice(("(", "√(", "1/(", "1+1/(1+", "s*(", "√", "((s+1)*"))
        return opening * depth + chance.choice(reader.pieces) + ")" * depth
    text = chance.choice(reader.valid)
    if kind == 6:
        join = chance.choice((", ", " ", "∥", "*", "/", "+"))
        return join.join([text] * chance.randint(1, 12))
    at = chance.randrange(len(text) + 1)
    return text[:at] + chance.choice(reader.pieces) + text[at + chance.randint(0, 3) :]


def readers() -> list[Reader]:
    """Every reader of typed text, on a circuit that asks every form."""
    found = []
    for circuit in (_CIRCUIT, "series R1 1 kΩ; shunt C1 100 nF"):
        ladder = read_circuit(circuit)
        known = facts(ladder)
        asked = (*questions_for(ladder, known, Chance(1)), *sketch_questions(known))
        problem = Problem(1, "", 0, 0, ladder, asked)
        found += [_of_question(problem, known, question) for question in asked]
    numbers = tuple(f"{_NUMBERS} Ω kΩ H F nF Hz rad/s ° dB m M 10^ *10^ - +".split())
    letters = tuple(_PIECES[Form.FORMULA].split())
    lines = tuple(f"{_NUMBERS} series shunt load R1 L1 C1 = + || ( ) ; # Ω source buffer".split())
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
    return [
        *found,
        Reader("quantity", lambda t: read_quantity(t, "Ω"), numbers, ("4.7 kΩ",), (QuantityError,)),
        Reader("formula", lambda t: parse(t, ("R1", "C")), letters, ("1/(s*C)",), (FormulaError,)),
        Reader("circuit", read_circuit, lines, (_CIRCUIT,), (NotationError,)),
        Reader(
            "day", lambda t: read_day(t, date(2026, 1, 1)), days, ("14 December 2026",), (DayError,)
        ),
    ]  # fmt: skip


def _of_question(problem: Problem, known: Facts, question: Question) -> Reader:
    from rungwise.problems.grading.grade import right_text

    climb = Climb(problem)
    sketch = question.form is Form.SKETCH
    pieces = _SKETCHES[question.rung] if sketch else _PIECES[question.form]

    def read(text: str) -> None:
        grade(problem, question, text, known)
        saying.echo(climb, question, text, 80)

    name = f"{question.rung.value} ({len(_elements(problem.ladder))} elements)"
    return Reader(name, read, tuple(pieces.split()), (right_text(question),))


def _elements(ladder: Ladder) -> tuple[object, ...]:
    return tuple(ladder.elements())


def study(count: int, seed: int = 1) -> dict[str, Found]:
    """Feed every reader its share of ``count`` strings."""
    chance = random.Random(seed)
    all_readers = readers()
    results = {reader.name: Found() for reader in all_readers}
    for number in range(count):
        reader = all_readers[number % len(all_readers)]
        text, result = text_of(reader, chance), results[reader.name]
        result.strings += 1
        spent = _timed(reader, text, result)
        for _ in range(2):  # the collector's pauses are not the reader's
            if spent > SLOWEST:
                spent = min(spent, _timed(reader, text, result))
        result.slow += spent > SLOWEST
        if spent > result.worst:
            result.worst, result.text = spent, text
    return results


def _timed(reader: Reader, text: str, result: Found) -> float:
    start = time.thread_time()
    try:
        reader.read(text)
    except reader.documented:
        pass
    except Exception as error:
        result.raised.setdefault(f"{type(error).__name__}: {error}"[:80], text)
    return time.thread_time() - start


def main() -> None:
    """Read as many strings as are asked for, and say what became of them."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    start = time.process_time()
    for name, found in study(count).items():
        print(f"{name:<32}{found.strings:>9,}{found.worst * 1000:>8.1f} ms  {found.text[:60]!r}")
        if found.slow:
            print(f"    {found.slow} above {SLOWEST * 1000:.0f} ms")
        for error, text in found.raised.items():
            print(f"    {error}\n      {text[:200]!r}")
    print(f"{count:,} strings, {time.process_time() - start:.0f} s of processor time")


if __name__ == "__main__":
    main()
