"""Answers by construction: right ones of every kind, wrong ones, and what contradicts itself.

What is right, and what is not, is known from how an answer was made: no reader is asked.  A wrong
answer is written just as a right one is, around another value.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from rungwise.problems.analysis.letters import formulas
from rungwise.problems.analysis.response import Facts
from rungwise.problems.circuits.model import Arm, Element, Joint, Kind, Ladder, Place
from rungwise.problems.formulas.layout import echo
from rungwise.problems.formulas.read import parse
from rungwise.problems.formulas.tree import (
    Formula,
    Letter,
    Minus,
    Number,
    Parallel,
    Power,
    Product,
    Quotient,
    SquareRoot,
    Sum,
)
from rungwise.problems.grading.setting import Setting
from rungwise.problems.questions.model import Form, Problem, Question, Rung, formula_of
from rungwise.tutor.language.texts import Words

RIGHT, WRONG, NEVER = "right", "wrong", "contradicting"

WORDS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight")
PREFIXES = {-12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G"}
BEFORE = ("", "", "about ", "approx. ", "ca. ", "roughly ", "it is ", "it's about ", "I think ",
          "≈ ", "~", "= ")  # fmt: skip
AFTER = ("", "", "", ".", ", I think", " or so", " approx.", "!")


@dataclass(frozen=True)
class Typed:
    """An answer: of which kind, what it has to be, its text, and how its writer writes numbers."""

    kind: str
    truth: str
    text: str
    decimal: str = ""


def setting(question: Question, typed: Typed) -> Setting:
    """What the answer is read by."""
    return Words.load().setting(question, typed.decimal)


def answers(
    problem: Problem, known: Facts, question: Question, chance: random.Random
) -> Iterator[Typed]:
    """Some answers to a question: right, wrong, contradicting."""
    makers: dict[Form, Callable[..., Iterator[Typed]]] = {
        Form.CHOICE: _choices,
        Form.COUNT: _counts,
        Form.SLOPE: _slopes,
        Form.ANGLE: _angles,
        Form.LEVEL: _levels,
        Form.FORMULA: _transfers,
        Form.QUANTITY: _figures,
        Form.RATIO: _figures,
        Form.GAIN: _figures,
    }
    make = makers.get(question.form)
    if make is None:
        return
    found = [t for t in make(problem, known, question, chance) if len(t.text.encode()) < 1000]
    for truth, most in ((RIGHT, 4), (WRONG, 2), (NEVER, 2)):
        of = [typed for typed in found if typed.truth == truth]
        kinds = sorted({typed.kind for typed in of})
        for kind in chance.sample(kinds, min(most, len(kinds))):  # each kind as often as others
            yield chance.choice([typed for typed in of if typed.kind == kind])
    blank = chance.choice(("?", "-", "idk", "I don't know", "???", "—"))
    if not chance.randrange(8):
        yield Typed("blank", NEVER, blank)


def _around(text: str, chance: random.Random) -> str:
    return chance.choice(BEFORE) + text + chance.choice(AFTER)


# --------------------------------------------------------------------------- choices


def _choices(
    problem: Problem, known: Facts, question: Question, chance: random.Random
) -> Iterator[Typed]:
    words = Words.load()
    ids = [choice.id for choice in question.choices]
    right = ids.index(str(question.truth))
    for place, choice in enumerate(question.choices):
        truth = RIGHT if place == right else WRONG
        letter, shown = "abcdefgh"[place], words.choice(question, choice)
        for text in (shown, shown.upper(), shown.rstrip("."), f"  {shown} "):
            yield Typed("words as shown", truth, text)
        for text in (f"{letter}) {shown}", f"{letter}: {shown}", f"({letter}) {shown}",
                     f"{letter.upper()}. {shown}", f"{place + 1}) {shown}", f"{shown} ({letter})",
                     f"answer {letter}: {shown}"):  # fmt: skip
            yield Typed("letter with words", truth, text)
        for text in (letter, f"({letter})", f"option {letter}", f"{letter}.", str(place + 1)):
            yield Typed("letter", truth, text)
        other = (place + 1) % len(ids)
        yield Typed("letter against words", NEVER, f"{'abcdefgh'[other]}) {shown}")
        yield Typed("two choices", NEVER, f"{letter} or {'abcdefgh'[other]}")
        if not question.rung.value.endswith("-reason"):
            yield from _spoken(known, question, choice.id, truth, ids[other], chance)


_CALLED = {
    "low-pass": ("low-pass", "low pass", "lowpass", "LPF", "low-pass filter"),
    "high-pass": ("high-pass", "high pass", "highpass", "HPF", "high-pass filter"),
    "band-pass": ("band-pass", "band pass", "bandpass", "BPF", "band-pass filter"),
    "notch": ("notch", "band-stop", "band stop filter", "notch filter", "band-reject"),
    "passes": ("passes", "it passes", "passes it", "it is passed", "pass"),
    "blocked": ("blocked", "it is blocked", "blocks it", "it's blocked", "blocks"),
    "series": ("series", "series-fed", "it is series-fed", "in series"),
    "shunt": ("shunt", "shunt-fed", "it is shunt-fed", "parallel-fed"),
    "real": ("real", "real and different", "two real poles", "they are real", "overdamped"),
    "double": ("double", "a double pole", "real and equal", "critically damped"),
    "complex": ("complex", "a complex pair", "complex conjugate", "underdamped",
                "a complex conjugate pair", "conjugate complex poles"),
    "resistor": ("a resistor", "resistor", "it's a resistor"),
    "inductor": ("an inductor", "a coil", "it is an inductor"),
    "capacitor": ("a capacitor", "capacitor", "cap", "I think a capacitor"),
}  # fmt: skip


def _spoken(
    known: Facts, question: Question, id_: str, truth: str, other: str, chance: random.Random
) -> Iterator[Typed]:
    for called in _CALLED.get(id_, ()):
        for text in (f"it is {called}", f"I think {called}", f"{called}.", f"{called}, I think"):
            yield Typed("articles and filler", truth, text)
    for end, where in ((Rung.LOW_END, "DC"), (Rung.HIGH_END, "very high frequencies")):
        if question.rung in (Rung.LOW_END, Rung.HIGH_END):
            verb = "pass" if id_ == "passes" else "blocks"
            yield Typed(
                "end by its name", truth if question.rung is end else NEVER, f"it {verb}es {where}"
                if verb == "pass" else f"it {verb} {where}",
            )  # fmt: skip
    if question.rung is Rung.TYPE and id_ in _CALLED:
        yield Typed("choice with a reason", truth, f"{id_}, because of what the ends do")
        order = known.transfer.order
        nth = {1: "first", 2: "second", 3: "third", 4: "fourth"}.get(order)
        called = chance.choice(_CALLED[id_][:3])
        if nth:
            yield Typed("type with its order", truth, f"a {nth}-order {called}")
            yield Typed("type with its order", truth, f"{called} of {nth} order")
            false = "third" if nth != "third" else "second"
            yield Typed("type with a false order", NEVER, f"a {false}-order {called}")
        yield Typed("not a choice", NEVER, f"not {called}")
        yield Typed("two choices", NEVER, f"{id_} or {other}")
        yield Typed("two choices", NEVER, f"{id_}, {other}")


# --------------------------------------------------------------------------- counts


def _counts(
    problem: Problem, known: Facts, question: Question, chance: random.Random
) -> Iterator[Typed]:
    truth = int(question.truth)
    noun = {Rung.POLES: "poles", Rung.ZEROS: "zeros", Rung.ORIGIN_ZEROS: "zeros at the origin",
            Rung.INDEPENDENT: "independent elements"}.get(question.rung)  # fmt: skip
    for n, is_ in ((truth, RIGHT), (truth + 1, WRONG), (max(truth - 1, 0), WRONG)):
        if n == truth and is_ == WRONG:
            continue
        for text in (str(n), WORDS[n], f"there are {n}", f"{WORDS[n]}.", f"it has {n}",
                     f"I think {WORDS[n]}", f"n = {n}", f"the answer is {n}"):  # fmt: skip
            yield Typed("count", is_, text)
        if noun:
            one = noun.replace("zeros", "zero").replace("poles", "pole").replace("ts", "t")
            said = one if n == 1 else noun
            for text in (f"{n} {said}", f"{WORDS[n]} {said}", f"there are {WORDS[n]} {said}",
                         f"H(s) has {n} {said}", f"{noun}: {n}"):  # fmt: skip
                yield Typed("count with its noun", is_, text)
        if n == 0:
            yield Typed("none", is_, chance.choice(("none", "no", "none at all", "zero")))
        if question.rung is Rung.POLES:
            nth = {1: ("1st", "first"), 2: ("2nd", "second"), 3: ("3rd", "third"),
                   4: ("4th", "fourth")}.get(n)  # fmt: skip
            if nth:
                for text in (
                    f"{nth[0]} order",
                    f"{nth[1]} order",
                    f"{nth[1]}-order",
                    f"order {n}",
                    f"it is a {nth[1]}-order filter",
                    f"order {n}, so {n} poles",
                ):
                    yield Typed("order for the pole count", is_, text)
            else:
                yield Typed("order for the pole count", is_, f"order {n}")
    if question.rung is Rung.POLES and truth == 2:
        nature = {"complex": ("a complex pair", "one complex conjugate pair", "2 (a complex pair)",
                              "two complex poles", "2, a complex conjugate pair"),
                  "real": ("two real poles", "2 real poles", "2 (both real)"),
                  "double": ("a double pole", "2 equal poles")}  # fmt: skip
        own = known.pole_nature
        for name, texts in nature.items():
            is_ = RIGHT if own is not None and own.value == name else NEVER
            if own is not None and own.value == "double" and name == "real":
                is_ = RIGHT
            yield from (Typed("pair for the pole count", is_, text) for text in texts)
    if question.rung is Rung.ZEROS and truth == 2 and known.axis_zero_pairs == 1:
        yield Typed("pair of zeros", RIGHT, "a pair on the jω axis")
        yield Typed("count of another place", NEVER, "2 zeros at the origin")
    wrong_noun = {Rung.POLES: "zeros", Rung.ZEROS: "poles", Rung.ORIGIN_ZEROS: "poles",
                  Rung.INDEPENDENT: "poles"}.get(question.rung)  # fmt: skip
    if wrong_noun:
        one = wrong_noun[:-1] if truth == 1 else wrong_noun
        yield Typed("count with a wrong noun", NEVER, f"{truth} {one}")
        yield Typed("count with a wrong noun", NEVER, f"{WORDS[truth]} {one}")
    if question.rung is not Rung.POLES and wrong_noun:
        yield Typed("order for another count", NEVER, f"order {truth}")
    yield Typed("two counts", NEVER, f"{truth} or {truth + 1}")
    yield Typed("two counts", NEVER, f"{truth}-{truth + 1}")
    yield Typed("two counts", NEVER, f"{truth} to {truth + 1}")
    yield Typed("two counts", NEVER, f"{truth}, {truth + 1}")


# --------------------------------------------------------------------------- slopes and phases


def _slopes(
    problem: Problem, known: Facts, question: Question, chance: random.Random
) -> Iterator[Typed]:
    truth = int(question.truth)
    low = question.rung is Rung.LOW_SLOPE
    wrong = {-80, -60, -40, -20, 0, 20, 40, 60, 80} - {truth}
    for value, is_ in ((truth, RIGHT), (chance.choice(sorted(wrong)), WRONG),
                       (-truth or 20, WRONG)):  # fmt: skip
        size, octave = abs(value), abs(value) * 6 // 20
        sign = "-" if value < 0 else "+"
        for text in (f"{value}", f"{value} dB/decade", f"{value} dB per decade", f"{value}dB/dec",
                     f"{sign}{octave} dB/octave", f"{sign}{octave} dB per octave",
                     f"{value} dB/decade ({sign}{octave} dB/octave)",
                     f"slope = {value} dB/decade", f"the slope is {value} dB/dec"):  # fmt: skip
            yield Typed("slope", is_, text.replace("+0", "0"))
        if value < 0:
            for text in (
                f"minus {size}",
                f"minus {size} dB/decade",
                f"negative, {size} dB/decade",
                f"a slope of minus {size} dB per decade",
                f"$-{size}$ dB/decade",
            ):
                yield Typed("slope with minus", is_, text)
        if value and not low:
            falls = ("falls at", "it falls by", "rolls off at", "drops", "falls with")
            rises = ("rises at", "it rises by", "increases", "goes up")
            for verb in falls if value < 0 else rises:
                yield Typed("falls or rises", is_, f"{verb} {size} dB/decade")
                yield Typed("falls or rises", is_, f"{verb} {octave} dB per octave")
        if value > 0 and low:
            yield Typed("falls or rises", is_, f"rises at {size} dB/decade")
            yield Typed("falls or rises", is_, f"rises {size} dB per decade with frequency")
            yield Typed("falls towards DC", is_, f"falls {size} dB/decade towards DC")
            yield Typed("falls at the low end", is_, f"falls {size} dB/decade")
        if not value:
            for text in ("flat", "it is flat", "0 dB/decade", "zero", "levels off", "constant"):
                yield Typed("flat", is_, text)
    if truth:
        size = abs(truth)
        yield Typed("slope both ways", NEVER, f"falls at +{size} dB/decade")
        yield Typed("slope both ways", NEVER, f"rises at -{size} dB/decade")
        yield Typed("slope both ways", NEVER, f"rises and falls {size} dB/decade")
        yield Typed("slope, two values", NEVER, f"{truth} dB/decade (-18 dB/octave)"
                    if truth != -60 else f"{truth} dB/decade (-12 dB/octave)")  # fmt: skip
    yield Typed("slope, two values", NEVER, f"{truth} or {truth - 20}")
    yield Typed("slope in other units", NEVER, f"{truth or 20} dB")


def _levels(
    problem: Problem, known: Facts, question: Question, chance: random.Random
) -> Iterator[Typed]:
    truth, unit = question.figure, question.unit
    other = truth + chance.choice((-1, 1)) * (4 * question.slack + chance.uniform(1, 20))
    for value, is_ in ((truth, RIGHT), (other, WRONG)):
        size = f"{abs(value):.2f}"
        for text in (f"{value:.2f} {unit}", f"{value:.2f}", f"{value:+.3f}{unit}".replace("-", "−"),
                     f"${value:.2f}\\,\\mathrm{{{unit}}}$"):  # fmt: skip
            yield Typed("level", is_, _around(text, chance))
        if unit == "dB":
            ratio = f"{10 ** (value / 20):.5g}"
            for text in (f"20 log({ratio})", f"20·log₁₀({ratio}) = {value:.2f} dB",
                         f"20 lg {ratio}", f"|H| = {ratio} = {value:.2f} dB",
                         f"$20\\log_{{10}}({ratio})$", f"-20 log(1/{ratio})"):  # fmt: skip
                yield Typed("level, by a logarithm", is_, text)
            words = ("{} dB down", "a loss of {} dB", "minus {} dB", "attenuation of {} dB")
            words = words if value < 0 else ("{} dB up", "plus {} dB", "{} decibels")
        else:
            yield Typed("level in radians", is_, f"{math.radians(value):.4f} rad")
            yield Typed("level a turn on", is_, f"{value + 360:.2f}°")
            words = ("lags by {}°", "{}° lag", "minus {} degrees")
            words = words if value < 0 else ("leads by {}°", "{}° lead", "{} degrees")
        for shape in words:
            yield Typed("level in words", is_, shape.format(size))
    yield Typed("two levels", NEVER, f"{truth:.2f} {unit} or {other:.2f} {unit}")
    yield Typed("level, a range", NEVER, f"{truth - 2:.1f} to {truth + 2:.1f} {unit}")
    if unit == "dB":
        yield Typed("ratio for a level", NEVER, f"{10 ** (truth / 20):.4g} V/V")


def _angles(
    problem: Problem, known: Facts, question: Question, chance: random.Random
) -> Iterator[Typed]:
    truth = int(question.truth)
    either = abs(truth) == 180 and question.rung is Rung.LOW_PHASE
    wrong = {-270, -180, -135, -90, -45, 0, 45, 90, 135, 180, 270} - {truth}
    if either:
        wrong -= {180, -180}
    for value, is_ in ((truth, RIGHT), (chance.choice(sorted(wrong)), WRONG)):
        size = abs(value)
        pi = {45: r"\frac{\pi}{4}", 90: r"\frac{\pi}{2}", 180: r"\pi"}.get(size)
        sign = "-" if value < 0 else ""
        for text in (f"{value}", f"{value}°", f"{value} degrees", f"{value} deg", f"{value} Grad",
                     f"{value} Degrees", f"{math.radians(value):.4g} rad", f"phase = {value}°",
                     f"the phase is {value} degrees", f"$ {value}^\\circ $",
                     f"{value}° ({math.radians(value):.4g} rad)"):  # fmt: skip
            yield Typed("angle", is_, text)
        if pi:
            yield Typed("angle as LaTeX", is_, f"${sign}{pi}$")
        if value < 0:
            for text in (f"minus {size}°", f"minus {size} degrees", f"lags by {size}°",
                         f"{size}° lag", f"a lag of {size} degrees", f"lagging {size}°",
                         f"the output lags the input by {size}°"):  # fmt: skip
                yield Typed("lag", is_, text)
            if size == 90:
                yield Typed("lag", is_, "minus ninety degrees")
        if value > 0:
            for text in (
                f"leads by {size}°",
                f"{size}° lead",
                f"a lead of {size} degrees",
                f"the output leads by {size}°",
                f"+{size}°",
                f"plus {size} degrees",
            ):
                yield Typed("lead", is_, text)
        if not value:
            for text in ("in phase", "it is in phase", "0°", "zero", "no phase shift"):
                yield Typed("in phase", is_, text)
    if truth:
        size = abs(truth)
        yield Typed("angle both ways", NEVER, f"lags by +{size}°")
        yield Typed("angle both ways", NEVER, f"leads by -{size}°")
        yield Typed("angle both ways", NEVER, f"leads or lags by {size}°")
    yield Typed("angle, two values", NEVER, f"{truth}° or {truth + 90}°")
    yield Typed("angle, a range", NEVER, f"{truth} to {truth + 90}°")


# --------------------------------------------------------------------------- figures


def _digits(value: float, chance: random.Random, least: int = 3) -> float:
    return float(f"{value:.{chance.randint(least, 6)}g}")


def _power(value: float) -> int:
    return max(-12, min(9, 3 * math.floor(math.log10(abs(value)) / 3))) if value else 0


def plain(value: float, unit: str, chance: random.Random, least: int = 3) -> str:
    """A value with a prefix, 3 to 6 digits."""
    value = _digits(value, chance, least)
    power = _power(value) if unit not in ("", "dB") else 0
    number = f"{value / 10.0**power:.6g}"
    if "e" in number:
        number = f"{value / 10.0**power:.12f}".rstrip("0")
    return f"{number} {PREFIXES[power]}{unit}".strip()


LABELS = {
    Rung.CORNER: ("f0", "f_0", "f0 ", "f", "the corner frequency", "f₀"),
    Rung.BANDWIDTH: ("B", "BW", "Δf", "the bandwidth"),
    Rung.LOWER_EDGE: ("f1", "f_1", "f_L", "the lower edge"),
    Rung.UPPER_EDGE: ("f2", "f_2", "f_H", "the upper edge"),
    Rung.Q: ("Q", "Q ", "the quality factor"),
    Rung.GAIN: ("|H|", "A", "the gain", "|Vout/Vin|", "H0"),
}
ANGULAR = {Rung.CORNER: ("ω0", "ω_0", "w0", "ω"), Rung.LOWER_EDGE: ("ω1",),
           Rung.UPPER_EDGE: ("ω2",), Rung.BANDWIDTH: ("Δω",)}  # fmt: skip
OTHERS = {
    Rung.CORNER: ("T", "Q", "B", "τ"), Rung.BANDWIDTH: ("f0", "Q", "T"), Rung.Q: ("f0", "B", "T"),
    Rung.LOWER_EDGE: ("f2", "Q", "f0"), Rung.UPPER_EDGE: ("f1", "Q", "f0"), Rung.GAIN: ("Q", "f0"),
}  # fmt: skip


def _figures(
    problem: Problem, known: Facts, question: Question, chance: random.Random
) -> Iterator[Typed]:
    truth = float(question.truth)
    letters = _letters(problem, question)
    yield from _written(question, truth, RIGHT, letters, chance)
    off = max(0.1, 2 * float(question.tolerance))  # what is read off may be further off
    factors = (0.1, 10.0, 2.0, 0.5, math.tau, 1 / math.tau, 1 + off, 1 - off, 1000.0)
    wrong = truth * chance.choice(factors)
    if question.unit == "dB":  # it is ratios that the tolerance is of
        wrong = truth + chance.choice((1.5, 3.0, 6.0, 20.0))
    yield from _written(question, wrong, WRONG, None, chance)
    yield from _named_formulas(problem, known, question)
    yield from _contradicting(question, truth, wrong, letters, chance)


def _letters(problem: Problem, question: Question) -> Formula | None:
    found = formulas(problem.ladder)
    text = {Rung.CORNER: found.corner_hz, Rung.Q: found.q, Rung.BANDWIDTH: found.bandwidth_hz,
            Rung.GAIN: found.gain}.get(question.rung)  # fmt: skip
    names = [e.name for e in problem.ladder.elements()]
    return parse(text, names) if text and not found.cancelled else None


def _written(
    question: Question, value: float, is_: str, letters: Formula | None, chance: random.Random
) -> Iterator[Typed]:
    """A value in every kind of writing; ``letters`` is a formula that gives it."""
    unit = question.unit
    text = plain(value, unit, chance)
    for _ in range(4):
        yield Typed("filler", is_, _around(plain(value, unit, chance), chance))
    labels = LABELS.get(question.rung, ("the value",))
    for label in labels:
        join = " is " if label.startswith("the ") else chance.choice((" = ", "=", " ≈ ", ": "))
        yield Typed("with its name", is_, f"{label}{join}{plain(value, unit, chance)}")
    yield Typed("with its name", is_, f"{labels[-1]} is about {text}".replace("f₀ is", "f₀ ≈"))
    power = math.floor(math.log10(abs(value)))
    mantissa = f"{_digits(value, chance) / 10.0**power:.6g}"
    raised = str(power).translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))
    for number in (f"{mantissa}·10{raised}", f"{mantissa}e{power}", f"{mantissa} x 10^{power}",
                   f"{mantissa}*10^{power}"):  # fmt: skip
        yield Typed("power of ten", is_, f"{number} {unit}")
    yield Typed(
        "LaTeX number", is_, f"${mantissa}\\cdot 10^{{{power}}}\\,\\mathrm{{{unit or ' '}}}$"
    )
    if value >= 1000:
        whole = round(value)
        for sign in (" ", "'", "\u202f", "’"):
            yield Typed("thousands", is_, f"{whole:,}".replace(",", sign) + f" {unit}")
        yield Typed("thousands as elsewhere", is_, f"{whole:,} {unit}", ".")
        yield Typed("thousands as elsewhere", is_, f"{whole:,} {unit}".replace(",", "."), ",")
    yield Typed("decimal comma as elsewhere", is_, text.replace(".", ","), ",")
    if unit == "Hz":
        yield from _frequencies(question, value, is_, chance)
    if unit in ("Ω", "H", "F"):
        names = {"Ω": ("Ohm", "ohms", "OHM"), "H": ("Henry", "henries"), "F": ("Farad", "farads")}
        power3 = _power(value)
        scaled = f"{_digits(value, chance) / 10.0**power3:.6g}"
        words = {-12: "pico", -9: "nano", -6: "micro", -3: "milli", 0: "", 3: "kilo", 6: "mega"}
        if power3 in words:
            for name in names[unit]:
                yield Typed("unit written out", is_, f"{scaled} {words[power3]}{name.lower()}")
        yield Typed("LaTeX number", is_, f"${scaled}\\,\\mathrm{{{PREFIXES[power3]}{unit}}}$"
                    .replace("Ω", "}\\Omega\\mathrm{").replace("µ", "}\\mu\\mathrm{"))  # fmt: skip
    if question.form is Form.GAIN:
        level = 20 * math.log10(value)
        yield Typed("both units", is_, f"{_digits(value, chance)} ({level:.3f} dB)")
        yield Typed("both units", is_, f"{level:.3f} dB = {_digits(value, chance):.6f}")
        yield Typed("per cent", is_, f"{100 * _digits(value, chance):.5g} %")
        if level < -0.01 and question.rung is Rung.GAIN:
            for shape in ("minus {} dB", "a loss of {} dB", "{} dB down", "{} dB loss",
                          "attenuation: {} dB"):  # fmt: skip
                yield Typed("loss", is_, shape.format(f"{-level:.3f}"))
    if letters is not None:
        label = labels[0].strip()
        line, latex = echo(letters), _latex(letters)
        for formula in (line, line.replace("·", "*"), echo(letters, ascii=True)):
            yield Typed("formula", is_, formula)
            yield Typed("derivation", is_, f"{label} = {formula} = {text}")
            yield Typed("derivation", is_, f"{formula} = {text}")
            yield Typed("derivation", is_, f"{label} = {formula}, so {label} ≈ {text}")
            yield Typed("derivation", is_, f"{label} = {formula} → {text}")
        for shape in ("${}$", f"${label} = {{}}$", f"${label} = {{}} \\approx$ {text}", "{}"):
            yield Typed("LaTeX formula", is_, shape.replace("{}", latex))


def _frequencies(
    question: Question, value: float, is_: str, chance: random.Random
) -> Iterator[Typed]:
    angular = value * math.tau
    power = _power(value)
    scaled = f"{_digits(value, chance) / 10.0**power:.6g}"
    kilo = f"{_digits(value, chance) / 1000:.8f}"
    for text in (f"{_digits(value, chance):.8g} Hertz", f"{_digits(value, chance):.8g} hertz",
                 f"{_digits(value, chance):.8g} cycles per second", f"{kilo} kHertz",
                 f"{_digits(value, chance):.8g} c/s", f"{kilo} kc/s", f"{kilo} kilohertz",
                 f"{kilo} kc", f"{kilo} KHZ", f"{kilo} kilocycles per second"):  # fmt: skip
        yield Typed("unit written out", is_, text)
    for text in (f"{_digits(angular, chance):.8g} rad/s", plain(angular, "rad/s", chance),
                 f"{_digits(angular, chance):.8g} rad s⁻¹",
                 f"{_digits(angular, chance):.8g} radians per second"):  # fmt: skip
        yield Typed("rad/s", is_, text)
    for name in ANGULAR.get(question.rung, ()):
        yield Typed("ω with its name", is_, f"{name} = {plain(angular, 'rad/s', chance)}")
        yield Typed("ω with its name", is_, f"{name} = {_digits(angular, chance):.8g} s⁻¹")
        yield Typed("ω with its name", is_, f"{name} = {_digits(angular, chance):.8g} 1/s")
    if question.rung in LABELS:
        name = LABELS[question.rung][0]
        yield Typed("1/s with its name", is_, f"{name} = {_digits(value, chance):.8g} 1/s")
    if chance.randrange(4) == 0:
        yield Typed("1/s alone", is_, f"{_digits(value, chance):.8g} s⁻¹")
    one, other = f"{scaled} {PREFIXES[power]}Hz", plain(angular, "rad/s", chance)
    for text in (f"{one} ({other})", f"{other} ({one})", f"{one} = {other}", f"{one} or {other}",
                 f"{other} → {one}", f"{one}, i.e. {other}", f"{one} (ω = {other})"):  # fmt: skip
        yield Typed("both units", is_, text)


def _named_formulas(problem: Problem, known: Facts, question: Question) -> Iterator[Typed]:
    """Figures that are built on ω0, XL, Z0."""
    if question.rung is Rung.BANDWIDTH:
        for text in ("f0/Q", "B = f0/Q", r"$\frac{f_0}{Q}$", "ω0/(2πQ)"):
            yield Typed("built on f0 and Q", RIGHT, text)
        yield Typed("built on f0 and Q", WRONG, "f0·Q")
    one_of_each = all(sum(e.kind is kind for e in problem.ladder.elements()) == 1 for kind in Kind)
    if question.rung is Rung.Q and one_of_each:
        r, coil, c = (
            next(float(e.value or 0) for e in problem.ladder.elements() if e.kind is kind)
            for kind in (Kind.R, Kind.L, Kind.C)
        )
        truth = float(question.truth)
        series = abs(math.sqrt(coil / c) / r / truth - 1) < 1e-9
        parallel = abs(r / math.sqrt(coil / c) / truth - 1) < 1e-9
        if series != parallel:
            for text in ("ω0L/R", "XL/R", "Q = Z0/R", "X_L/R", r"$\frac{\omega_0 L}{R}$",
                         "1/(ω0RC)", "XC/R"):  # fmt: skip
                yield Typed("XL, Z0, ω0", RIGHT if series else WRONG, text)
            for text in ("R/XL", "R/Z0", "ω0RC", "R/(ω0L)"):
                yield Typed("XL, Z0, ω0", RIGHT if parallel else WRONG, text)


def _contradicting(
    question: Question, truth: float, wrong: float, letters: Formula | None, chance: random.Random
) -> Iterator[Typed]:
    unit = question.unit
    text, other = plain(truth, unit, chance), plain(wrong, unit, chance)
    for name in OTHERS.get(question.rung, ()):
        if name == "f0" and question.rung is Rung.BANDWIDTH:
            continue
        yield Typed("named as something else", NEVER, f"{name} = {text}")
    if unit == "Hz":
        for name in ANGULAR.get(question.rung, ()):
            yield Typed("ω in Hz", NEVER, f"{name} = {text}")
        angular = plain(wrong * math.tau, "rad/s", chance)
        yield Typed("units that disagree", NEVER, f"{text} ({angular})")
        yield Typed("units that disagree", NEVER, f"{text} = {angular}")
    number, *rest = text.split(" ")
    far = f"{float(number) * 1.3:.4g}"
    suffix = " ".join(rest)
    for dash in ("–", "-", " to ", " - ", " … ", " ± "):
        yield Typed("range", NEVER, f"{number}{dash}{far} {suffix}")
    yield Typed("two values", NEVER, f"{text} or {other}")
    yield Typed("two values", NEVER, f"{other}, {text}")
    yield Typed("two values", NEVER, f"{text}; {other}")
    if letters is not None and question.unit == "Hz":
        yield Typed("false derivation", NEVER, f"f0 = 3·({echo(letters)}) = {text}")
        yield Typed("false derivation", NEVER, f"{echo(letters)} = {other}")


# --------------------------------------------------------------------------- H(s)


def _latex(f: Formula) -> str:
    """A formula as LaTeX, written for the tests alone."""
    match f:
        case Number(value):
            return (
                str(value)
                if value.denominator == 1
                else f"\\frac{{{value.numerator}}}{{{value.denominator}}}"
            )
        case Letter("pi"):
            return r"\pi "
        case Letter("ω0"):
            return r"\omega_0 "
        case Letter(name) if len(name) > 1:
            return f"{name[0]}_{{{name[1:]}}}"
        case Letter(name):
            return name
        case Minus(x):
            return f"-{_latex(x)}"
        case Sum(terms):
            out = _latex(terms[0])
            for term in terms[1:]:
                out += _latex(term) if isinstance(term, Minus) else f"+{_latex(term)}"
            return f"\\left({out}\\right)"
        case Product(factors):
            return r" \cdot ".join(map(_latex, factors))
        case Quotient(top, bottom):
            return f"\\frac{{{_latex(top)}}}{{{_latex(bottom)}}}"
        case Power(base, n):
            return f"{_latex(base)}^{{{n}}}"
        case SquareRoot(x):
            return f"\\sqrt{{{_latex(x)}}}"
        case Parallel(parts):
            return "\\left(" + r" \parallel ".join(map(_latex, parts)) + "\\right)"
    raise AssertionError(f)


def _transfers(
    problem: Problem, known: Facts, question: Question, chance: random.Random
) -> Iterator[Typed]:
    truth = formula_of(question.truth)
    line, latex = echo(truth), _latex(truth)
    for text in (line, f"H(s) = {line}", line.replace("·", "*"), f"Vout/Vin = {line}",
                 f"H(jω) = {line}", f"it is {line}"):  # fmt: skip
        yield Typed("H(s)", RIGHT, text)
    for text in (f"${latex}$", f"$H(s) = {latex}$", latex, f"$$H(s)={latex}$$"):
        yield Typed("H(s) as LaTeX", RIGHT, text)
    for text in (line.replace("s", "p"), f"H(p) = {line.replace('s', 'p')}"):
        if "Rs" not in line:
            yield Typed("p for s", RIGHT, text)
    if "Rs" not in line:
        yield Typed("jω for s", RIGHT, line.replace("s", "(jω)"))
    yield Typed("chain", RIGHT, f"H(s) = {line} = {line}")
    doubled = Product((Number(Fraction(2)), truth))
    yield Typed("H(s)", WRONG, echo(doubled))
    yield Typed("H(s) as LaTeX", WRONG, f"${_latex(doubled)}$")
    yield Typed("chain", NEVER, f"{echo(doubled)} = {line}")
    yield Typed("another's name", NEVER, f"Vin/Vout = {line}")
    yield from _standard(known, chance)
    divided = _divider(problem.ladder)
    if divided:
        series, shunt = divided
        for text in (f"{shunt}/({series} + {shunt})", f"H(s) = ({shunt})/({series}+{shunt})"):
            yield Typed("∥ bound loosely", RIGHT, text)
        z = f"H = Z2/(Z1+Z2) with Z1 = {series} and Z2 = {shunt}"
        yield Typed("letters that are said", RIGHT, z)
        yield Typed("letters that are said", WRONG, z.replace("Z2/(", "Z1/("))


_TOPS = {
    "low-pass": ("ω0²", "1"),
    "high-pass": ("s²", "(s/ω0)²"),
    "band-pass": ("(ω0/Q)s", "s/(ω0Q)"),
    "notch": ("s² + ω0²", "1 + (s/ω0)²"),
}


def _standard(known: Facts, chance: random.Random) -> Iterator[Typed]:
    """Standard forms, where the pass-band gain is 1."""
    h, name = known.transfer, known.type.value
    top = [float(c) for c in h.numerator]
    bottom = [float(c) for c in h.denominator]
    if h.order == 1 and name in ("low-pass", "high-pass"):
        if any(top[1:] if name == "high-pass" else top[:-1]):
            return  # a zero in the stop band
        one = abs((top[-1] / bottom[-1] if name == "low-pass" else top[0] / bottom[0]) - 1) < 1e-9
        if not one:
            return
        low = ("1/(1+sτ)", "1/(1+s/ω0)", "ω0/(s+ω0)", r"$\frac{1}{1+s\tau}$", "1/(1+jω/ω0)",
               "1/(1+jf/f0)")  # fmt: skip
        high = ("sτ/(1+sτ)", "(s/ω0)/(1+s/ω0)", "s/(s+ω0)", r"$\frac{s\tau}{1+s\tau}$")
        for texts, of in ((low, "low-pass"), (high, "high-pass")):
            yield from (
                Typed("standard form", RIGHT if of == name else WRONG, text) for text in texts
            )
            yield from _with_values(
                ("ω0/(s+ω0)", "1/(1+s/ω0)") if of == "low-pass" else ("s/(s+ω0)",),
                RIGHT if of == name else WRONG,
                known,
                chance,
            )
    if h.order == 2 and name in _TOPS and known.q:
        wanted = {
            "low-pass": [bottom[2]],
            "high-pass": [1.0, 0.0, 0.0],
            "band-pass": [bottom[1], 0.0],
            "notch": [1.0, 0.0, bottom[2]],
        }[name]
        if len(top) != len(wanted) or any(
            abs(a - b) > 1e-9 * max(abs(b), 1e-300) for a, b in zip(top, wanted, strict=True)
        ):
            return
        for of, (wide, normal) in _TOPS.items():
            is_ = RIGHT if of == name else WRONG
            for text in (f"({wide})/(s² + (ω0/Q)s + ω0²)", f"H(s) = ({wide})/(s² + s·ω0/Q + ω0²)",
                         f"({normal})/(1 + s/(Q·ω0) + (s/ω0)²)",
                         f"({wide.replace('²', '^2')})/(s^2 + (w0/Q)*s + w0^2)"):  # fmt: skip
                yield Typed("standard form", is_, text)
            forms = f"({wide})/(s² + (ω0/Q)s + ω0²)", f"({normal})/(1 + s/(Q·ω0) + (s/ω0)²)"
            yield from _with_values(forms, is_, known, chance)


def _with_values(
    forms: tuple[str, ...], is_: str, known: Facts, chance: random.Random
) -> Iterator[Typed]:
    """Standard forms, and what their letters are; false values make any of them wrong."""
    corner, q = (known.corner_hz or 1) * math.tau, known.q
    for form in forms:
        for factor, truth in ((1.0, is_), (chance.choice((0.5, 2.0, math.tau)), WRONG)):
            told = plain(corner * factor, "rad/s", chance)
            bare = f"{_digits(corner * factor, chance):.6g}"
            quality = f", Q = {_digits(q, chance):.6g}" if q and "Q" in form else ""
            for text in (f"{form}, ω0 = {told}{quality}", f"{form} with ω0 = {bare} s⁻¹{quality}",
                         f"H(s) = {form}; ω0 = {bare}{quality}",
                         f"ω0 = {told}: H(s) = {form}{quality}"):  # fmt: skip
                yield Typed("standard form with values", truth, text)


def _divider(ladder: Ladder) -> tuple[str, str] | None:
    """The impedances of a ladder of one series and one shunt arm, as hands write them."""
    if [stage.place for stage in ladder.stages] != [Place.SERIES, Place.SHUNT]:
        return None
    series, shunt = (_impedance(stage.arm) for stage in ladder.stages if stage.arm is not None)
    if ladder.source is not None:
        series = f"{ladder.source.name} + {series}"
    if ladder.load is not None:
        inside = shunt if "+" not in shunt else f"({shunt})"
        shunt = f"{ladder.load.name}∥{inside}"
    if "+" in shunt or "∥" in shunt:
        shunt = f"({shunt})"
    return series if "∥" not in series else f"({series})", shunt


def _impedance(arm: Arm) -> str:
    if isinstance(arm, Element):
        name = arm.name
        return {Kind.R: name, Kind.L: f"s{name}", Kind.C: f"1/(s{name})"}[arm.kind]
    parts = [_impedance(part) for part in arm.parts]
    if arm.joint is Joint.SERIES:
        return "(" + " + ".join(parts) + ")"
    return "(" + "∥".join(p if "+" not in p else f"({p})" for p in parts) + ")"
