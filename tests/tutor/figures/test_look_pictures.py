"""What looks show: every facing in every room, errors explained, small plots and maps."""

from __future__ import annotations

import re
from itertools import combinations

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.look import make_look
from rungwise.problems.hints.counterfact import counterfact
from rungwise.problems.questions.looks import LOOK_KINDS, Facing, Look, LookKind
from rungwise.tutor.figures.looks.board import Room, Shown
from rungwise.tutor.figures.looks.explained import explained
from rungwise.tutor.figures.looks.face import curves, face
from rungwise.tutor.figures.looks.page import RoundFigures, round_page
from rungwise.tutor.figures.looks.places import side_by_side
from rungwise.tutor.figures.looks.small import small_gains, small_map

from tests.support.samples import sample

ROOMS = ((78, 20), (58, 16), (114, 31), (194, 50))
KINDS = pytest.mark.parametrize("kind", [row.kind for row in LOOK_KINDS])


def names(look: Look) -> set[str]:
    """Of every part that a look shows; a response alone shows none."""
    facing = look.row.facing
    circuits = () if facing.plotted else look.shown if facing.of_circuits else (look.ladder,)
    return {element.name for ladder in circuits for element in ladder.elements()}


@KINDS
@pytest.mark.parametrize("plain", [False, True], ids=["unicode", "ascii"])
def test_every_look_is_shown_whole(kind: LookKind, plain: bool) -> None:
    for seed in range(plain, sample(6, 12), 2):
        look = make_look(seed, kind)
        for room in ROOMS:
            picture = face(look, *room, ascii=plain)
            assert all(len(line) == picture.width for line in picture.lines)
            assert not plain or picture.text.isascii()
            assert all(name in picture.text for name in names(look)), picture.text
            if room != (58, 16):
                assert picture.width <= room[0] and picture.height <= room[1]
            choices = look.row.facing not in (Facing.CIRCUIT, Facing.PAIR)
            if choices or look.row.answers[0] == "first":
                assert len(picture.spots) == (4 if choices else 2)
                for key, spot in zip(look.row.keys, picture.spots, strict=False):
                    rows = picture.lines[spot.y : spot.y + spot.height]
                    assert any(row[spot.x :].startswith(f" {key} ") for row in rows)
            else:
                assert not picture.spots


@KINDS
def test_every_error_is_seen(kind: LookKind) -> None:
    """What is marked is pointed out, and both circuits are drawn with every name."""
    for seed in range(sample(2, 4)):
        look = make_look(seed, kind)
        for answer in look.answers:
            if answer == look.truth:
                continue
            fact = counterfact(look, answer)
            captions = ["This circuit", "That one"][: 1 + (fact.lookalike is not None)]
            for room in ROOMS:
                picture = explained(look, fact, captions, *room)
                assert captions[0] in picture.text and picture.width <= room[0]
                if look.row.facing.plotted:
                    assert len(captions) == 2 and captions[1] in picture.text
                    continue
                shown = [fact.circuit or look.ladder]
                shown += [fact.lookalike] if fact.lookalike is not None else []
                for ladder in shown:
                    assert all(e.name in picture.text for e in ladder.elements())
                pointed = {name for name in fact.marked if f"▸{name}" in picture.text}
                assert pointed == set(fact.marked) or "; " in picture.text


APART = 5
"""Cells in which any two curves that are chosen from differ at least, in the smallest room."""


@pytest.mark.parametrize("plain", [False, True], ids=["unicode", "ascii"])
@pytest.mark.parametrize("kind", [row.kind for row in LOOK_KINDS if row.facing.plotted])
def test_no_two_curves_look_alike(kind: LookKind, plain: bool) -> None:
    for seed in range(6):
        look = make_look(seed, kind)
        for width, height in ((33, 9), (18, 9), (50, 15), (90, 25)):
            drawn = curves(look, look.shown, width, height, ascii=plain)
            for one, other in combinations(drawn, 2):
                pairs = zip("".join(one.lines), "".join(other.lines), strict=True)
                assert sum(a != b for a, b in pairs) >= APART, f"{one.text}\n{other.text}"


def test_where_a_step_starts_and_ends_is_seen() -> None:
    """● is on the line of zero, or off it; at its right end the curve is a row off it at most."""
    for seed in range(12):
        look = make_look(seed, LookKind.STEP_OF_CIRCUIT)
        for size in ((14, 8), (24, 12), (44, 20)):
            seen = set()
            for ladder, picture in zip(look.shown, curves(look, look.shown, *size), strict=True):
                [zero] = [n for n, row in enumerate(picture.lines) if row.startswith("0")]
                [start] = [n for n, row in enumerate(picture.lines) if "●" in row]
                drawn = [span for span in picture.spans if span.role == "curve"]
                end = max(drawn, key=lambda span: span.col + span.length).row
                known, level = facts(ladder), abs(end - zero) > 1
                assert (start != zero, level) == (bool(known.gain_high), bool(known.gain_low))
                seen.add((start != zero, level))
            assert len(seen) == 4


def test_two_circuits_stand_below_each_other_where_it_is_narrow() -> None:
    pair = [Shown(read_circuit("series R1; shunt C1")), Shown(read_circuit("series C1; shunt R1"))]
    below = side_by_side(pair, Room(0, 0, 78, 20))
    assert below[0].x == below[1].x and below[1].y > below[0].y
    beside = side_by_side(pair, Room(0, 0, 114, 31))
    assert beside[0].y == beside[1].y and beside[1].x > beside[0].x
    high = [Shown(read_circuit("series R1; shunt L1 + L2 + C1"))] * 2
    assert side_by_side(high, Room(0, 0, 78, 14))[1].x > 0  # they are too tall for that
    reaching = side_by_side(high, Room(0, 0, 30, 14))
    assert reaching[-1].y + reaching[-1].height > 14  # and here one scrolls


# Small plots and maps


GAINS = {
    "series R1 = 1k; shunt C1 = 100n": ("0", "−20"),
    "series C1 = 100n; shunt R1 = 1k": ("+20", "0"),
    "source 50; series L1 = 1m; shunt C1 = 1u; load 50": ("0", "−40"),
    "series L1 = 1m + C1 = 1u; shunt R1 = 50": ("+20", "−20"),
    "series R1 = 1k; shunt R2 = 1k": ("0", "0"),
}


@pytest.mark.parametrize("plain", [False, True], ids=["unicode", "ascii"])
def test_small_plots_say_their_slopes_and_share_one_scale(plain: bool) -> None:
    plots = small_gains([facts(read_circuit(c)) for c in GAINS], 18, 8, ascii=plain)
    for plot, slopes in zip(plots, GAINS.values(), strict=True):
        assert (plot.width, plot.height) == (18, 8)
        first, *_, last = plot.lines[-1].split()
        wanted = tuple(s.replace("−", "-") for s in slopes) if plain else slopes
        assert (first, last) == wanted
    curves = [
        {
            (s.row, col)
            for s in plot.spans
            if s.role == "curve"
            for col in range(s.col, s.col + s.length)
        }
        for plot in plots
    ]
    low, high, steep, band, flat = curves
    mirrored = {(row, 18 - col) for row, col in high}
    assert len(low ^ mirrored) <= 4  # a low-pass is a high-pass turned round
    assert max(row for row, _ in steep) > max(row for row, _ in low)  # falls twice as fast
    assert {row for row, _ in flat} == {0} and len(band) > 10


@pytest.mark.parametrize("plain", [False, True], ids=["unicode", "ascii"])
@pytest.mark.parametrize(
    ("circuit", "poles", "zeros"),
    [
        ("series R1 = 1k; shunt C1 = 100n", 1, 0),
        ("series C1 = 100n; shunt R1 = 1k", 1, 1),
        ("series C1 = 100n; shunt R1 = 1k; buffer; series C2 = 10n; shunt R2 = 1k", 2, 2),
        ("source 50; series L1 = 1m; shunt C1 = 1u; load 50", 2, 0),
        ("source 50; shunt L1 = 1m + C1 = 1u; load 50", 2, 2),
        ("source 50; shunt L1 = 1m || C1 = 1u; series L2 = 1m + C2 = 1u; load 50", 4, 2),
    ],
)
def test_small_maps_hold_every_root(circuit: str, poles: int, zeros: int, plain: bool) -> None:
    response = facts(read_circuit(circuit))
    assert (len(response.poles), len(response.zeros)) == (poles, zeros)
    picture = small_map(response, 21, 9, ascii=plain)
    told = {}
    for role, sign in (("pole", "x" if plain else "×"), ("zero", "o" if plain else "○")):
        spans = [s for s in picture.spans if s.role == role]
        signs = "".join(picture.lines[s.row][s.col : s.col + s.length] for s in spans)
        told[role] = sum(int(many or 1) for many in re.findall(f"{sign}(\\d?)", signs))
    assert told == {"pole": poles, "zero": zeros}


def test_a_notch_has_its_zeros_on_the_axis_and_its_poles_to_the_left() -> None:
    response = facts(read_circuit("series R1 = 50; shunt L1 = 1m + C1 = 1u"))
    picture = small_map(response, 21, 9)
    axis = picture.lines[4].index("┼")
    zeros = [line.index("○") for line in picture.lines if "○" in line]
    poles = [line.index("×") for line in picture.lines if "×" in line]
    assert zeros == [axis, axis] and len(poles) == 2 and max(poles) < axis


# The page of a round


def test_the_page_has_the_table_and_both_pairs() -> None:
    looks = [make_look(seed) for seed in range(4)]
    kinds = ("low-pass", "high-pass", "band-pass", "notch", "flat")
    figures = RoundFigures(
        24,
        20,
        3.25,
        [("notch", "band-pass", 2), ("flat", "notch", 1)],
        [((looks[0], "one"), (looks[1], "two")), ((looks[2], "three"), (looks[3], "four"))],
        {kind: kind for kind in kinds},
    )
    for room in ROOMS:
        page = round_page(figures, *room)
        assert page.width == room[0] and page.height >= room[1]
        assert "20 of 24 right" in page.text and "3.2 s" in page.text
        rows = {line.split()[0]: line.split()[1:] for line in page.lines if line.split()}
        assert rows["notch"] == ["·", "·", "2", "·", "·"]
        assert rows["flat"] == ["·", "·", "·", "1", "·"]
        for caption in ("one", "two", "three", "four"):
            assert caption in page.text
    bare = round_page(RoundFigures(24, 24, 0.0, (), (), {}), 78, 18)
    assert "24 of 24 right." in bare.text and "for another" in bare.text
