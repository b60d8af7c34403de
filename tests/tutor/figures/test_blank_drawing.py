"""Drawings with a gap: an arm as a box with a question mark, a value as a question mark."""

from __future__ import annotations

import io
import re

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.groups import LEVELS
from rungwise.problems.circuits.gaps import BOX, boxed
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.generate.reverse import generate
from rungwise.problems.grading.grade import right_text
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.kinds import REVERSED
from rungwise.problems.questions.model import Face, Problem, Rung
from rungwise.tutor.drafting.gaps import blanked
from rungwise.tutor.figures.bode.chart import chart
from rungwise.tutor.figures.schematic.draw import Schematic
from rungwise.tutor.figures.schematic.parts import BLANK
from rungwise.tutor.phrases.responses import lines
from rungwise.tutor.plain.drill import PlainDrill

from .test_schematic import pictured

CIRCUITS = {
    "source 1 kΩ; series L1 1 mH; shunt C1 10 nF; load 1 kΩ": ("L1", "C1"),
    "series R1 1 kΩ; shunt L1 1 mH || C1 10 nF": ("R1", "L1 C1"),
    "series L1 1 mH + C1 10 nF; shunt R1 50 Ω; buffer; series R2 1 kΩ; shunt C2 1 nF": (
        "L1 C1",
        "R2",
        "C2",
    ),
}
CASES = [(read_circuit(text), names.split()) for text, all_ in CIRCUITS.items() for names in all_]
FORMS = [(ascii_, compact) for ascii_ in (False, True) for compact in (False, True)]


@pytest.mark.parametrize(("ascii_", "compact"), FORMS)
@pytest.mark.parametrize(("ladder", "names"), CASES)
def test_an_arm_left_out_is_a_box(
    ladder: Ladder, names: list[str], ascii_: bool, compact: bool
) -> None:
    drawing = pictured(boxed(ladder, names), compact, ascii=ascii_)
    assert drawing.text.count("?") == 1
    assert BOX.name not in drawing.text
    assert not any(re.search(rf"\b{name}\b", drawing.text) for name in names)
    assert len({len(line) for line in drawing.lines}) == 1
    assert not ascii_ or drawing.text.isascii()
    # The box is one closed rectangle, joined to a wire on two opposite sides.
    cells = {(s.row, s.col + k) for s in drawing.spans if s.role == BLANK for k in range(s.length)}
    rows, cols = {r for r, _ in cells}, {c for _, c in cells}
    assert len(rows) >= 3 and len(cols) >= 5
    for corner in ((min(rows), min(cols)), (max(rows), max(cols))):
        assert corner in cells
    around = [
        drawing.lines[r][c]
        for r, c in (
            (min(rows) - 1, (min(cols) + max(cols)) // 2),
            ((min(rows) + max(rows)) // 2, min(cols) - 1),
        )
        if r >= 0 and c >= 0
    ]
    assert any(char in "─│┬┼├┤┴┌-|+" for char in around), drawing.text


@pytest.mark.parametrize(("ascii_", "compact"), FORMS)
def test_a_value_left_out_is_a_question_mark(ascii_: bool, compact: bool) -> None:
    for ladder, names in CASES:
        drawing = pictured(ladder, compact, ascii=ascii_, unknown=names)
        assert drawing.text.count("= ?") == len(names)
        for element in ladder.elements():
            assert element.name in drawing.text
        plain = pictured(ladder, compact, ascii=ascii_)
        assert "?" not in plain.text


def test_rooms_and_pages_know_the_unknown() -> None:
    for ladder, names in CASES:
        for width, height in ((80, 10), (40, 8), (120, 20)):
            assert "= ?" in Schematic(ladder, unknown=names).fit(width, height).text
        assert "= ?" in Schematic(ladder, unknown=names).fold(40).text


def test_a_bare_chart_is_the_curve_and_nothing_worked_out_of_it() -> None:
    known = facts(read_circuit("series R 100 Ω; series L 10 mH; shunt C 100 nF"))
    whole, bare = (chart(known, 76, 16, bare=b) for b in (False, True))
    assert "5.033 kHz" in whole.text
    for word in ("kHz", "f0", "exact", "asymptotes", "peak", "−3 dB"):
        assert word not in bare.text
    roles = {span.role for span in bare.spans}
    assert "curve" in roles
    assert not roles & {"asymptote", "corner", "edge", "peak"}
    # The curve runs where it runs in the whole chart: the axes are the same.
    assert [bare.frequency, bare.level] != [None, None]


def test_a_response_in_words_tells_what_its_chart_shows() -> None:
    known = facts(read_circuit("series R 1 kΩ; shunt L 10 mH + C 100 nF"))
    said = " ".join(lines(known, Face.GAIN))
    assert "0 dB/decade" in said
    assert "At 5.03 kHz nothing gets through." in said
    assert re.search(r"0 dB at 30 Hz", said)
    said = " ".join(lines(known, Face.MAP))
    assert "Finite zeros: ±j·31.6 krad/s." in said
    double = facts(
        read_circuit("series R 1 kΩ; shunt C 1 µF; buffer; series R2 1 kΩ; shunt C2 1 µF")
    )
    assert "−1 krad/s (2 of them)" in " ".join(lines(double, Face.MAP))
    assert "Finite zeros: none." in " ".join(lines(double, Face.MAP))


# ------------------------------------------------------------------------- the plain drill


def told(problem: Problem, answers: list[str], **options: bool) -> str:
    output = io.StringIO()
    PlainDrill(io.StringIO("\n".join(answers) + "\n"), output, echo=True, **options).run(
        lambda i: problem, 1, problem.seed
    )
    return output.getvalue()


@pytest.mark.parametrize("ascii_", [False, True])
@pytest.mark.parametrize("level", LEVELS)
def test_the_plain_drill_hides_and_then_shows_the_circuit(level: int, ascii_: bool) -> None:
    for seed in range(8):
        problem = generate(seed, level=level)
        answers = [right_text(q) for q in problem.questions]
        output = told(problem, answers, draw=True, ascii=ascii_)
        assert not ascii_ or output.isascii()
        assert all(len(line) <= 80 for line in output.splitlines())
        back = [q for q in problem.questions if q.rung in REVERSED]
        first = "Right:" if len(back) == 1 else "Question 2 of"
        before = output[: output.index(first)]
        hidden = [e for e in problem.ladder.elements() if e.name in problem.blank]
        for element in hidden:
            value = write_quantity(element.value or 0, element.kind.unit, ascii=ascii_)
            assert f"{element.name} = {value}" not in before
            shared = any(
                e.value == element.value for e in problem.ladder.elements() if e != element
            )
            assert shared or f" {value}" not in before[: before.index("\n> ")]
        assert output.count("Right:") + output.count("Right, roughly:") == len(answers)
        after = output[output.index(first) :]
        for line in write_circuit(problem.ladder).splitlines():
            assert ascii_ or line in after


def test_what_is_blank_is_drawn_blank() -> None:
    for seed in range(40):
        problem = generate(seed, level=1 + seed % 6)
        ladder, unknown = blanked(problem, problem.face)
        missing = any(q.rung is Rung.MISSING_ARM for q in problem.questions)
        assert (BOX.name in {e.name for e in ladder.elements()}) is missing
        assert bool(unknown) is (problem.face is Face.BLANK and not missing)
        assert blanked(problem, Face.CIRCUIT) == (problem.ladder, ())
