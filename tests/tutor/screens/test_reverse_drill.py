"""Ways back to the circuit on the screen: shown, climbed by keyboard, given away by nothing."""

from __future__ import annotations

from functools import cache

import pytest
from rungwise.problems.generate.reverse import generate
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.model import Face as Kind
from rungwise.problems.questions.model import Problem, Rung, Task
from rungwise.tutor.screens.answers.choices import Choices
from rungwise.tutor.screens.answers.face import CircuitFace
from rungwise.tutor.screens.common.notes import Notes
from rungwise.tutor.screens.drill.summit import SummitScreen
from rungwise.tutor.screens.pictures.circuit import Circuit
from textual.pilot import Pilot

from tests.support.samples import covering

from .stage import (
    MEDIUM,
    SIZES,
    SMALL,
    answer,
    answer_rightly,
    climb,
    drill,
    question,
    settled,
    squeezed,
    stage,
    text,
)

WAYS = {
    "gain": ("series-rlc-across-r", Rung.WHICH_CIRCUIT, Kind.GAIN),
    "map": ("series-rlc-across-c", Rung.WHICH_CIRCUIT, Kind.MAP),
    "arm": ("series-fed-band-pass", Rung.MISSING_ARM, Kind.BLANK),
    "value": ("series-rlc-across-c", Rung.ELEMENT_VALUE, Kind.BLANK),
    "range": ("receiver-tank", Rung.LEAST_VALUE, Kind.BLANK),
}


@cache
def seed_of(way: str) -> tuple[str, int]:
    """A family and a seed that lead back in this way."""
    family, rung, face = WAYS[way]
    for seed in range(60):
        problem = generate(seed, family=family)
        if problem.questions[0].rung is rung and problem.face is face:
            return family, seed
    raise AssertionError(way)


def open_way(way: str, size: tuple[int, int]):  # type: ignore[no-untyped-def]
    family, seed = seed_of(way)
    return stage(size, family=family, seed=seed, task=Task.REVERSE)


def problem(pilot: Pilot[None]) -> Problem:
    return climb(pilot).problem


def shown(pilot: Pilot[None]) -> Kind:
    """What stands on the left: the circuit, with or without a gap, or a response."""
    face = drill(pilot).query_one(CircuitFace)
    figures = [f for f in face.query(".response") if f.display and not f.has_class("-off")]
    if figures:
        return Kind.MAP if type(figures[0]).__name__ == "PlaneView" else Kind.GAIN
    circuit = face.query_one(Circuit)
    assert circuit.display
    return Kind.CIRCUIT if circuit.ladder == problem(pilot).ladder else Kind.BLANK


@pytest.mark.parametrize(("way", "size"), covering(WAYS, SIZES))
async def test_a_climb_by_keyboard(way: str, size: tuple[int, int]) -> None:
    async with open_way(way, size) as pilot:
        assert question(pilot).rung is WAYS[way][1]
        assert shown(pilot) is WAYS[way][2]
        while not climb(pilot).done:
            await answer_rightly(pilot)
            await pilot.pause()
        assert shown(pilot) is Kind.CIRCUIT
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, SummitScreen)
        summary = climb(pilot).summary()
        assert summary.full == summary.steps


@pytest.mark.parametrize("size", [SMALL, MEDIUM], ids=["80x24", "120x40"])
@pytest.mark.parametrize("way", ["value", "range"])
async def test_the_value_is_not_there_before_it_is_answered(
    way: str, size: tuple[int, int]
) -> None:
    async with open_way(way, size) as pilot:
        parts = {e.name: e for e in problem(pilot).ladder.elements()}
        name = dict(question(pilot).values)["element"]
        element = parts[name]
        value = write_quantity(element.value or 0, element.kind.unit)
        await pilot.press("f2", "f2")
        await pilot.pause()
        assert "= ?" in text(pilot)
        assert value not in squeezed(pilot)
        while question(pilot).rung in (Rung.ELEMENT_VALUE, Rung.LEAST_VALUE, Rung.MOST_VALUE):
            assert shown(pilot) is Kind.BLANK
            await answer_rightly(pilot)
            await pilot.pause()
        assert "= ?" not in text(pilot)
        assert value in squeezed(pilot)


async def test_typing_the_unknown_s_own_name_tells_nothing() -> None:
    async with open_way("value", MEDIUM) as pilot:
        name = dict(question(pilot).values)["element"]
        await pilot.press("2", "asterisk", *name)
        await pilot.pause()
        assert "read as" not in text(pilot)


async def test_a_missing_arm_is_a_box() -> None:
    async with open_way("arm", MEDIUM) as pilot:
        screen = text(pilot)
        assert "╔" in screen and "?" in screen
        parts = [e for e in problem(pilot).ladder.elements() if e.name in problem(pilot).blank]
        values = [write_quantity(e.value or 0, e.kind.unit) for e in parts]
        assert not any(value in screen for value in values)
        await answer_rightly(pilot)
        await pilot.pause()
        screen = text(pilot)
        assert "╔" not in screen
        assert all(value in screen for value in values)


async def test_a_surrender_shows_the_circuit() -> None:
    async with open_way("arm", MEDIUM) as pilot:
        assert shown(pilot) is Kind.BLANK
        await pilot.press("f3")
        await pilot.pause()
        assert shown(pilot) is Kind.CIRCUIT
        assert "The answer:" in text(pilot)


@pytest.mark.parametrize("way", ["gain", "map"])
async def test_a_response_bears_no_label_that_gives_it_away(way: str) -> None:
    async with open_way(way, MEDIUM) as pilot:
        screen = text(pilot).lower()
        for word in ("low-pass", "high-pass", "band-pass", "notch", "f0 ", "−3 db", "peak"):
            assert word not in screen, word


async def test_circuits_are_drawn_where_there_is_room() -> None:
    async with open_way("gain", MEDIUM) as pilot:
        assert text(pilot).count("│ ~ │") == 4  # each has its source
        assert drill(pilot).has_class("-choosing")
        choices = drill(pilot).query_one(Choices)
        await pilot.press("down")
        assert choices.picked == 0
        await pilot.press("right")
        assert choices.picked == 1
        await pilot.press("down")
        assert choices.picked == 3
        await pilot.press("left")
        assert choices.picked == 2
        await pilot.press("b")
        assert choices.picked == 1
        await pilot.resize_terminal(*SMALL)
        await pilot.pause()
        assert "series" in text(pilot) and text(pilot).count("Vout") <= 1
        assert choices.picked == 1
        await pilot.resize_terminal(*MEDIUM)
        await pilot.pause()
        assert text(pilot).count("│ ~ │") == 4


async def test_a_drawn_circuit_is_chosen_by_mouse() -> None:
    async with open_way("gain", MEDIUM) as pilot:
        choices = drill(pilot).query_one(Choices)
        width = choices.size.width
        await pilot.click(choices, offset=(width - 3, 2))
        assert choices.picked == 1
        await pilot.click(choices, offset=(3, choices.size.height - 2))
        assert choices.picked == 2


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40", "200x60"])
@pytest.mark.parametrize("way", ["gain", "map"])
async def test_a_wrong_circuit_is_flagged_and_explained_in_sight(
    way: str, size: tuple[int, int]
) -> None:
    async with open_way(way, size) as pilot:
        asked = question(pilot)
        wrong = next(c.id for c in asked.choices if c.id != asked.truth)
        await answer(pilot, wrong)
        await pilot.pause()
        assert "✗" in text(pilot)
        assert question(pilot) is asked
        mark = climb(pilot).current.last
        assert mark is not None and mark.slips
        told = drill(pilot).words.slip(mark.slips[-1])
        place = drill(pilot).query_one(Notes).region
        rows = text(pilot).splitlines()[place.y : place.bottom]
        seen = " ".join(" ".join(row[place.x : place.right] for row in rows).split())
        assert " ".join(told.split()[-3:]) in seen


@pytest.mark.parametrize(("way", "size"), covering(WAYS, [(60, 20), *SIZES]))
async def test_prompt_and_answer_are_in_sight(way: str, size: tuple[int, int]) -> None:
    async with open_way(way, size) as pilot:
        while not climb(pilot).done:
            asked = question(pilot)
            prompt = drill(pilot).words.prompt(asked).split()
            assert " ".join(prompt[:4]) in squeezed(pilot), asked.rung
            control = drill(pilot).focused
            assert control is not None
            region = control.region
            assert region.bottom <= size[1] - 1, (asked.rung, region)
            await answer_rightly(pilot)
            await pilot.pause()
