"""The page that ``rungwise solve`` prints for people: plain text, any width, ASCII on demand."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby

from ...problems.analysis.arms import End
from ...problems.analysis.letters import figures, formulas, letter_transfer
from ...problems.analysis.letters_algebra import SymbolicTooLargeError
from ...problems.analysis.response import TWO_PI, Facts, FilterType, facts, generic_facts
from ...problems.circuits.model import Ladder, Place
from ...problems.circuits.write import write_circuit
from ...problems.formulas.layout import echo, layout
from ...problems.formulas.tree import Formula, Number
from ...problems.quantities.write import RAISED, write_conjugates, write_quantity
from ...problems.questions.reasons import EndPicture, type_claims
from ..language.ascii import ascii_form
from ..language.texts import Words, plain, render, speaker
from ..language.wrap import fold
from ..phrases.naming import beyond, by_levels
from .solved_facts import gain_db, peak_db

say = speaker("solve")
NARROWEST = 20
_ANY_HEIGHT = 10_000  # a page scrolls
_WIDE = 56  # columns from which labels and values stand side by side


def fitting(text: str, ascii: bool, *, keep: bool = False) -> str:  # noqa: A002
    """``text`` in ``ascii`` if asked; ``keep`` keeps one cell a character."""
    if not ascii:
        return text
    if keep:
        return "".join(form if len(form := ascii_form(c)) == 1 else "?" for c in text)
    return ascii_form(text)


def wrapped(text: str, width: int, ascii: bool, indent: str = "") -> list[str]:  # noqa: A002
    """``text`` folded into lines of ``width`` columns with an ``indent``, in ``ascii`` if asked."""
    return fold(fitting(text, ascii), max(width, NARROWEST), indent, indent)


class SolvedPage:
    """One page about one circuit."""

    def __init__(self, ladder: Ladder, width: int, ascii: bool) -> None:  # noqa: A002
        self.ladder = ladder
        self.width = max(width, NARROWEST)
        self.ascii = ascii
        self.valued = ladder.valued
        self.facts: Facts = facts(ladder) if self.valued else generic_facts(ladder)

    def text(self) -> str:
        """The whole page; no line is wider than asked for, where words allow it."""
        blocks = [
            self.drawing(),
            self.summary(),
            self.transfer(),
            self.table(),
            self.formulas(),
            self.hidden(),
        ]
        return "\n\n".join("\n".join(block) for block in blocks if block)

    def para(self, text: str, indent: str = "") -> list[str]:
        """``text`` as a paragraph as wide as the page, with an ``indent``."""
        return wrapped(text, self.width, self.ascii, indent)

    def drawing(self) -> list[str]:
        """The circuit drawn as large as fits, or as text where no drawing fits."""
        from ..figures.schematic.draw import Schematic

        drawn = Schematic(self.ladder, self.ascii)
        picture = drawn.fit(self.width, _ANY_HEIGHT)
        if picture.width > self.width:
            picture = drawn.fold(self.width)
        if picture.width <= self.width:
            return [line.rstrip() for line in picture.lines]
        lines = self.para(say("page.circuit"))
        for line in write_circuit(self.ladder, named=True).split("\n"):
            lines += self.para(line, "  ")
        return lines

    def summary(self) -> list[str]:
        """What it is, and why, in sentences."""
        told = self.facts
        order = told.transfer.order
        count = f"order-{order}" if order < 2 else "order-many"
        fed = say(f"page.fed-{told.fed.value}") if told.fed and order else ""
        lines = self.para(
            say(
                "page.headline",
                type=say(f"type.{told.called if self.valued else told.type.value}"),
                order=say(f"page.{count}", count=order),
                fed=fed,
            )
        )
        sentences = list(self.ends()) if told.type is not FilterType.FLAT else []
        sentences += self.why()
        if not self.valued:
            sentences.append(say("page.symbolic"))
        return lines + self.para(" ".join(sentences))

    def why(self) -> Iterator[str]:
        """What makes it what it is called, and what is near."""
        told = self.facts
        levels = list(by_levels(told)) if self.valued else []
        if told.type is FilterType.NOTCH and told.axis_zero_pairs > 1:
            yield say("why.notch-many")
        elif told.type is FilterType.NOTCH and not self.valued:
            yield say("why.notch-letters")
        elif told.type is FilterType.NOTCH and not levels:
            yield say("why.notch", frequency=write_quantity(told.notch_hz or 0.0, "Hz"))
        elif told.type is FilterType.FLAT:
            cause = next(c.id for c in type_claims(EndPicture(told)) if c.holds)
            yield say(f"why.flat-{cause}" if told.reactive_count else "why.flat")
        else:
            yield from levels or [say(f"why.{told.type.value}")]
        if self.valued:
            yield from beyond(told)

    def ends(self) -> Iterator[str]:
        """What happens at DC and at high frequency, with the arms that cause it."""
        told, picture = self.facts, EndPicture(self.facts)
        for end, gain in ((End.LOW, told.gain_low), (End.HIGH, told.gain_high)):
            if gain:
                key = "passes" if self.valued else "passes-letters"
                yield say(f"ends.{end.value}-{key}", gain=self.gain(gain))
                continue
            causes = []
            for place in (Place.SERIES, Place.SHUNT) if picture.plain(end) else ():
                arms = tuple(rail.text for rail in picture.stopping(end, place))
                if arms:
                    many = "one" if len(arms) == 1 else "many"
                    causes.append(say(f"ends.{place.value}-{many}", arms=render(arms)))
            joined = say("ends.and").join(causes)
            yield say(f"ends.{end.value}-blocked", causes=joined or say("ends.division"))

    def transfer(self) -> list[str]:
        """H(s) with letters, and with numbers where the circuit has values."""
        lines = self.para(say("page.transfer"))
        try:
            letters = letter_transfer(self.ladder)
        except SymbolicTooLargeError:
            lines += self.para(say("page.too-large"), "  ")
        else:
            lines += self.formula("H(s) = ", letters.formula)
        if not self.valued:
            return lines
        lines += ["", *self.para(f"{say('page.numbers')} ({say('page.units')})")]
        told = self.facts.transfer
        lines += self.fraction(self.polynomial(told.numerator), self.polynomial(told.denominator))
        return lines

    def formula(self, name: str, formula: Formula) -> list[str]:
        """``name`` and ``formula`` with fraction bars, or on one line where that is too wide."""
        name = fitting(name, self.ascii)
        rows = layout(formula, lead=name, width=self.width - 2, ascii=self.ascii)
        if all(len(row) <= self.width - 2 for row in rows):
            return [f"  {row}".rstrip() for row in rows]
        return self.folded(name + echo(formula, ascii=self.ascii))

    def folded(self, text: str) -> list[str]:
        """One long formula, folded at its blanks, hanging by four columns."""
        return textwrap.wrap(
            fitting(text, self.ascii),
            self.width,
            initial_indent="  ",
            subsequent_indent="      ",
            break_on_hyphens=False,
        )

    def fraction(self, top: str, bottom: str) -> list[str]:
        """H(s) as ``top`` over ``bottom``, or as N(s)/D(s) where that is too wide."""
        top, bottom = fitting(top, self.ascii), fitting(bottom, self.ascii)
        if bottom == "1":
            return self.folded(f"H(s) = {top}")
        inside = max(len(top), len(bottom))
        if inside + 9 > self.width:
            return [*self.folded("H(s) = N(s)/D(s)"), *self.folded(f"N(s) = {top}"),
                    *self.folded(f"D(s) = {bottom}")]  # fmt: skip
        bar = ("-" if self.ascii else "─") * inside
        rows = (" " * 7 + top.center(inside), f"H(s) = {bar}", " " * 7 + bottom.center(inside))
        return [f"  {row}".rstrip() for row in rows]

    def polynomial(self, coefficients: Sequence[Fraction]) -> str:
        """A polynomial in s, coefficients rounded to four digits."""
        terms = []
        degree = len(coefficients) - 1
        for i, c in enumerate(coefficients):
            power = degree - i
            s = "" if power == 0 else "s" if power == 1 else f"s^{power}"
            if not self.ascii and power > 1:
                s = "s" + str(power).translate(RAISED)
            if c:
                number = self.number(c)
                terms.append(number if not s else s if number == "1" else f"{number}·{s}")
        # No coefficient of a passive ladder is negative.
        return " + ".join(terms)

    def number(self, value: Fraction) -> str:
        """A plain number of four digits."""
        return write_quantity(value, "", ascii=self.ascii)

    def table(self) -> list[str]:
        """Label and value, side by side or one above the other."""
        lines = self.para(say("page.figures"))
        rows = [(say(f"rows.{label}"), cells) for label, cells in self.rows()]
        pad = max(len(fitting(label, self.ascii)) for label, _ in rows) + 2
        for label, cells in rows:
            label = fitting(label, self.ascii)
            if self.width >= _WIDE:
                for i, cell in enumerate(cells):
                    hanging = " " * (pad + 2)
                    lead = f"  {label if i == 0 else '':<{pad}}"
                    lines += textwrap.wrap(
                        fitting(cell, self.ascii), self.width,
                        initial_indent=lead, subsequent_indent=hanging,
                    )  # fmt: skip
            else:
                lines.append(f"  {label}")
                for cell in cells:
                    lines += self.para(cell, "    ")
        return lines

    def rows(self) -> Iterator[tuple[str, list[str]]]:
        """(label, values) of every figure that exists for this circuit."""
        told, transfer = self.facts, self.facts.transfer
        none = say("cells.none")
        if self.valued:
            yield "poles", list(self.roots(told.poles)) or [none]
            yield "zeros", list(self.roots(told.zeros)) or [none]
        else:
            yield "poles", [str(transfer.order)]
            yield "zeros", [str(transfer.zero_count)]
            yield "origin", [str(transfer.zeros_at_origin)]
        yield "slope-low", [write_quantity(told.slope_low, "dB/decade")]
        yield "slope-high", [write_quantity(told.slope_high, "dB/decade")]
        yield "phase-low", [write_quantity(told.phase_low, "°")]
        yield "phase-high", [write_quantity(told.phase_high, "°")]
        if self.valued:
            yield from self.numeric_rows()
        drawn, independent = told.reactive_count, told.independent_count
        key = "reactive" if independent == told.seen_count else "reactive-unseen"
        counts = {"drawn": drawn, "independent": independent, "seen": told.seen_count}
        yield "reactive", [say(f"cells.{key}", **counts)]

    def numeric_rows(self) -> Iterator[tuple[str, list[str]]]:
        """The rows that need values."""
        told = self.facts
        yield "gain-low", [self.gain(told.gain_low)]
        yield "gain-high", [self.gain(told.gain_high)]
        if told.corner_hz is not None:
            hertz = write_quantity(told.corner_hz, "Hz")
            radians = write_quantity(told.corner_hz * TWO_PI, "rad/s")
            name = "centre" if told.centred else "corner"
            yield name, [say("cells.corner", hertz=hertz, radians=radians)]
        if told.q is not None:
            yield "q", [self.number(Fraction(told.q))]
        low, high = told.edges_hz
        for label, figure in (
            ("bandwidth", told.bandwidth_hz), ("lower-edge", low), ("upper-edge", high),
        ):  # fmt: skip
            if figure is not None:
                yield label, [write_quantity(figure, "Hz")]
        if told.type not in (FilterType.FLAT, FilterType.ALL_PASS):
            yield "peak", [self.peak()]

    def peak(self) -> str:
        """The largest gain and where it is."""
        told = self.facts
        level = peak_db(told)
        if level is None:
            return say("cells.peak-none")
        gain = write_quantity(level, "dB")
        if told.peak_hz is None:
            return say("cells.peak-high", gain=gain)
        if told.peak_hz == 0:
            return say("cells.peak-dc", gain=gain)
        return say("cells.peak-at", gain=gain, frequency=write_quantity(told.peak_hz, "Hz"))

    def gain(self, gain: Fraction) -> str:
        """A gain as a ratio and in dB."""
        level = gain_db(gain)
        if level is None:
            return say("cells.zero")
        return say("cells.ratio", ratio=self.number(gain), decibels=write_quantity(level, "dB"))

    def roots(self, roots: Sequence[complex]) -> Iterator[str]:
        """One line a root: pairs as one, repeated ones with their multiplicity."""
        upper = [r for r in roots if r.imag >= 0]
        for root, same in groupby(upper):
            notes = []
            text = write_conjugates(root, "rad/s") if root else "0"
            if root.real == 0 and root.imag:
                notes.append(say("cells.on-axis"))
            count = len(list(same))
            if count > 1:
                name = {2: "double", 3: "triple"}.get(count, "many")
                notes.append(say(f"cells.{name}", count=count))
            yield f"{text} ({', '.join(notes)})" if notes else text

    def formulas(self) -> list[str]:
        """Corner, Q, bandwidth and gain in the circuit's own letters."""
        try:
            found = dict(figures(self.ladder))
            cancelled = formulas(self.ladder).cancelled
        except SymbolicTooLargeError:
            return []
        if cancelled:
            return self.para(say("page.cancelled"))
        if self.facts.type is not self.facts.type_exact:
            # Those are of the type that exact zeros at the ends would make.
            for key in ("gain", "bandwidth_hz"):
                found.pop(key, None)
        blocks = []
        for key in ("corner_hz", "q", "bandwidth_hz", "gain", "gain_low", "gain_high"):
            if key not in found or (key != "gain" and "gain" in found and key.startswith("gain")):
                continue
            if found[key] == Number(Fraction(0)):
                continue  # the table says that this end is blocked
            name = say(f"formulas.{key}", formula="")
            blocks.append(self.formula(name, found[key]))
        lines = self.para(say("page.formulas"))
        for block in blocks:
            # Formulas set over several lines need air between them.
            lines += ["", *block] if len(lines) > 1 else block
        return lines if blocks else []

    def hidden(self) -> list[str]:
        """Every element that adds no pole, with the reason."""
        if not self.facts.hidden:
            return []
        lines = self.para(say("page.hidden"))
        for hidden in self.facts.hidden:
            lines += self.para(plain(Words.load().hidden(hidden)), "  ")
        resting = self.facts.stores.resting
        if resting:
            many = "one" if resting == 1 else "many"
            lines += self.para(say(f"unseen.resting-{many}", count=resting), "  ")
        return lines
