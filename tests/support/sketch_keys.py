"""The keys that draw a right sketch, for screens and terminals alike."""

from __future__ import annotations

from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Question, Rung
from rungwise.problems.sketches.model import Region
from rungwise.problems.sketches.read import read_gain, read_phase
from rungwise.problems.sketches.read_map import read_map
from rungwise.tutor.drafting.map import PAIRED, PlacedRoot, counts


def hertz(frequency: float) -> list[str]:
    return [*f"{frequency:.4g}".replace("e+0", "e").replace("e+", "e"), "enter"]


def turned(now: int, wanted: int, step: int) -> list[str]:
    by = (wanted - now) // step
    return ["up" if by > 0 else "down"] * abs(by)


def keys_of(asked: Question) -> list[str]:
    """The keys that draw the right sketch on an empty sheet."""
    truth = right_text(asked)
    pressed: list[str] = []
    if asked.rung is Rung.MAP_SKETCH:
        # From the left half's real axis on, as Tab goes.
        for region in (Region.REAL, Region.ORIGIN, Region.RIGHT, Region.AXIS, Region.PAIR):
            for root, key in ((PlacedRoot.POLE, "p"), (PlacedRoot.ZERO, "z")):
                count = counts(read_map(truth)).get((region, root), 0)
                pressed += [key] * (count // 2 if region in PAIRED else count)
            pressed.append("tab")
        return pressed
    if asked.rung is Rung.GAIN_SKETCH:
        line = read_gain(truth)
        pressed += turned(0, line.slopes[0], 20)
        slope = line.slopes[0]
        for place, after in zip(line.breaks, line.slopes[1:], strict=True):
            pressed += ["a", *hertz(place), *turned(slope - 20, after, 20)]
            slope = after
        return [*pressed, "l", *f"{line.level:.2f}", "enter"]
    course = read_phase(truth)
    pressed += turned(0, course.start, 90)
    for jump, bends in ((True, course.jumps), (False, course.turns)):
        for place, turn in bends:
            # A value of 0° is stepped over.
            steps = turned(-90, turn, 90)
            pressed += ["home", "a", *(["j"] if jump else []), *hertz(place)]
            pressed += steps[1:] if turn > 0 else steps
    return pressed
