"""Right answers as different learners type them: units, prefixes, roundings, words."""

from __future__ import annotations

import math
import random
import re

from rungwise.problems.analysis.letters import formulas
from rungwise.problems.analysis.response import Facts
from rungwise.problems.analysis.transfer import TransferFunction
from rungwise.problems.grading.grade import right_text
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.model import Form, Problem, Question, Rung
from rungwise.problems.sketches.model import Region
from rungwise.problems.sketches.read import read_gain
from rungwise.problems.sketches.read_map import read_map

_COUNTS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight")
_WORDS = {
    "low-pass": ("LP", "lowpass", "Low Pass", "low-pass filter", "LPF"),
    "high-pass": ("HP", "highpass", "HIGH PASS", "hpf"),
    "band-pass": ("bp", "bandpass", "Band-Pass", "band pass filter"),
    "notch": ("band stop", "band-stop", "Bandstop", "notch filter", "band-reject"),
    "flat": ("Flat",),
    "series": ("series-fed", "Series fed"),
    "shunt": ("shunt-fed", "shunt fed"),
    "passes": ("pass", "Passes", "passed"),
    "blocked": ("blocks", "Blocked", "block"),
    "real": ("Real", "real and different", "two real"),
    "double": ("double pole", "real and equal"),
    "resistor": ("Resistor", "a resistor"),
    "inductor": ("an inductor", "INDUCTOR"),
    "capacitor": ("Capacitor", "a capacitor", "cap"),
    "in-series": ("in series", "L and C in series", "series L-C"),
    "in-parallel": ("in parallel", "L and C in parallel", "a tank"),
    "complex": ("complex pair", "a complex conjugate pair", "Complex"),
}
_PREFIXES = {-6: "u", -3: "m", 0: "", 3: "k", 6: "M", 9: "G"}


def rounded(value: float, chance: random.Random) -> float:
    """Correctly rounded to 3 to 8 digits."""
    return float(f"{value:.{chance.randint(3, 8)}g}")


def number(value: float, unit: str, chance: random.Random) -> str:
    """A value with its unit in one of the usual spellings."""
    value = rounded(value, chance)
    sign, size = ("-", -value) if value < 0 else ("", value)
    style = chance.randrange(6)
    power = 3 * math.floor(math.log10(size) / 3) if size else 0
    power = min(max(power, 0), 9)  # a small m before Hz or alone would be asked about
    scaled = float(f"{size / 10.0**power:.10g}")
    prefix = _PREFIXES[power]
    if style == 0:
        return f"{sign}{scaled:.10g} {prefix}{unit}"
    if style == 1 and unit:
        return f"{sign}{scaled:.10g}{prefix}{unit}"
    if style == 2:
        mantissa, _, exponent = f"{size:.9e}".partition("e")
        return f"{sign}{float(mantissa):.10g}e{int(exponent)} {unit}"
    if style == 3:
        text = f"{scaled:.10g} {prefix}{unit}".replace(".", ",")
        _, _, part = text.split(" ")[0].partition(",")
        return (
            f"{sign}{text}"
            if len(part.partition("e")[0]) != 3
            else f"{sign}{scaled:.10g} {prefix}{unit}"
        )
    if style == 4:
        return f"= {sign}{scaled:.10g} {prefix}{unit}".replace("-", "−")
    return f"  {sign}{size:.10f} {unit}\n" if 1e-4 < size < 1e6 else f"{sign}{size!r} {unit}"


def right(problem: Problem, known: Facts, question: Question, chance: random.Random) -> str:
    """One way to type the right answer of a question."""
    match question.form:
        case Form.CHOICE:
            return choice(question, chance)
        case Form.COUNT:
            n = int(question.truth)
            return chance.choice((str(n), _COUNTS[n], f" {n}", f"{n} of them", _COUNTS[n].title()))
        case Form.SLOPE:
            return slope(int(question.truth), chance)
        case Form.ANGLE:
            return angle(int(question.truth), chance)
        case Form.GAIN:
            return gain(problem, float(question.truth), chance)
        case Form.LEVEL:
            return level(question.figure, question.unit, chance)
        case Form.FORMULA if question.rung is Rung.STANDARD_FORM:
            text = right_text(question)
            return chance.choice((text, f"H(s) = {text}", text.replace("w0", "ω0"), f"({text})"))
        case Form.FORMULA:
            return transfer(known.transfer, right_text(question), chance)
        case Form.SKETCH:
            return sketch(question, chance)
    formula = _formula(problem, question)
    if formula and chance.randrange(4) == 0:
        label = {"corner": "f0 = ", "q": "Q=", "bandwidth": "B = "}[question.rung.value]
        return chance.choice(("", label)) + chance.choice((formula, formula.replace("*", "·")))
    if question.form is Form.QUANTITY and question.unit == "Hz" and chance.randrange(3) == 0:
        return number(float(question.truth) * math.tau, "rad/s", chance)
    unit = question.unit if chance.randrange(4) else ""
    return number(float(question.truth), unit, chance)


def choice(question: Question, chance: random.Random) -> str:
    ids = [c.id for c in question.choices]
    place = ids.index(str(question.truth))
    letter = "abcdefgh"[place]
    spellings = [letter, letter.upper(), f"({letter})", f"{letter})", str(place + 1), ids[place]]
    if not question.rung.value.endswith("-reason"):
        spellings += _WORDS.get(ids[place], ())
    return chance.choice(spellings)


def level(value: float, unit: str, chance: random.Random) -> str:
    size, below = f"{abs(value):.2f}", value < 0
    spellings = [f"{value:.2f} {unit}", f"{value:+.2f}{unit}", f"{value:.3g}".replace("-", "−")]
    if unit == "dB":
        ratio = 10 ** (value / 20)
        spellings += [f"20 log({ratio:.5g})", f"20·log10({ratio:.5g}) = {value:.2f} dB"]
        spellings += [f"{size} dB {'down' if below else 'up'}"]
        spellings += [f"a loss of {size} dB"] if below else []
    else:
        spellings += [f"{'lags' if below else 'leads'} by {size}°", f"{value:.1f} degrees"]
        spellings += [f"{math.radians(value):.4f} rad", f"{value + 360:.2f}°"]
    return chance.choice(spellings)


def slope(value: int, chance: random.Random) -> str:
    if value == 0:
        return chance.choice(("0", "flat", "0 dB/decade", "0 dB/oct", "-0"))
    octave = value * 6 // 20
    return chance.choice(
        (str(value), f"{value:+d}", f"{value} dB/decade", f"{value}dB/dec", f"{value}.0 dB/dec",
         f"{octave} dB/octave", f"{octave} dB/oct", f"{value * math.log10(2):.4g} dB/octave",
         str(value).replace("-", "−"))
    )  # fmt: skip


def angle(value: int, chance: random.Random) -> str:
    turns = {45: "π/4", 90: "π/2", 135: "3π/4", 180: "π", 270: "3π/2", 360: "2π"}
    spellings = [str(value), f"{value:+d}", f"{value}°", f"{value} deg", f"{value} degrees",
                 f"{math.radians(value):.4g} rad"]  # fmt: skip
    if value:
        sign = "-" if value < 0 else "+"
        spellings += [f"{sign}{turns[abs(value)]}", f"{sign}{turns[abs(value)]} rad"]
    return chance.choice(spellings)


def gain(problem: Problem, value: float, chance: random.Random) -> str:
    formula = formulas(problem.ladder).gain
    style = chance.randrange(4 if formula else 3)
    if style == 0:
        return f"{rounded(20 * math.log10(value), chance):.10g} dB".replace("-", "−")
    if style == 1:
        return f"{rounded(100 * value, chance):.10g} %"
    if style == 2:
        return f"{rounded(value, chance):.10f}"
    return str(formula)


def transfer(h: TransferFunction, truth: str, chance: random.Random) -> str:
    """H(s) in letters, or with numbers of four digits and more, perhaps in jω."""
    style = chance.randrange(4)
    if style < 2:
        return ("", "H(s) = ")[style] + truth
    digits = chance.randint(4, 9)
    scale = next(float(c) for c in reversed(h.denominator) if c)

    def polynomial(coefficients: tuple[object, ...]) -> str:
        last = len(coefficients) - 1
        terms = [
            f"{float(c) / scale:.{digits}g}*s^{last - k}"  # type: ignore[arg-type]
            for k, c in enumerate(coefficients)
            if c
        ]
        return "(" + " + ".join(terms) + ")"

    text = f"{polynomial(h.numerator)}/{polynomial(h.denominator)}"
    return text.replace("s", "(jω)") if style == 3 else text


_JOINTS = ((" to ", ", "), (", ", ", "), (" | ", " | "), ("; ", "; "), (" -> ", " -> "),
           (" until ", " then "), (":", ";"))  # fmt: skip
_REGIONS = {
    Region.ORIGIN: ("{n} at the origin", "{n} origin", "{n} at s = 0"),
    Region.REAL: ("{n} real", "{n} on the negative real axis", "{n} left half real"),
    Region.AXIS: ("{p} pair on the jω axis", "{n} on the jw axis", "{p} imaginary pair"),
    Region.PAIR: ("{p} complex pair", "{n} complex", "{p} conjugate pair", "{p} pair"),
}


def sketch(question: Question, chance: random.Random) -> str:
    """A sketch as drawn by a hand that errs, within the tolerances, and spelt freely."""
    truth = right_text(question)
    if question.rung is Rung.MAP_SKETCH:
        placed = read_map(truth)
        lists = [
            ", ".join(chance.choice(_REGIONS[region]).format(n=n, p=n // 2) for region, n in roots)
            or chance.choice(("none", "0", "no"))
            for roots in (placed.poles, placed.zeros)
        ]
        return chance.choice(
            ("poles: {}; zeros: {}", "Poles {}\nzeros {}", "poles={}, zeros={}")
        ).format(*lists)
    off = 10 ** chance.uniform(-0.18, 0.18)
    before, after = chance.choice(_JOINTS)
    if question.rung is Rung.PHASE_SKETCH:
        pieces = re.split(r" to |, ", truth)
        for k, piece in enumerate(pieces):
            found = read_quantity(piece.removesuffix(" jump"), "Hz" if k % 2 else "°").value
            if k % 2:
                jump = " jump" if piece.endswith("jump") else ""
                pieces[k] = before + _place(float(found) * off, chance) + jump + after
            else:
                pieces[k] = chance.choice((f"{int(found):+d}", f"{found}°", f"{found} deg"))
        return "".join(pieces)
    drawn = read_gain(truth)
    text = _slope(drawn.slopes[0], chance)
    for place, slope_after in zip(drawn.breaks, drawn.slopes[1:], strict=True):
        text += before + _place(place * off, chance) + after + _slope(slope_after, chance)
    level = f"{drawn.level + chance.uniform(-2, 2):.2f}"
    return text + chance.choice(
        ("; level {} dB", ", level: {}", ", {} dB", "; height = {} dB")
    ).format(level)


def _place(frequency: float, chance: random.Random) -> str:
    style = chance.randrange(4)
    if style == 0:
        return f"{frequency * math.tau:.4g} rad/s"
    if style == 1:
        return f"{frequency:.3f}"
    return write_quantity(frequency, "Hz", chance.randint(4, 6)).replace(
        " ", " " if style == 2 else ""
    )


def _slope(value: int, chance: random.Random) -> str:
    if value == 0 and chance.randrange(2):
        return chance.choice(("flat", "horizontal", "0 dB/dec"))
    return chance.choice(
        (
            f"{value:+d}",
            f"{value}",
            f"{value} dB/decade",
            f"{value}dB/dec",
            f"{value * 6 // 20} dB/oct",
        )
    )


def _formula(problem: Problem, question: Question) -> str | None:
    found = formulas(problem.ladder)
    return {
        Rung.CORNER: found.corner_hz,
        Rung.Q: found.q,
        Rung.BANDWIDTH: found.bandwidth_hz,
    }.get(question.rung)
