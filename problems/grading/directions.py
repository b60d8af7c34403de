"""Slopes, phases and gains in words: falls, rolls off, lags, in phase, a loss of."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

from ..formulas.work import Work
from ..quantities.spelling import shown as quoted
from ..quantities.spelling import uniform
from ..questions.model import Form, Posed, Rung, figure_of
from .examples import example
from .figures import read_figure
from .formulas import ReadingCase
from .levels import is_angle, is_decibels
from .reading import Reading, Unclear
from .said import bare, squashed

_FLAT = frozenset(
    ("flat", "level", "horizontal", "none", "zero", "constant", "noslope", "zeroslope", "levelsoff",
     "staysflat", "itisflat", "nochange", "slopezero", "slopeofzero", "flatline", "remainsflat",
     "staysconstant", "remainsconstant", "staysthesame", "flatgain", "constantgain")
)  # fmt: skip
_LEVEL = frozenset(("flat", "level", "horizontal", "constant"))
_IN_PHASE = frozenset(
    ("inphase", "nophaseshift", "nophase", "noshift", "nolag", "nolead", "zerophase",
     "zerophaseshift", "zerodegrees", "inphasewithinput", "inphasewiththeinput", "isinphase",
     "phasezero", "samephase")
)  # fmt: skip
_OPPOSITE = frozenset(
    ("antiphase", "inantiphase", "oppositephase", "inoppositephase", "outofphase", "inverted",
     "inopposition", "oppositeinphase", "inverting", "phaseopposition")
)  # fmt: skip
_DOWN = frozenset(
    ("falls", "fall", "falling", "drops", "drop", "dropping", "decreases", "decrease",
     "decreasing", "declines", "declining", "down", "downward", "downwards", "rolls", "roll",
     "rolling", "rolloff", "roll-off", "descends", "descending", "decays", "decay", "sinks",
     "reduces", "reduced", "fall-off", "falloff")
)  # fmt: skip
_UP = frozenset(
    ("rises", "rise", "rising", "increases", "increase", "increasing", "climbs", "climbing",
     "grows", "growing", "up", "upward", "upwards", "ascends", "ascending")
)  # fmt: skip
_LAG = frozenset(("lag", "lags", "lagging", "lagged", "behind", "delayed", "late"))
_LEAD = frozenset(("lead", "leads", "leading", "ahead", "advanced", "early"))
_LOSS = frozenset(
    ("loss", "attenuation", "attenuated", "attenuates", "down", "below", "lower", "reduction",
     "damped", "loses", "deep", "insertion")
)  # fmt: skip
_ABOVE = frozenset(("above", "higher", "over", "boost", "boosted", "boosts"))
_LOSS_SAID = _LOSS | {"a", "an", "of"}
_SAME = frozenset(
    ("flat", "none", "zero", "unity", "unitygain", "same", "thesame", "nochange", "sameastheinput",
     "sameasinput", "unchanged", "noloss", "noattenuation")
)  # fmt: skip
_FILLERS = frozenset(
    ("at", "by", "with", "a", "an", "slope", "of", "the", "gain", "magnitude", "it", "goes", "rate",
     "off", "response", "output", "amplitude", "is", "curve", "line", "asymptote", "asymptotically",
     "and", "voltage", "to", "going", "phase", "angle", "shift", "in", "about", "approximately",
     "from", "linearly", "then", "steadily", "input", "signal", "its", "there", "relative",
     "towards", "approaches", "stays", "remains", "levels", "tends",
     "transfer", "function", "be", "will", "has", "times", "source", "level", "than")
)  # fmt: skip
_IN_PHASE_WORDS = re.compile(r"\bin phase\b", re.IGNORECASE)
_TOWARDS_LOW = re.compile(
    r"\b(?:towards?|to|approaching) (?:dc|zero|0 hz|f ?= ?0|low(?:er)? frequenc(?:y|ies))"
)
_WITH_FREQUENCY = re.compile(
    r"\b(?:with|as) (?:the )?(?:rising |increasing |growing |higher )?frequency(?: rises| increases"
    r"| grows| goes up)?\b|\b(?:towards?|to) (?:very )?high(?:er)? frequenc(?:y|ies)\b"
)
_NUMBERS = {
    "two hundred and seventy": "270", "two hundred seventy": "270",
    "one hundred and eighty": "180", "one hundred eighty": "180", "a hundred and eighty": "180",
    "hundred and eighty": "180", "one-eighty": "180", "one eighty": "180",
    "one hundred and thirty-five": "135", "one hundred thirty-five": "135",
    "forty-five": "45", "forty five": "45", "ninety": "90", "eighty": "80", "sixty": "60",
    "forty": "40", "twenty": "20", "twelve": "12", "eighteen": "18", "six": "6", "three": "3",
}  # fmt: skip
_NUMBER = re.compile(r"\b(?:" + "|".join(_NUMBERS) + r")\b")
_UNITY = re.compile(r"\bunity(?: gain)?\b", re.IGNORECASE)
_GAINS = {"unity": "1", "one": "1", "unitygain": "1", "half": "0.5", "onehalf": "0.5",
          "ahalf": "0.5", "gainofone": "1", "gainofunity": "1"}  # fmt: skip
_SIGN_WORDS = {"minus": "-", "negative": "-", "plus": "+", "positive": "+"}


@dataclass(frozen=True, slots=True)
class _Directed:
    """What is left of a text, and which way its words point: −1, +1, or 0 for none."""

    text: str
    way: int = 0
    contradicts: bool = False
    towards_low: bool = False
    with_frequency: bool = False
    flat: bool = False


def read_directed(case: ReadingCase, text: str, work: Work) -> Reading:
    """Read a slope, a phase or a gain, in words too.

    ``text`` answers the question of ``case``; the steps are counted on ``work``.

    Raises:
        Unclear: it was not understood, or may point either way.
        TooMuchWorkError: it asks for more work than is left.
    """
    form, word = case.question.form, squashed(bare(text))
    angle, decibels = is_angle(case.question), is_decibels(case.question)
    if form is Form.GAIN:
        text = _GAINS.get(word, _UNITY.sub("1", text))
    elif form is Form.QUANTITY:  # a loss or a depth, of which the sign says nothing
        kept = [w for w in text.split() if w.strip(",;:.()!").casefold() not in _LOSS_SAID]
        return read_figure(case, " ".join(kept) or text, work)
    elif form is Form.SLOPE and word in _FLAT:
        return Reading(0.0, "0 dB/decade", "dB/decade")
    elif decibels and word in _SAME:
        return Reading(0.0, "0 dB", "dB")
    elif decibels and word in _GAINS:
        raise Unclear("answer.no-level", ratio=quoted(text.strip()), example=example(case))
    elif angle and (word in _IN_PHASE or word in _FLAT):
        return Reading(0.0, "0°", "°")
    elif angle and word in _OPPOSITE:
        if form is Form.ANGLE and case.rung is not Rung.LOW_PHASE:
            raise Unclear("answer.which-half-turn", typed=quoted(text.strip()))
        return Reading(180.0, "180°", "°")
    found = _directed(case, text)
    if found.contradicts:
        raise Unclear("answer.both-ways", typed=quoted(text.strip()), example=example(case))
    if not found.text.strip():
        raise Unclear("answer.no-figure", typed=quoted(text.strip()), example=example(case))
    reading = read_figure(case, found.text, work)
    if found.way:
        return _turned(case, reading, found, text)
    against = found.towards_low and reading.value is not None and figure_of(reading.value) < 0
    if against:
        raise Unclear("answer.falls-which-way", typed=quoted(text.strip()))
    if found.flat and reading.value:
        raise Unclear("answer.both-ways", typed=quoted(text.strip()), example=example(case))
    if form is Form.ANGLE and _radians(reading, found.text):
        raise Unclear("answer.radians", typed=quoted(text.strip()), example=example(case))
    return reading


def _radians(reading: Reading, text: str) -> bool:
    """Whether a bare number is an eighth of a turn, or several, in radians: −1.57."""
    figure = reading.figure
    if figure is None or figure.value.denominator == 1 or any(c.isalpha() for c in text):
        return False
    eighths = float(figure.value) / (math.pi / 4)
    return "°" not in text and bool(round(eighths)) and abs(eighths - round(eighths)) < 0.01


def _directed(case: ReadingCase, text: str) -> _Directed:
    folded = text.casefold()
    if not any(c.isalpha() for c in folded):
        return _Directed(text)
    ups, downs = _words_of(case.question)
    low, high = _TOWARDS_LOW.search(folded), _WITH_FREQUENCY.search(folded)
    for match in sorted(filter(None, (low, high)), key=lambda m: -m.start()):
        text = f"{text[: match.start()]} {text[match.end() :]}"
    folded = text.casefold()
    text = _NUMBER.sub(lambda m: _NUMBERS[m[0]], folded) if _NUMBER.search(folded) else text
    level = _LEVEL if case.question.form is Form.SLOPE else frozenset(("in-phase",))
    text = _IN_PHASE_WORDS.sub("in-phase", text)
    kept: list[str] = []
    ways: set[int] = set()
    waiting, spoken, subject, flat = "", False, "", False
    for word in text.split():
        core = word.strip(",;:.()!").casefold()
        if core in ("input", "output", "source") and not ways:
            subject = core
        if core in ups or core in downs:
            ways.add(1 if core in ups else -1)
            spoken = True
        elif core in level:
            flat = spoken = True
        elif core in _SIGN_WORDS:
            waiting, spoken = _SIGN_WORDS[core], True
        elif core not in _FILLERS or not core:
            kept.append(waiting + word)
            waiting = ""
    if not spoken:
        return _Directed(text, towards_low=bool(low))
    rest = " ".join(kept)
    if flat:
        return _Directed(rest or "0", contradicts=bool(ways), flat=True)
    if waiting:  # a negative slope of 20 has its sign, 20 negative has it behind
        rest = waiting + rest
    # It is the output whose phase is asked for.
    of_input = is_angle(case.question) and subject in ("input", "source")
    contradicts = len(ways) > 1 or (bool(ways) and of_input)
    way = ways.pop() if len(ways) == 1 else 0
    return _Directed(rest, way, contradicts, bool(low), bool(high))


def _words_of(question: Posed) -> tuple[frozenset[str], frozenset[str]]:
    if question.form is Form.SLOPE:
        return _UP, _DOWN
    if is_angle(question):
        return _LEAD, _LAG
    if is_decibels(question):
        return _UP | _ABOVE, _DOWN | _LOSS
    return frozenset(), _LOSS if question.rung is Rung.GAIN else frozenset()


def _turned(case: ReadingCase, reading: Reading, found: _Directed, text: str) -> Reading:
    """The reading with the sign that the words give it.

    Raises:
        Unclear: a sign was typed that says otherwise, or it may be either.
    """
    if reading.value is None or (reading.formula is not None and reading.lettered):
        raise Unclear("answer.both-ways", typed=quoted(text.strip()), example=example(case))
    value = figure_of(reading.value)
    typed = uniform(found.text).text.lstrip(" =")[:1]
    way = found.way
    if case.question.form is Form.GAIN:
        if reading.unit != "dB":
            raise Unclear("answer.loss-in-decibels", typed=quoted(text.strip()))
    elif case.question.form is Form.SLOPE:
        low = case.rung is Rung.LOW_SLOPE
        if low and way < 0 and found.towards_low and not found.with_frequency:
            way = 1
        elif found.towards_low or (low and way < 0 and not found.with_frequency):
            raise Unclear("answer.falls-which-way", typed=quoted(text.strip()))
    if reading.unit == "dB" and reading.figure is not None:
        value = float(reading.figure.value)
    if (typed == "+" and way < 0) or (value < 0 < way):
        raise Unclear("answer.both-ways", typed=quoted(text.strip()), example=example(case))
    if (way < 0) == (value < 0) or not value:
        return reading
    return _negated(reading, case)


def _negated(reading: Reading, case: ReadingCase) -> Reading:
    assert reading.value is not None
    figure = reading.figure and replace(reading.figure, value=-reading.figure.value)
    if reading.unit == "dB" and case.question.unit == "":
        value = 1 / figure_of(reading.value)  # the ratio of as many decibels below
    else:
        value = -figure_of(reading.value)
    shown = reading.shown
    if figure is not None:
        shown = figure.shown
    elif reading.figure is None and reading.formula is None:
        shown = f"−{shown}"
    return replace(reading, value=value, figure=figure, shown=shown)
