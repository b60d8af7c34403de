"""Scenes: how to come, by keyboard, to what a picture of a screen shows."""

from __future__ import annotations

import math
from collections.abc import Callable

from rungwise.problems.questions.looks import LookKind
from rungwise.problems.questions.model import Rung
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.themes import DUSK
from textual.pilot import Pilot

from tests.tutor.screens import (
    entering_scenes,
    inspect_scenes,
    learners,
    manners_scenes,
    predict_scenes,
    rehearsal_scenes,
    reverse_scenes,
    settling_scenes,
    sheet_scenes,
    sketch_scenes,
)

from .gallery import Scene
from .stage import answer, climb, question, settled
from .stage import answer_rightly as rightly


def tutor(theme: str = DUSK.name) -> Rungwise:
    app = Rungwise(ProblemRequest(None, "series-fed-low-pass", 11))
    app.theme = theme
    return app


async def half_way(pilot: Pilot[None]) -> None:
    """Some rungs right, one shown, one skipped; a wrong answer and two hints on the next."""
    await settled(pilot)
    await rightly(pilot)
    await rightly(pilot)
    await pilot.press("f3", "enter", "f4")
    await rightly(pilot)
    asked = question(pilot)
    if asked.choices:
        await answer(pilot, next(c.id for c in asked.choices if c.id != asked.truth))
    else:
        await answer(pilot, "7")
    await pilot.press("f2", "f2")


async def slipped(pilot: Pilot[None]) -> None:
    """The corner frequency given in rad/s: the slip is named."""
    await settled(pilot)
    while question(pilot).rung is not Rung.CORNER:
        await rightly(pilot)
    wanted = 2 * math.pi * float(question(pilot).truth)
    await answer(pilot, f"{wanted / 1e6:.4g} MHz")


async def hinted(pilot: Pilot[None]) -> None:
    """The same, and two hints asked for."""
    await slipped(pilot)
    await hints(pilot)


async def summit(pilot: Pilot[None]) -> None:
    """Every rung right, at the top, some steps into the worked solution."""
    await settled(pilot)
    while not climb(pilot).done:
        await rightly(pilot)
    await pilot.press("enter")
    await settled(pilot)


async def bench(pilot: Pilot[None]) -> None:
    """On the bench from the top of the climb: the load turned, two versions kept beside it."""
    await summit(pilot)
    await onto_the_bench(pilot)


async def onto_the_bench(pilot: Pilot[None]) -> None:
    """From the top of the climb: the load turned, two versions kept beside it."""
    await pilot.press("b")
    await settled(pilot)
    await pilot.press("down", "down", "k", *["left"] * 6, "k", *["right"] * 12)
    await settled(pilot)


async def chooser(pilot: Pilot[None]) -> None:
    """Choosing other problems."""
    await settled(pilot)
    await pilot.press("f5", "down", "right")
    await settled(pilot)


async def progress(pilot: Pilot[None]) -> None:
    """Where somebody with a past stands, one skill further down than the weakest."""
    await settled(pilot)
    await pilot.press("p")
    await settled(pilot)
    await pilot.press("down")


async def examined(pilot: Pilot[None]) -> None:
    """The day of the exam being typed."""
    await settled(pilot)
    await pilot.press("e")
    await settled(pilot)
    await pilot.press("ctrl+u", *"14", "space", *"Jan")


async def stepped(pilot: Pilot[None]) -> None:
    """The worked example of a first start, at its last step."""
    await settled(pilot)
    await pilot.press(*["right"] * 4)


async def lesson(pilot: Pilot[None]) -> None:
    """The lesson of the level: its first change foretold wrongly, and told."""
    await settled(pilot)
    await pilot.press("f7")
    await settled(pilot)
    await pilot.press("2")
    await settled(pilot)


async def palette(pilot: Pilot[None]) -> None:
    """Everything that can be done now, by name."""
    await settled(pilot)
    await pilot.press("ctrl+p")
    await settled(pilot)
    await pilot.press("down")
    await settled(pilot)


async def bench_asking(pilot: Pilot[None]) -> None:
    """The bench asks what the next change does: one answer given."""
    await bench(pilot)
    await asked_first(pilot)


async def bench_told(pilot: Pilot[None]) -> None:
    """The same, moved and told."""
    await bench_asking(pilot)
    await told(pilot)


async def own_circuit(pilot: Pilot[None]) -> None:
    """A circuit of one's own for the bench."""
    await bench(pilot)
    await typed_circuit(pilot)


async def catalogue(pilot: Pilot[None]) -> None:
    """A circuit of the catalogue for the bench."""
    await bench(pilot)
    await found(pilot)


SCENES: dict[str, tuple[Callable[[], Rungwise], Scene]] = {
    "opening-first": (Rungwise, stepped),
    "opening": (learners.revising, settled),
    "look": (Rungwise, inspect_scenes.look(3, LookKind.TYPE, before=3)),
    "look-error": (Rungwise, inspect_scenes.error(3, LookKind.TYPE)),
    "look-hint": (Rungwise, inspect_scenes.hint(9, LookKind.TYPE)),
    "look-pair": (Rungwise, inspect_scenes.look(2, LookKind.WHICH_ONE)),
    "look-response": (Rungwise, inspect_scenes.look(4, LookKind.WHICH_RESPONSE)),
    "look-circuits": (Rungwise, inspect_scenes.look(8, LookKind.WHICH_CIRCUIT)),
    "look-curves": (Rungwise, inspect_scenes.look(3, LookKind.GAIN_OF_Q)),
    "look-steps": (Rungwise, inspect_scenes.look(3, LookKind.STEP_OF_CIRCUIT)),
    "look-steps-error": (Rungwise, inspect_scenes.error(3, LookKind.STEP_OF_MAP)),
    "look-round": (Rungwise, inspect_scenes.over(6)),
    "progress": (learners.inspecting, progress),
    "exam": (learners.revising, examined),
    "drill": (tutor, half_way),
    "drill-slip": (tutor, slipped),
    "drill-hint": (tutor, hinted),
    "summit": (tutor, summit),
    "bench": (tutor, bench),
    "bench-asking": (tutor, bench_asking),
    "bench-told": (tutor, bench_told),
    "bench-circuit": (tutor, own_circuit),
    "bench-catalogue": (tutor, catalogue),
    "chooser": (tutor, chooser),
    "lesson": (tutor, lesson),
    "palette": (tutor, palette),
    "help": (tutor, manners_scenes.helped),
    "trouble": (tutor, manners_scenes.troubled),
    "summit-lines": (tutor, manners_scenes.lines),
    "sketch-gain": (sketch_scenes.sketching, sketch_scenes.gain),
    "sketch-phase": (sketch_scenes.sketching, sketch_scenes.phase),
    "sketch-map": (sketch_scenes.sketching, sketch_scenes.plane),
    "rehearsal-length": (rehearsal_scenes.summing_up, rehearsal_scenes.length),
    "rehearsal": (rehearsal_scenes.rehearsing, rehearsal_scenes.asked),
    "rehearsal-end": (rehearsal_scenes.rehearsing, rehearsal_scenes.handing_in),
    "rehearsal-review": (rehearsal_scenes.rehearsing, rehearsal_scenes.reviewed),
    "rehearsal-scores": (rehearsal_scenes.rehearsing, rehearsal_scenes.scored),
    "summing-up": (rehearsal_scenes.summing_up, rehearsal_scenes.summed),
    "reverse-gain": (reverse_scenes.from_gain, reverse_scenes.chosen_wrongly),
    "reverse-map": (reverse_scenes.from_map, reverse_scenes.picking),
    "reverse-why": (reverse_scenes.from_gain, reverse_scenes.why),
    "reverse-arm": (reverse_scenes.from_type, reverse_scenes.picking),
    "reverse-range": (reverse_scenes.from_range, reverse_scenes.typing),
    "predict-curve": (
        predict_scenes.about("series-rlc-across-r", Rung.READ_CORNER, first=True, measured=True),
        predict_scenes.marked,
    ),
    "predict-step": (
        predict_scenes.about("series-rlc-across-c", Rung.WHICH_STEP),
        predict_scenes.mistaken(Rung.WHICH_STEP),
    ),
    "predict-map": (
        predict_scenes.about("series-rlc-across-c", Rung.POLE_RADIUS, first=True),
        predict_scenes.reading,
    ),
    "predict-change": (
        predict_scenes.about("series-rlc-across-r", Rung.CHANGED_Q),
        predict_scenes.mistaken(Rung.CHANGED_Q),
    ),
    "sheets": (tutor, sheet_scenes.listed),
    "sheet": (sheet_scenes.filling, sheet_scenes.filled),
    "entering": (entering_scenes.papers, entering_scenes.half_entered),
    "settling": (settling_scenes.waiting, settling_scenes.reading),
    "settling-list": (settling_scenes.waiting, settling_scenes.listed),
}
"""What opens the tutor, and the scene to play, by the name of the picture."""


async def hints(pilot: Pilot[None]) -> None:
    """Two hints on the question in hand."""
    await pilot.press("f2", "f2")


async def asked_first(pilot: Pilot[None]) -> None:
    """From the bench: it asks what the next change does, and one answer is given."""
    await pilot.press("p", "right", "1")
    await settled(pilot)


async def told(pilot: Pilot[None]) -> None:
    """The other answers given."""
    await pilot.press("1", "2")
    await settled(pilot)


async def typed_circuit(pilot: Pilot[None]) -> None:
    """From the bench: a circuit of one's own."""
    await pilot.press("c")
    await settled(pilot)


async def found(pilot: Pilot[None]) -> None:
    """From the bench: the catalogue, narrowed."""
    await pilot.press("f", *"notch")
    await settled(pilot)


def closed(scene: Scene) -> Scene:
    """A scene that begins when the window on top has been closed."""

    async def onward(pilot: Pilot[None]) -> None:
        await pilot.press("escape")
        await settled(pilot)
        await scene(pilot)

    return onward


WALKS: dict[str, dict[str, Scene]] = {
    "drill-slip": {"drill-hint": hints},
    "summit": {
        "bench": onto_the_bench,
        "bench-circuit": typed_circuit,
        "bench-catalogue": closed(found),
        "bench-asking": closed(asked_first),
        "bench-told": told,
    },
    "chooser": {
        "help": closed(manners_scenes.helped),
        "palette": closed(palette),
        "lesson": closed(lesson),
        "trouble": closed(manners_scenes.troubled),
        "sheets": closed(sheet_scenes.listed),
    },
    "opening": {"exam": examined},
    "look": {
        name: SCENES[name][1]
        for name in (
            *("look-error", "look-hint", "look-pair", "look-response", "look-circuits"),
            *("look-curves", "look-steps", "look-steps-error", "look-round"),
        )
    },
    "rehearsal-review": {"rehearsal-scores": rehearsal_scenes.other_page},
    "rehearsal-length": {"summing-up": closed(rehearsal_scenes.summed)},
}
"""Scenes that show the same when they are come to from the one before, and how that is done."""
