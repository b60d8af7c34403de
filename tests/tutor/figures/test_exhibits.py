"""Exhibits in characters: what is read off them is what they were made of."""

from __future__ import annotations

import re

import pytest
from rungwise.problems.questions.curve_reading import value_at
from rungwise.problems.questions.exhibit import Chart, Exhibit
from rungwise.tutor.figures.exhibit import ExhibitChart, exhibit, log_ticks, upper_roots
from rungwise.tutor.figures.looks.board import LookPicture

from tests.support.exhibits import four, gain, notch_map

SIZES = [(78, 11), (48, 11), (90, 17), (120, 30)]
ALL = [
    gain(),
    gain(measured=True),
    notch_map(),
    *(four(chart) for chart in Chart),
    *(four(chart, together=True) for chart in list(Chart)[:3]),
]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("plain", [False, True])
def test_all_exhibits_fit_their_room(size: tuple[int, int], plain: bool) -> None:
    for shown in ALL:
        picture = exhibit(shown, *size, ascii=plain)
        assert (picture.width, picture.height) == size
        assert not plain or picture.text.isascii()
        if len(shown.plots) > 1:  # each is named by its letter
            for letter in "abcd":
                assert re.search(rf"(?<!\w){letter}|{letter}(?!\w)", picture.text), picture.text


def test_too_small_a_room_stays_blank() -> None:
    for shown in ALL:
        assert not exhibit(shown, 12, 4).text.strip()


@pytest.mark.parametrize("size", SIZES)
def test_a_marker_reads_what_the_curve_is(size: tuple[int, int]) -> None:
    shown = gain()
    points = shown.plots[0].points
    for place in (1e3, 2e3, 3.183e3, 5.5e3, 1e4):
        said = exhibit(shown, *size, marker=place).lines[0]
        found = re.search(r"([\d.]+) kHz:\s+(−?[\d.]+) dB", said)
        assert found, said
        assert float(found[1]) * 1e3 == pytest.approx(place, rel=5e-3)
        level = float(found[2].replace("−", "-"))
        assert level == pytest.approx(value_at(points, place), abs=0.006)


def test_the_places_of_a_chart_are_those_of_its_dots() -> None:
    """The highest dots of a resonance stand in the column of its frequency."""
    for size in SIZES[2:]:
        picture = exhibit(gain(), *size)
        assert isinstance(picture, ExhibitChart)
        left, top, columns, _ = picture.plot
        row = picture.lines[top][left : left + columns]
        lit = [n for n, sign in enumerate(row) if 0x2800 < ord(sign) < 0x2900]
        middle = picture.places[lit[0] + lit[-1]]
        assert middle == pytest.approx(3183, rel=0.03)


def test_a_marker_out_of_sight_stands_at_the_end() -> None:
    assert "1 kHz" in exhibit(gain(), 78, 11, marker=1.0).lines[0]
    assert "10 kHz" in exhibit(gain(), 78, 11, marker=1e9).lines[0]


def test_roots_are_read_one_by_one() -> None:
    shown = notch_map()
    roots = upper_roots(shown.plots[0])
    assert [sign for sign, _ in roots] == ["×", "○"]
    said = [exhibit(shown, 78, 11, marker=n).lines[0] for n in range(len(roots))]
    assert "× (−5 ± j·19.4) krad/s" in said[0] and "○ ±j·20 krad/s" in said[1]


@pytest.mark.parametrize("chart", Chart)
def test_pictures_to_choose_from_have_one_scale(chart: Chart) -> None:
    shown = four(chart)
    picture = exhibit(shown, 96, 24)
    assert isinstance(picture, LookPicture)
    scales = set()
    for room in picture.spots:
        rows = picture.lines[room.y : room.y + room.height]
        cut = [row[room.x : room.x + room.width] for row in rows]
        scales.add(tuple(re.findall(r"−?\d[\d.]*", "\n".join(row.split("┤")[0] for row in cut))))
    if chart is not Chart.MAP:
        assert len(scales) == 1 and len(next(iter(scales))) >= 2


def test_where_pictures_do_not_fit_all_stand_in_one() -> None:
    for chart in list(Chart)[:3]:
        assert isinstance(exhibit(four(chart), 40, 10), ExhibitChart)
    text = exhibit(four(Chart.MAP), 40, 10).text
    assert all(re.search(rf"(?<!\w){letter}|{letter}(?!\w)", text) for letter in "abcd")


def test_ticks_of_a_narrow_axis_are_evenly_apart() -> None:
    places = sorted(place for place, _ in log_ticks(29.7, 59.0))
    assert places == [30, 35, 40, 45, 50, 55]
    assert {place for place, _ in log_ticks(1, 10)} >= {1, 2, 5, 10}


def test_nothing_but_points_is_drawn() -> None:
    """A chart of an exhibit has no straight lines, no −3 dB, no corner."""
    for shown in (gain(), four(Chart.GAIN, together=True)):
        picture = exhibit(shown, 90, 20)
        roles = {span.role for span in picture.spans}
        assert not roles & {"asymptote", "corner", "edge", "peak"}


def test_the_same_exhibit_is_the_same_picture() -> None:
    made: list[Exhibit] = [gain(), gain()]
    first, second = (exhibit(one, 78, 11) for one in made)
    assert first == second
