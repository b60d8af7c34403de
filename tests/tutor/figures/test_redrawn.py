"""Circuits redrawn at their ends, in rooms as the drill has them."""

from __future__ import annotations

from functools import cache

import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.hints.redrawing import decided
from rungwise.tutor.figures.looks.redrawn import redrawn
from rungwise.tutor.figures.schematic.draw import Schematic
from rungwise.tutor.phrases.redrawn import at, caption, in_lines, views

from tests.support.samples import whole

ROOMS = {"80x24": (76, 10), "120x40": (86, 15), "200x60": (92, 28)}


@cache
def circuits() -> list[Ladder]:
    return [generate(3, family=row.name).ladder for row in FAMILIES]


def drawn_in(room: str, plain: bool) -> list[Ladder]:
    """All in the smallest room; of the others, and in ASCII, every third, each one somewhere."""
    if whole() or (room == "80x24" and not plain):
        return circuits()
    return circuits()[[*ROOMS].index(room) :: 3]


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("room", ROOMS)
def test_every_end_stands_there_in_a_drawing_or_in_words(room: str, plain: bool) -> None:
    width, height = ROOMS[room]
    drawn = worded = 0
    for ladder in drawn_in(room, plain):
        for ends in ((End.LOW,), (End.HIGH,), tuple(End)):
            own, *others = views(ladder, [decided(ladder, end) for end in ends])
            picture = redrawn(own, others, width, height, ascii=plain)
            text = " ".join(picture.text.split())
            assert all(at(end) in text for end in ends)
            in_words = [" ".join(line.split()) for line in in_lines(ladder, ends)]
            if all(line in text for line in in_words):
                worded += 1
                lines = sum(line.startswith("At ") for line in picture.lines)
                assert lines == len(ends)
                alone = Schematic(ladder, ascii=plain).fit(width, height)
                assert picture.width <= max(width, alone.width)
                assert picture.height <= alone.height + 2 * len(ends)
            else:
                drawn += 1
                assert picture.width <= width and picture.height <= height
                if ladder.reactive():
                    assert "open" in text or "short" in text
            assert not plain or picture.text.isascii()
    assert drawn > 3 * worded


def test_the_circuit_stands_beside_its_end_where_there_is_room() -> None:
    ladder = read_circuit("series R1 = 1 k; shunt C1 = 1 nF")
    own, *ends = views(ladder, [decided(ladder, End.HIGH)])
    roomy = redrawn(own, ends, 86, 15)
    assert caption() in roomy.text and at(End.HIGH) in roomy.text
    narrow = redrawn(own, ends, 36, 9)
    assert caption() not in narrow.text and at(End.HIGH) in narrow.text


def test_what_is_compared_is_left_out_first() -> None:
    ladder, other = (read_circuit(f"{one} R1 = 1 k; {two} C1 = 1 nF") for one, two in
                     (("series", "shunt"), ("shunt", "series")))  # fmt: skip
    own, *others = views(ladder, [decided(ladder, End.HIGH)], other)
    assert "compare" in redrawn(own, others, 120, 15).text
    low = redrawn(own, others, 76, 9)
    assert "compare" not in low.text and at(End.HIGH) in low.text and caption() in low.text


def test_nothing_is_to_be_seen_where_no_end_is_spoken_of() -> None:
    assert views(read_circuit("series R1 = 1 k; shunt C1 = 1 nF"), []) == ()
