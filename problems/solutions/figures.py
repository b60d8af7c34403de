"""Counting, asymptotes and figures of a worked solution: what is read off H(s)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from ..analysis.letters_algebra import ONE, product, raised
from ..analysis.response import Facts, FilterType, PoleNature
from ..analysis.transfer import TransferFunction
from ..formulas.layout import letter_text
from ..formulas.tree import (
    Formula,
    Letter,
    Minus,
    Number,
    Power,
    Product,
    Quotient,
    SquareRoot,
    Sum,
)
from ..quantities.write import write_conjugates, write_quantity
from ..questions.corner_phase import corner_phase
from .losses import losses
from .step import Step, View, coefficient, drawn, seen, step
from .sticks import growing


def counting(shape: Facts) -> Iterator[Step]:
    """Poles and zeros, slopes and phases: what does not depend on the values."""
    transfer = shape.transfer
    zeros, origin = transfer.zero_count, transfer.zeros_at_origin
    if transfer.order == 0:
        return
    yield step("poles", count=transfer.order)
    if zeros == 0:
        yield step("zeros-none")
    elif zeros == origin == 1:
        yield step("zeros-origin-one")
    elif zeros == origin:
        yield step("zeros-origin", count=zeros)
    elif zeros == 2 and shape.axis_zero_pairs:
        yield step("zeros-axis")
    else:
        yield step("zeros-other", count=zeros, origin=origin)
    yield step(
        "slopes",
        origin=origin,
        zeros=zeros,
        poles=transfer.order,
        low_slope=write_quantity(shape.slope_low, "dB/decade"),
        high_slope=write_quantity(shape.slope_high, "dB/decade"),
    )
    yield step(
        "phases-notch" if shape.type is shape.type_exact is FilterType.NOTCH else "phases",
        low_phase=write_quantity(shape.phase_low, "°"),
        high_phase=write_quantity(shape.phase_high, "°"),
    )


def numbers(transfer: TransferFunction) -> Step:
    """H(s) with its values, the denominator monic."""
    top, bottom = _polynomial(transfer.numerator), _polynomial(transfer.denominator)
    return step("numbers", drawn("H(s)", top if bottom == ONE else Quotient(top, bottom)))


def _polynomial(descending: Sequence[Fraction]) -> Formula:
    """A polynomial with rounded coefficients; a letter carries a number's text as it is."""
    terms: list[Formula] = []
    degree = len(descending) - 1
    for i, c in enumerate(descending):
        if c:
            power = degree - i
            size = Letter(coefficient(abs(c)))
            s = [raised(Letter("s"), power)] if power else []
            term = product([*([] if abs(c) == 1 and power else [size]), *s])
            if term == Letter("1"):
                term = ONE
            terms.append(Minus(term) if c < 0 else term)
    return terms[0] if len(terms) == 1 else Sum(tuple(terms))


def measured(
    shape: Facts, valued: bool, figures: dict[str, Formula], *, phase: bool = False
) -> Iterator[Step]:
    """Corner, Q, poles, gain, bandwidth, edges, peak; with numbers where there are values.

    Args:
        shape: the facts of the circuit, or of one like it where it has no values.
        valued: whether the figures of ``shape`` are the circuit's own.
        figures: its formulas in letters, by the figure's name.
        phase: the phase at the corner as well.
    """
    order = shape.transfer.order
    facts = shape if valued else None
    if order in (1, 2):
        value = None if facts is None else facts.corner_hz
        told = "centre" if shape.centred else f"corner-{'one' if order == 1 else 'two'}"
        yield from _both(told, "f0", figures.get("corner_hz"), value, "Hz")
    if order == 2:
        if shape.transfer.denominator[1] == 0:
            yield step("undamped")
        else:
            quality = None if facts is None else facts.q
            yield from _both("q", "Q", figures.get("q"), quality, "")
    if facts is not None:
        yield from losses(facts)
    if phase:
        yield from _phase_there(shape)
    if facts is not None and order:
        yield from (seen(each, View.MAP) for each in _roots(facts))
        yield from growing(facts)
    yield from _band(shape, facts, figures)


def _phase_there(shape: Facts) -> Iterator[Step]:
    """The phase at the corner, where it is a whole multiple of 45°."""
    phase = corner_phase(shape)
    if phase is not None:
        yield step(
            f"corner-phase-{'one' if shape.transfer.order == 1 else 'two'}",
            start=write_quantity(shape.phase_low, "°"),
            phase=write_quantity(phase, "°"),
        )


def _both(
    told: str, name: str, formula: Formula | None, value: float | None, unit: str
) -> Iterator[Step]:
    """The step with a figure's formula and its number, as far as there are any."""
    out = [] if formula is None else [drawn(letter_text(name), formula)]
    if value is not None:
        out.append([f"{letter_text(name)} = {write_quantity(value, unit)}"])
    if out:
        yield step(told, *out)


def _roots(facts: Facts) -> Iterator[Step]:
    poles = _listed("p", facts.poles)
    if facts.transfer.order == 1:
        yield step("pole-one", poles)
    elif facts.transfer.order == 2:
        match facts.pole_nature:
            case PoleNature.DOUBLE:
                yield step("nature-double", poles)
            case PoleNature.REAL:
                yield step("nature-real", poles, q=write_quantity(facts.q or 0, ""))
            case _ if facts.q is not None:
                yield step("nature-complex", poles, q=write_quantity(facts.q, ""))
                if facts.maximally_flat:
                    yield step("maximally-flat")
            case _:
                yield step("pole-values", poles)
    else:
        yield step("pole-values", poles)
    if any(zero != 0 for zero in facts.zeros):
        yield step("zero-values", _listed("z", facts.zeros))


def _listed(letter: str, roots: Sequence[complex]) -> list[str]:
    """One line for a real root or a conjugate pair: ``p1, p2 = (−1 ± j·30) krad/s``."""
    lines: list[str] = []
    i = 0
    while i < len(roots):
        root = roots[i]
        if root.imag:
            lines.append(f"{letter}{i + 1}, {letter}{i + 2} = {write_conjugates(root, 'rad/s')}")
            i += 2
            continue
        same = i + 1
        while same < len(roots) and roots[same] == root:
            same += 1
        names = " = ".join(f"{letter}{n}" for n in range(i + 1, same + 1))
        lines.append(f"{names} = {write_quantity(root.real, 'rad/s') if root.real else '0'}")
        i = same
    return lines


def _band(shape: Facts, facts: Facts | None, figures: dict[str, Formula]) -> Iterator[Step]:
    kind, two = shape.type, shape.transfer.order == 2
    if kind is not shape.type_exact:
        yield from _real_band(shape)
    elif kind.banded and two and shape.q is not None:
        if kind is FilterType.BAND_PASS:
            peak = None if facts is None else facts.peak_gain
            yield from _both("gain-band-pass", "|H|", figures.get("gain"), peak, "")
        # The formula is exact only where both ends have the same gain.
        if kind is FilterType.BAND_PASS or shape.gain_low == shape.gain_high:
            width = None if facts is None else facts.bandwidth_hz
            told, formula = f"bandwidth-{kind.value}", figures.get("bandwidth_hz")
            yield from _both(told, "B", formula, width, "Hz")
    if facts is not None:
        yield from _edges(facts)
        yield from _peak(facts)


def _real_band(facts: Facts) -> Iterator[Step]:
    """Peak and bandwidth where losses have moved the zeros: read off the curve."""
    if facts.type is FilterType.BAND_PASS and facts.peak_hz and facts.peak_gain:
        peak, height = write_quantity(facts.peak_hz, "Hz"), write_quantity(facts.peak_gain, "")
        yield step("gain-peak", peak=peak, height=height)
    if facts.type.banded and facts.bandwidth_hz and facts.corner_hz and facts.q:
        width, rule = facts.bandwidth_hz, facts.corner_hz / facts.q
        yield step(
            "bandwidth-real", width=write_quantity(width, "Hz"), rule=write_quantity(rule, "Hz")
        )


def _edges(facts: Facts) -> Iterator[Step]:
    low, high = facts.edges_hz
    order = facts.transfer.order
    if facts.type.one_sided:
        edge = high if facts.type is FilterType.LOW_PASS else low
        if edge is None:
            return
        text = write_quantity(edge, "Hz")
        plain = facts.transfer.zero_count in (0, order) and (
            facts.transfer.zeros_at_origin == facts.transfer.zero_count
        )
        if order == 1 and plain:
            yield step("edge-one", edge=text)
        elif facts.maximally_flat:
            yield step("edge-butterworth", edge=text)
        elif order == 2 and plain:
            yield step(f"edge-{facts.type.value}-two", *_edge_formula(facts.type), edge=text)
        else:
            yield step("edge-other", edge=text)
    elif low is not None and high is not None:
        texts = {"low_edge": write_quantity(low, "Hz"), "high_edge": write_quantity(high, "Hz")}
        equal = facts.gain_low == facts.gain_high
        if facts.type is not facts.type_exact:
            yield step("edges-other", **texts)
        elif order == 2 and facts.type is FilterType.BAND_PASS:
            yield step("edges-band-pass-two", *_edges_formula(), **texts)
        elif order == 2 and facts.type is FilterType.NOTCH and equal:
            yield step("edges-notch-two", *_edges_formula(), **texts)
        else:
            yield step("edges-other", **texts)


_Q2 = Product((Number(Fraction(2)), Power(Letter("Q"), 2)))


def _edge_formula(kind: FilterType) -> list[list[str]]:
    """f0·√(a + √(a² + 1)), a = 1 − 1/2Q²: |H|² = half solved for a two-pole low-pass."""
    a = Letter("a")
    inner = SquareRoot(Sum((a, SquareRoot(Sum((Power(a, 2), ONE))))))
    f0 = Letter("f0")
    edge = Product((f0, inner)) if kind is FilterType.LOW_PASS else Quotient(f0, inner)
    return [drawn("f(−3 dB)", edge), drawn("a", Sum((ONE, Minus(Quotient(ONE, _Q2)))))]


def _edges_formula() -> list[list[str]]:
    """f0·(√(1 + 1/4Q²) ± 1/2Q): |H|² = half solved for a two-pole band-pass or notch."""
    four = Quotient(ONE, Product((Number(Fraction(4)), Power(Letter("Q"), 2))))
    half = Quotient(ONE, Product((Number(Fraction(2)), Letter("Q"))))
    root = SquareRoot(Sum((ONE, four)))
    f0 = Letter("f0")
    upper, lower = Sum((root, half)), Sum((root, Minus(half)))
    return [drawn("f₁", Product((f0, lower))), drawn("f₂", Product((f0, upper)))]


def _peak(facts: Facts) -> Iterator[Step]:
    """The peak of a two-pole low-pass or high-pass with Q above 1/√2."""
    t = facts.transfer
    plain = t.order == 2 and t.zeros_at_origin == t.zero_count and t.zero_count in (0, 2)
    if not plain or facts.q_squared is None or facts.q_squared <= Fraction(1, 2):
        return
    if facts.peak_hz is None or facts.peak_gain is None:
        return
    root = SquareRoot(Sum((ONE, Minus(Quotient(ONE, _Q2)))))
    f0 = Letter("f0")
    peak = Product((f0, root)) if facts.type is FilterType.LOW_PASS else Quotient(f0, root)
    yield step(
        "peak",
        drawn("f(peak)", peak),
        peak=write_quantity(facts.peak_hz, "Hz"),
        height=write_quantity(facts.peak_gain, ""),
    )
