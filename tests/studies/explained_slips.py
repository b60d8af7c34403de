"""How many plausible wrong answers get a word: ``python -m tests.studies.explained_slips [SEEDS]``.

Of every family, for each seed (2 unless said otherwise), every question of analysing and the map:
all wrong choices, counts from 0 to 4, slopes up to ±80 dB/decade, phases up to ±360° in steps of
45°, maps with one pole elsewhere, and for figures the answers that learners are known to give,
worked out here from f0, Q, the edges and the parts, not taken from the slips.  Printed by kind of
question: how many there were, and what share the grader named a slip for.  Then the kinds of wrong
figure that got a word least often.
"""

from __future__ import annotations

import argparse
import math
from collections import Counter
from collections.abc import Iterator

from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.model import Kind
from rungwise.problems.generate.analyse import generate, typed
from rungwise.problems.generate.sketch import typed as sketched
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.analyse import pass_band_gain
from rungwise.problems.questions.model import Form, Problem, Question, Rung, Verdict

TWO_PI = 2 * math.pi
SWEPT = {
    rung.value
    for rung in (
        *(Rung.INDEPENDENT, Rung.POLES, Rung.ZEROS, Rung.ORIGIN_ZEROS, Rung.LOW_SLOPE),
        *(Rung.HIGH_SLOPE, Rung.LOW_PHASE, Rung.HIGH_PHASE, Rung.CORNER_PHASE),
    )
}
"""Kinds of which every value in a range is tried, likely or not."""


def plausible(known: Facts, question: Question) -> Iterator[tuple[str, str]]:
    """(what somebody thought, what is typed) of wrong answers to a question."""
    match question.form:
        case Form.CHOICE:
            yield from ((choice.id, choice.id) for choice in question.choices)
        case Form.COUNT:
            yield from ((str(n), str(n)) for n in range(5))
        case Form.SLOPE:
            yield from ((f"{n:+d}", f"{n} dB/decade") for n in range(-80, 81, 20))
        case Form.ANGLE:
            yield from ((f"{n:+d}", f"{n}°") for n in range(-360, 361, 45))
        case Form.LEVEL:
            for value in levels(question.figure):
                yield f"{value:+g}", f"{value:.5g} {question.unit}"
        case Form.QUANTITY | Form.RATIO | Form.GAIN:
            unit = question.unit
            for thought, value in figures(known, question):
                if value is not None and 0 < value < math.inf:
                    yield thought, f"{value:.5g} {unit}".strip()
        case Form.SKETCH if question.rung is Rung.MAP_SKETCH:
            yield from maps(known)


def levels(truth: float) -> Iterator[float]:
    """Levels that learners give: the other sign, half, twice, a rung higher or lower."""
    yield from (-truth, truth / 2, 2 * truth, truth + 20, truth - 20, truth + 90, truth - 90)


def figures(known: Facts, question: Question) -> Iterator[tuple[str, float | None]]:
    """Figures that learners give in place of the one asked."""
    truth, f0, q = question.figure, known.corner_hz, known.q
    low, high = known.edges_hz
    gain = pass_band_gain(known)
    match question.rung:
        case Rung.CORNER:
            yield from _frequency(truth)
            yield "period", 1 / truth
            yield "root forgotten", TWO_PI * truth**2 if known.transfer.order == 2 else None
            yield from (("edge", edge) for edge in known.edges_hz)
            if known.transfer.order == 2:
                poles = known.poles
                if poles[0].imag:
                    yield "sigma", abs(poles[0].real) / TWO_PI
                    yield "damped", abs(poles[0].imag) / TWO_PI
                else:
                    yield from (("one real pole", abs(p) / TWO_PI) for p in poles)
                yield "peak", known.peak_hz
                yield "middle", (low + high) / 2 if low and high else None
            for r in (e for e in known.ladder.elements() if e.kind is Kind.R):
                for x in known.ladder.reactive():
                    ohms, value = float(r.value or 1), float(x.value or 1)
                    rate = ohms / value if x.kind is Kind.L else 1 / (ohms * value)
                    yield "one R, one part", rate / TWO_PI
        case Rung.Q:
            yield from (
                ("1/Q", 1 / truth), ("Q²", truth**2), ("2Q", 2 * truth), ("ζ", 0.5 / truth),
                ("20 log Q", 20 * math.log10(truth) if truth > 1 else None),
                ("Q/2π", truth / TWO_PI), ("gain", float(gain) if gain else None),
                ("peak", known.peak_gain),
            )  # fmt: skip
        case Rung.GAIN:
            yield from (
                ("1", 1.0), ("0.707 of it", truth * math.sqrt(0.5)), ("0.707", math.sqrt(0.5)),
                ("the rest", 1 - truth), ("upside down", 1 / truth), ("Q", q), ("½", truth / 2),
            )  # fmt: skip
        case Rung.BANDWIDTH:
            yield from _frequency(truth)
            yield from (("f0", f0), ("lower edge", low), ("upper edge", high), ("half", truth / 2))
            yield "f0·Q", f0 * q if f0 and q else None
            band = math.sqrt(3)
            yield "−6 dB", truth * (band if known.type.value == "band-pass" else 1 / band)
        case Rung.LOWER_EDGE | Rung.UPPER_EDGE:
            yield from _frequency(truth)
            yield from (("f0", f0), ("other edge", low if truth == high else high))
            if f0 and q:
                yield from (("f0·Q", f0 * q), ("f0/Q", f0 / q))
                side = 1 if question.rung is Rung.UPPER_EDGE else -1
                if low and high:
                    yield "f0 ± B/2", f0 + side * f0 / (2 * q)
            yield "−6 dB", _half_voltage(known, question)


def _frequency(truth: float) -> Iterator[tuple[str, float]]:
    yield "ω as f", truth * TWO_PI
    yield "2π twice", truth / TWO_PI
    yield from (("prefix", truth * 10.0**n) for n in (3, -3))


def _half_voltage(known: Facts, question: Question) -> float | None:
    """Where the gain is half the pass band's, further out than the edge asked, by bisection."""
    gain = pass_band_gain(known)
    if not gain:
        return None

    def gap(f: float) -> float:
        return abs(known.transfer(2j * math.pi * f)) - float(gain or 0) / 2

    upwards = (question.rung is Rung.UPPER_EDGE) is not (known.type.value == "notch")
    near = far = question.figure
    for _ in range(400):
        near, far = far, far * (1.02 if upwards else 1 / 1.02)
        if gap(near) * gap(far) < 0:
            for _ in range(60):
                middle = math.sqrt(near * far)
                near, far = (middle, far) if gap(middle) * gap(far) < 0 else (near, middle)
            return near
    return None


def maps(known: Facts) -> Iterator[tuple[str, str]]:
    """Maps with all poles in one other region, and with zeros left out."""
    count = known.transfer.order
    zeros = known.transfer.zeros_at_origin
    placed = f"{zeros} at the origin" if zeros else "none"
    if known.transfer.zero_count != zeros or not count:
        return
    for thought, poles in (
        ("right half", f"{count} in the right half-plane"),
        ("real", f"{count} real"),
        ("pairs", f"{count // 2} complex pairs" if count % 2 == 0 else ""),
        ("jω axis", f"{count // 2} pairs on the jω axis" if count % 2 == 0 else ""),
    ):
        if poles:
            yield thought, f"poles: {poles}; zeros: {placed}"
    if zeros:
        kinds = ["real" if not p.imag else "pair" for p in known.poles]
        real, pairs = kinds.count("real"), kinds.count("pair") // 2
        yield "no zeros", f"poles: {real} real, {pairs} complex pairs; zeros: none"


def problems(seeds: int) -> Iterator[tuple[Problem, Facts]]:
    """Circuits of every family, with all that can be asked of them."""
    for seed in range(1, seeds + 1):
        for row in FAMILIES:
            ladder = generate(seed, family=row.name).ladder
            known = facts(ladder)
            yield typed(ladder), known
            yield sketched(ladder), known


def main() -> None:
    """Count them and print the shares."""
    parser = argparse.ArgumentParser()
    parser.add_argument("seeds", nargs="?", type=int, default=2)
    given = parser.parse_args()
    wrong: Counter[str] = Counter()
    worded: Counter[str] = Counter()
    silent: Counter[tuple[str, str]] = Counter()
    for problem, known in problems(given.seeds):
        for question in problem.questions:
            seen: set[str] = set()
            for thought, text in plausible(known, question):
                if text in seen:
                    continue
                seen.add(text)
                mark = grade(problem, question, text, known)
                if mark.passed or (mark.verdict is Verdict.UNCLEAR and thought != "right half"):
                    continue
                kind = question.rung.value
                wrong[kind] += 1
                worded[kind] += bool(mark.slips)
                if not mark.slips:
                    silent[kind, thought] += 1
    for kind in sorted(wrong):
        print(f"{kind:18}{wrong[kind]:7}{100 * worded[kind] / wrong[kind]:7.1f} %")
    for title, kinds in ("all values", SWEPT), ("choices, figures, maps", wrong.keys() - SWEPT):
        total, told = (sum(found[kind] for kind in kinds) for found in (wrong, worded))
        print(f"{title:24}{total:7}{100 * told / total:7.1f} %")
    for (kind, thought), count in silent.most_common():
        if kind not in SWEPT and count > 5:
            print(f"  {kind}: {thought}: {count} without a word")


if __name__ == "__main__":
    main()
