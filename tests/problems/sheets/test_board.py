"""Circuits for the board: right answers by nodal analysis, slips' answers by their own formulas."""

import math

import numpy
import pytest
from rungwise.problems.analysis.nodal import Network
from rungwise.problems.circuits.model import Kind
from rungwise.problems.generate.certify import certify
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.model import Rung, Verdict
from rungwise.problems.sheets.board import (
    BoardCircuit,
    board_circuit,
    plain,
    rounded,
    slipped_text,
)
from scipy import optimize


def shown(slip: str, rung: Rung, *families: str) -> BoardCircuit:
    found = board_circuit(slip, rung, families)
    assert found is not None
    return found


def gain(found: BoardCircuit, hertz: float) -> float:
    return abs(Network(found.problem.ladder).response(math.tau * hertz))


def values(found: BoardCircuit, kind: Kind) -> list[float]:
    return [float(e.value or 0) for e in found.problem.ladder.elements() if e.kind is kind]


def test_a_load_left_out_against_nodal_analysis() -> None:
    found = shown("load-ignored", Rung.CORNER, "loaded-rc-low-pass")
    assert found.problem.family == "loaded-rc-low-pass"
    at_dc = gain(found, 1e-6)
    corner = optimize.brentq(lambda f: gain(found, f) - at_dc / math.sqrt(2), 1e-3, 1e12)
    assert found.question.figure == pytest.approx(corner, rel=1e-6)
    (c,) = values(found, Kind.C)
    load = found.problem.ladder.load
    assert load is not None
    (r,) = [v for v in values(found, Kind.R) if v != load.value] or [float(load.value or 0)]
    assert found.slipped.value == pytest.approx(1 / (2 * math.pi * r * c))


def test_radians_for_hertz() -> None:
    found = shown("radians-as-hertz", Rung.CORNER, "rc-low-pass", "rl-high-pass")
    ratio = float(found.slipped.value) / found.question.figure  # type: ignore[arg-type]
    assert ratio == pytest.approx(2 * math.pi)
    assert gain(found, found.question.figure) == pytest.approx(math.sqrt(0.5))


def test_a_slip_of_the_unit_is_written_with_that_unit() -> None:
    found = shown("hertz-as-radians", Rung.CORNER, "rc-low-pass")
    assert right_text(found.question).endswith("Hz")
    assert slipped_text(found.question, found.slipped).endswith("rad/s")


def test_q_upside_down_against_the_poles() -> None:
    found = shown("q-inverted", Rung.Q, "series-rlc-across-c")
    (r,), (h,), (c,) = (values(found, kind) for kind in (Kind.R, Kind.L, Kind.C))
    one, _ = numpy.roots([h * c, r * c, 1])
    q = abs(one) / (-2 * one.real)
    assert found.question.figure == pytest.approx(q)
    assert found.slipped.value == pytest.approx(1 / q)


ASKED = [
    ("load-ignored", Rung.CORNER, "loaded-rc-low-pass", "shunt-fed-low-pass"),
    ("prefix-lost", Rung.CORNER, "rc-low-pass", "rl-low-pass"),
    ("root-forgotten", Rung.CORNER, "series-rlc-across-c"),
    ("roles-swapped", Rung.TYPE, "rl-low-pass", "series-fed-notch"),
    ("one-end-tested", Rung.TYPE, "series-rlc-across-r"),
    ("fed-from-load", Rung.FED, "shunt-fed-high-pass"),
    ("pair-counted-once", Rung.POLES, "series-rlc-across-c"),
    ("slope-sign", Rung.HIGH_SLOPE, "rc-low-pass"),
    ("ends-exchanged", Rung.WHICH_CIRCUIT, "rc-low-pass"),
]


@pytest.mark.parametrize(("slip", "rung", "families"), [(s, r, f) for s, r, *f in ASKED])
def test_what_is_shown_is_certified_differs_and_is_named(
    slip: str, rung: Rung, families: list[str]
) -> None:
    found = shown(slip, rung, *families)
    assert found.problem.family in families
    assert found.question.rung is rung and found.question in found.problem.questions
    certify(found.problem)
    assert plain(found)
    right, wrong = right_text(found.question), slipped_text(found.question, found.slipped)
    assert grade(found.problem, found.question, right).verdict is Verdict.RIGHT
    mark = grade(found.problem, found.question, wrong)
    assert mark.verdict is Verdict.WRONG
    assert mark.slips[0] == found.named and found.named.slip == slip
    if rung is not Rung.WHICH_CIRCUIT:
        for element in found.problem.ladder.elements():
            assert rounded(element) == element
            assert str(element.value).strip("0/")[0] in "125"
    assert found == board_circuit(slip, rung, families)


def test_families_that_do_not_show_it_give_way_to_others() -> None:
    found = shown("load-ignored", Rung.CORNER, "rc-low-pass", "no-such-family", "")
    assert found.problem.ladder.load is not None


def test_what_no_sheet_asks_or_no_slip_leads_to_has_no_circuit() -> None:
    assert board_circuit("load-ignored", Rung.FED, ["rc-low-pass"]) is None
    assert board_circuit("no-such-slip", Rung.CORNER, ["rc-low-pass"]) is None
