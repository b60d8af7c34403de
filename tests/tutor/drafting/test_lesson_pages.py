"""The pages of the lessons: a prediction before every change, one right choice, reasons that hold.

What is right is checked against nodal analysis written for the tests, not against the engine.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.catalogue.groups import LEVELS
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.generate.foretell import Foretold, PredictedChange
from rungwise.problems.hints.counterfact import counterfact
from rungwise.tutor.drafting.lesson import LOOKS, LessonWork, looks_of
from rungwise.tutor.drafting.lesson_pages import LessonChart, LessonPage, Turn, every_page, pages_of
from rungwise.tutor.language.texts import entry, table
from rungwise.tutor.language.wrap import fold
from rungwise.tutor.phrases import lessons as saying
from rungwise.tutor.phrases import looks as saying_looks

from tests.support import witness

PAGES = every_page()
each_page = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.key)


def predictions(page: LessonPage) -> list[PredictedChange]:
    """What is foretold on a page, in order."""
    found, work = [], LessonWork(page)
    while work.prediction is not None:
        found.append(work.prediction)
        work.move()
    return found


def test_every_level_has_two_to_four_pages() -> None:
    for level in LEVELS:
        assert 2 <= len(pages_of(level)) <= 4, level
    assert [page.level for page in PAGES] == sorted(page.level for page in PAGES)
    assert len({page.key for page in PAGES}) == len(PAGES)


@each_page
def test_a_prediction_stands_before_every_change(page: LessonPage) -> None:
    work = LessonWork(page)
    seen = work.bench.version.ladder, work.end
    for _ in page.moves:
        assert work.prediction is not None
        assert (work.bench.version.ladder, work.end) == seen, "it moved before it was asked"
        work.move()
        assert (work.bench.version.ladder, work.end) != seen, "nothing moved"
        seen = work.bench.version.ladder, work.end
    assert work.free and work.prediction is None
    work.go_on()
    for number in range(LOOKS):
        assert work.number == number and work.look is not None
        work.go_on()
    assert work.done and work.look is None


# What the response is, without the engine


def _middle(ladder: Ladder, prediction: PredictedChange) -> float:
    known = prediction.after.corner_hz or prediction.after.peak_hz or 1e3
    return known if ladder is prediction.after.ladder else prediction.before.corner_hz or known


def _gains(ladder: Ladder, about: float) -> np.ndarray:
    return np.abs(witness.swept(ladder, about / 1e4, about * 1e4, 8001))


def _type(ladder: Ladder, about: float) -> str:
    """By the rule of the trade, on a sampled curve."""
    gains = _gains(ladder, about)
    low, high, top = gains[0], gains[-1], gains.max()
    passed = [end > top / 2.01 for end in (low, high)]
    blocked = [end < top / 10 for end in (low, high)]
    if passed == [True, True]:
        return "notch" if gains.min() < min(low, high) / 10 else "flat"
    if blocked == [True, True]:
        return "band-pass"
    if passed[0] and blocked[1]:
        return "low-pass"
    return "high-pass" if blocked[0] and passed[1] else "other"


def _way(before: float, after: float) -> str:
    if math.isclose(before, after, rel_tol=1e-5):
        return "same"
    return "up" if after > before else "down"


def _bandwidth(ladder: Ladder, about: float) -> float:
    """Between the −3 dB points, by sampling: of a peak, or of a null."""
    hertz = np.geomspace(about / 100, about * 100, 40001)
    gains = np.abs(witness.swept(ladder, about / 100, about * 100, 40001))
    inside = gains > gains.max() / math.sqrt(2)
    if inside[0]:  # a notch: what is blocked is the band
        inside = ~inside
    return float(np.ptp(hertz[inside]))


def _overshoot(ladder: Ladder, about: float) -> float:
    """e^(−π·ζ/√(1−ζ²)) of a two-pole low-pass, from the fitted denominator."""
    q = witness.denominator(ladder, 2, about)[1]
    if q <= 0.5:
        return 0.0
    damping = 1 / (2 * q)
    return math.exp(-math.pi * damping / math.sqrt(1 - damping**2))


def witnessed(prediction: PredictedChange) -> str:
    """What is right, by nodal analysis alone."""
    ladders = prediction.before.ladder, prediction.after.ladder
    abouts = [_middle(ladder, prediction) for ladder in ladders]
    last, about = ladders[1], abouts[1]
    poles = prediction.after.transfer.order
    match prediction.asked:
        case Foretold.TYPE:
            return _type(last, about)
        case Foretold.LOW_END | Foretold.HIGH_END:
            gains = _gains(last, about)
            end = gains[0] if prediction.asked is Foretold.LOW_END else gains[-1]
            return "passes" if end > gains.max() / 2.01 else "blocked"
        case Foretold.POLES:
            return str(witness.order(last))
        case Foretold.ORIGIN_ZEROS:
            return str(witness.falls(last, End.LOW))
        case Foretold.LOW_SLOPE:
            slope = 20 * witness.falls(last, End.LOW)
            return f"+{slope}" if slope else "0"
        case Foretold.HIGH_SLOPE:
            slope = 20 * witness.falls(last, End.HIGH)
            return f"-{slope}" if slope else "0"
        case Foretold.CORNER:
            orders = [witness.order(ladder) for ladder in ladders]
            fitted = zip(ladders, orders, abouts, strict=True)
            return _way(*(witness.denominator(*arguments)[0] for arguments in fitted))
        case Foretold.Q:
            return _way(
                *(witness.denominator(a, poles, f)[1] for a, f in zip(ladders, abouts, strict=True))
            )
        case Foretold.NATURE:
            q = witness.denominator(last, 2, about)[1]
            if math.isclose(q, 0.5, rel_tol=1e-6):
                return "double"
            return "real" if q < 0.5 else "complex"
        case Foretold.BANDWIDTH:
            widths = [_bandwidth(a, f) for a, f in zip(ladders, abouts, strict=True)]
            same = math.isclose(*widths, rel_tol=2e-3)
            return "same" if same else _way(*widths)
        case Foretold.GAIN:
            return _way(*(_gains(a, f).max() for a, f in zip(ladders, abouts, strict=True)))
        case Foretold.PEAK:
            return _way(*(_gains(a, f).max() for a, f in zip(ladders, abouts, strict=True)))
        case Foretold.AT_CORNER:
            at = [abs(witness.swept(a, f, f, 1)[0]) for a, f in zip(ladders, abouts, strict=True)]
            return _way(*at)
        case Foretold.OVERSHOOT:
            return _way(*(_overshoot(a, f) for a, f in zip(ladders, abouts, strict=True)))
        case Foretold.RATIO:
            corners = [
                witness.denominator(a, 2, f)[0] for a, f in zip(ladders, abouts, strict=True)
            ]
            turned = next(
                float(one.value / other.value)
                for one, other in zip(*(ladder.elements() for ladder in ladders), strict=True)
                if one != other and one.value and other.value
            )
            factor = corners[1] / corners[0]
            powers = {"root": 0.5, "equal": 1.0, "square": 2.0}
            return next(
                k for k, p in powers.items() if math.isclose(factor**p, turned, rel_tol=1e-5)
            )
    raise AssertionError(prediction.asked)


@each_page
def test_each_prediction_has_one_right_choice_and_it_is_right(page: LessonPage) -> None:
    for prediction in predictions(page):
        words = [saying.choice(prediction, choice) for choice in prediction.choices]
        assert len(set(words)) == len(words) == len(prediction.keys) >= 2
        assert prediction.choices.count(prediction.truth) == 1
        assert prediction.truth == witnessed(prediction), prediction.asked


@each_page
def test_reasons_say_the_figures_that_are_there(page: LessonPage) -> None:
    """Figures told of a corner, a Q or a bandwidth are those of nodal analysis."""
    for prediction in predictions(page):
        said = saying.why(prediction)
        assert said.endswith(".") and "{" not in said
        if prediction.asked in (Foretold.CORNER, Foretold.Q, Foretold.NATURE):
            told = prediction.effect
            figures = prediction.figures if told is None else (told.before, told.after)
            for known, figure in zip((prediction.before, prediction.after), figures, strict=True):
                ladder, about = known.ladder, known.corner_hz
                assert about is not None
                fitted = witness.denominator(ladder, known.transfer.order, about)
                wanted = fitted[0] / math.tau if prediction.asked is Foretold.CORNER else fitted[1]
                assert math.isclose(figure, wanted, rel_tol=1e-4)
        for answer in prediction.choices:
            told_of = saying.told(prediction, answer)
            right = saying.choice(prediction, prediction.truth)
            assert right in told_of
            assert told_of.startswith("✓" if answer == prediction.truth else "✗")


@each_page
@pytest.mark.parametrize("turn", [0, 1, 2])
def test_every_page_ends_with_two_looks_and_their_errors_are_explained(
    page: LessonPage, turn: int
) -> None:
    looks = looks_of(page, turn)
    assert len(looks) == LOOKS and looks[0] != looks[1]
    assert [look.kind for look in looks] == [glance.kind for glance in page.looks]
    for look in looks:
        assert look.answers.count(look.truth) == 1
        for answer in look.answers:
            if answer != look.truth:
                assert saying_looks.counter(look, counterfact(look, answer))


def test_a_page_worked_again_has_other_looks() -> None:
    page = pages_of(2)[0]
    assert looks_of(page, 0) != looks_of(page, 1)
    assert looks_of(page, 1) == looks_of(page, 1)


# Free changes


@each_page
def test_the_circuit_is_changed_freely_and_the_last_change_undone(page: LessonPage) -> None:
    work = LessonWork(page, len(page.moves))
    assert work.free and not work.undo()
    settled = work.bench.version.ladder
    assert work.turn_part(up=True) and work.bench.version.ladder != settled
    now, [before] = work.shown
    assert before.ladder == settled and now.letter != before.letter
    assert work.undo() and work.bench.version.ladder == settled
    for turn in page.turns:
        if turn is Turn.LOSS:
            assert work.bench.pick("L1")
        assert work.change(turn), turn


def test_the_ends_come_round() -> None:
    work = LessonWork(pages_of(1)[0], 3)
    seen = []
    for _ in range(3):
        assert work.change(Turn.END)
        seen.append(work.end)
    assert seen == [End.LOW, End.HIGH, None]


def test_a_page_that_was_left_goes_on_where_it_was() -> None:
    page = pages_of(2)[1]
    for at in range(LessonWork(page).steps + 1):
        work = LessonWork(page, at)
        moved = min(at, len(page.moves))
        assert work.at == at and work.done == (at == work.steps)
        assert work.bench.version.ladder == page.moments[moved].version.ladder
    assert LessonWork(page, 99).done and LessonWork(page, -3).at == 0


def test_a_chart_that_would_tell_comes_when_all_is_foretold() -> None:
    page = pages_of(1)[0]
    charts = [LessonWork(page, at).chart for at in range(len(page.moves) + 1)]
    assert charts == [None] * len(page.moves) + [LessonChart.BODE]


# Words


def test_every_page_has_its_words_and_no_word_is_idle() -> None:
    wanted = {}
    for level in LEVELS:
        names = {page.name: page for page in pages_of(level)}
        wanted[f"level-{level}"] = {"title", *names}
        found = table("lessons")[f"level-{level}"]
        assert set(found) == wanted[f"level-{level}"]
        for name, page in names.items():
            moves = {f"move-{n}" for n in range(1, len(page.moves) + 1)}
            assert set(found[name]) == {"title", "text", "rule", *moves}
    assert set(table("lessons")) == set(wanted)
    for figure in Foretold:
        assert figure in {move.asked for page in PAGES for move in page.moves}


@each_page
def test_words_fit_a_small_terminal(page: LessonPage) -> None:
    """78 columns: five rows before anything moves, nine for a rule or an answer."""

    def rows(text: str) -> int:
        return sum(len(fold(line, 78)) or 1 for line in text.splitlines())

    assert rows(saying.text(page)) <= 5
    assert rows(saying.rule(page)) <= 9
    for number, prediction in enumerate(predictions(page)):
        asked = saying.asked(page, number, prediction)
        assert rows(asked) <= 2
        # In the strip of keys the last choice alone may reach over its place.
        words = [saying.choice(prediction, choice) for choice in prediction.choices]
        assert all(len(word) <= 11 for word in words[:-1]), words
        for answer in prediction.choices:
            assert rows(f"{asked}\n{saying.told(prediction, answer)}") <= 9


def test_pages_that_could_hurt_somebody_say_so() -> None:
    assert {page.key for page in PAGES if page.cautious} == {"4.tuning-c", "7.lossy", "7.tuning-l"}
    for page in PAGES:
        assert (entry("lesson", "caution") in saying.rule(page)) is page.cautious
    for word in ("lightning", "power lines", "electrical code", "capacitors"):
        assert word in entry("lesson", "caution")


# Worked examples from outside


def facts_of(key: str, at: int) -> PredictedChange:
    page = next(page for page in PAGES if page.key == key)
    return predictions(page)[at]


def test_bandwidth_of_a_series_circuit_as_a_textbook_works_it() -> None:
    """OpenStax, University Physics vol. 2, ch. 15: 100 Ω, 2 H, 5 µF: 50 Hz, Q 6.32, 50 rad/s."""
    known = facts_of("4.bandwidth", 0).before
    assert known.corner_hz is not None and known.q is not None
    assert math.isclose(known.corner_hz, 50, rel_tol=0.01)
    assert math.isclose(known.q, 6.32, rel_tol=1e-3)
    assert known.bandwidth_hz is not None
    assert math.isclose(math.tau * known.bandwidth_hz, 50, rel_tol=1e-9)


def test_loading_of_a_low_pass_as_a_textbook_works_it() -> None:
    """Kuphaldt, Lessons in Electric Circuits vol. II, ch. 8 (Design Science License).

    500 Ω and 7 µF: corner 45.473 Hz, .6728 V of 1 V at 50 Hz; with a load of 1 kΩ .6102 V at 30 Hz
    and .2760 V at 150 Hz.
    """
    prediction = facts_of("5.loading", 0)
    corner = prediction.before.corner_hz
    assert corner is not None and math.isclose(corner, 45.473, abs_tol=5e-4)
    for known, hertz, volts in (
        (prediction.before, 50, 0.6728),
        (prediction.after, 30, 0.6102),
        (prediction.after, 150, 0.2760),
    ):
        assert math.isclose(abs(known.transfer(1j * math.tau * hertz)), volts, abs_tol=6e-5)


def test_capacitance_ratio_of_a_tuned_circuit() -> None:
    """Tuning 540 to 1600 kHz with one inductor takes Cmax/Cmin = (1600/540)² = 8.779."""
    prediction = facts_of("4.tuning-c", 0)
    low, high = prediction.before.corner_hz, prediction.after.corner_hz
    assert low is not None and high is not None
    assert math.isclose(low, 540e3, rel_tol=1e-3) and math.isclose(high, 1600e3, rel_tol=1e-3)
    assert math.isclose(prediction.figures[1], 8.779, rel_tol=1e-3)
    assert "8.78" in saying.why(prediction)
