"""Curves of looks in words: the four are told apart, and what is told is what scipy finds."""

from __future__ import annotations

import math
import re
from itertools import combinations

import numpy as np
import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.prototypes import (
    TYPES_OF_TWO,
    prototype,
    prototype_type,
    quality,
    quality_of,
)
from rungwise.problems.generate.look import make_look
from rungwise.problems.questions.looks import LOOK_KINDS, Facing, Look, LookKind
from rungwise.tutor.phrases.curves import told, told_map
from scipy import signal

from tests.support.told_predicted import step_of, textbook

CURVES = tuple(
    row.kind
    for row in LOOK_KINDS
    if row.facing.plotted or row.facing is Facing.CIRCUIT_STEPS
)  # fmt: skip


def number(text: str) -> float:
    return float(text.replace("−", "-"))


@pytest.mark.parametrize("kind", CURVES)
def test_the_four_are_told_apart_in_words(kind: LookKind) -> None:
    for seed in range(12):
        look = make_look(seed, kind)
        lines = [told(look, ladder) for ladder in look.shown]
        assert len(set(lines)) == 4
        for line in lines:
            assert "{" not in line and "-" not in line and "nan" not in line


def looks(kind: LookKind) -> list[Look]:
    return [make_look(seed, kind) for seed in range(6)]


@pytest.mark.parametrize("kind", [LookKind.GAIN_OF_Q, LookKind.PHASE_OF_Q])
def test_figures_about_the_corner_are_those_of_scipy(kind: LookKind) -> None:
    for look in looks(kind):
        for ladder in look.shown:
            system = textbook(prototype_type(ladder), quality_of(ladder).q)
            line = told(look, ladder)
            found = re.findall(r"([\d.]+) Hz ([+−]?\d+)", line)
            assert len(found) == 7
            places = np.array([float(f) for f, _ in found])
            _, levels, phases = signal.bode(system, w=math.tau * places)
            wanted = levels if kind is LookKind.GAIN_OF_Q else phases
            said = np.array([number(value) for _, value in found])
            turns = np.round((said - wanted) / 360) * 360 if kind is LookKind.PHASE_OF_Q else 0
            assert np.allclose(said, wanted + turns, atol=0.51)


def test_turns_of_a_step_are_those_of_scipy() -> None:
    for look in looks(LookKind.STEP_OF_Q):
        for ladder in look.shown:
            values = step_of(prototype_type(ladder), quality_of(ladder).q, 6.0, 6001)
            for value, seconds in re.findall(
                r"turns at (−?[\d.]+) after ([\d.]+) s", told(look, ladder)
            ):
                at = round(number(seconds) * 1000)
                near = values[max(0, at - 20) : at + 20]
                assert min(abs(near - number(value))) < 0.011


def test_a_map_is_told_with_the_angle_of_its_poles() -> None:
    assert told_map(prototype("low-pass", quality("1"))).endswith(
        "the poles 60° off the negative real axis"
    )
    assert "both poles in one place" in told_map(prototype("high-pass", quality("½")))
    for kind in TYPES_OF_TWO:
        texts = [told_map(prototype(kind, quality(text))) for text in ("½", "1", "3", "5")]
        assert all(one != other for one, other in combinations(texts, 2))
        assert facts(prototype(kind, quality("5"))).type == kind
