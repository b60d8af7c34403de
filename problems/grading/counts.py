"""How a count is read: a number, in words too, an order, a pair; and what is counted."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..quantities.errors import wording
from ..quantities.spelling import shown as quoted
from ..quantities.spelling import uniform
from ..questions.model import Rung
from .examples import example
from .formulas import ReadingCase
from .reading import Reading, Unclear

NUMBERS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "none": 0, "no": 0, "single": 1, "both": 2, "nil": 0,
}  # fmt: skip
ORDINALS = {
    "zeroth": 0, "0th": 0, "first": 1, "1st": 1, "second": 2, "2nd": 2, "third": 3, "3rd": 3,
    "fourth": 4, "4th": 4, "fifth": 5, "5th": 5, "sixth": 6, "6th": 6,
}  # fmt: skip
_NATURES = {
    "complex": "complex", "conjugate": "complex", "real": "real", "distinct": "real",
    "different": "real", "double": "double", "repeated": "double", "equal": "double",
    "imaginary": "axis",
}  # fmt: skip
_NOUNS = {
    "poles": frozenset(("pole", "poles")),
    "zeros": frozenset(("zero", "zeros", "zeroes")),
    "parts": frozenset(
        ("element", "elements", "part", "parts", "component", "components", "inductor",
         "inductors", "capacitor", "capacitors", "coil", "coils")
    ),
}  # fmt: skip
_FILLERS = frozenset(
    ("of", "them", "independent", "finite", "reactive", "in", "all", "only", "just", "at", "the",
     "origin", "a", "an", "it", "is", "are", "there", "has", "have", "it's", "h", "s", "circuit",
     "filter", "system", "answer", "n", "number", "i", "think", "total", "altogether", "exactly",
     "this", "that", "we", "get", "and", "storage", "energy", "storing", "function", "transfer",
     "with", "degree", "order", "on", "jω", "jw", "axis", "low", "high", "band", "pass", "notch",
     "low-pass", "high-pass", "lowpass", "highpass", "bandpass", "polynomial", "denominator",
     "makes", "make", "gives", "lies", "lie", "its", "me", "count", "them")
)  # fmt: skip
_OTHERS = {
    "poles": wording("counted.poles"),
    "zeros": wording("counted.zeros"),
    "parts": wording("counted.parts"),
}
_ASKED = {
    Rung.INDEPENDENT: ("parts", wording("counted.independent")),
    Rung.POLES: ("poles", wording("counted.poles")),
    Rung.ZEROS: ("zeros", wording("counted.finite-zeros")),
    Rung.ORIGIN_ZEROS: ("zeros", wording("counted.origin-zeros")),
}
_AT_ZERO = re.compile(r"\bat s ?= ?0\b|\bat (?:dc|zero)\b")
_WORD = re.compile(r"\d+(?:st|nd|rd|th)\b|\d+(?:[.,]\d+)?|[^\W\d_]+(?:['’][a-z]+)?|\S")
_APART = frozenset((",", ";", ":", "(", ")", "=", ".", "→", "so", "hence", "thus", "therefore"))
_SUMMED = frozenset(("and", "plus", "+", "&"))
MOST_WORDS = 24
"""More of them are no count."""


@dataclass
class _Part:
    """What stands between two marks: how many, and of what."""

    number: int | None = None
    described: bool = False  # says of what it counts, or of what nature


def read_count(case: ReadingCase, text: str) -> Reading:
    """Read a count in a ``text`` that answers the question of ``case``.

    Raises:
        Unclear: it is none, counts something else, or says two numbers.
    """
    folded = _AT_ZERO.sub(" origin ", uniform(text).text.casefold().rstrip(" ?!"))
    found = _Counted(folded)
    if not found.understood:
        raise Unclear("answer.no-count", typed=quoted(text.strip()), example=example(case))
    _expect_noun(case, found.words, text)
    if found.ordered and case.rung in _ASKED and case.rung is not Rung.POLES:
        raise _counts(case, wording("counted.order"), text)
    value = found.total
    if value is None:
        raise Unclear("answer.no-count", typed=quoted(text.strip()), example=example(case))
    natures = sorted({_NATURES[word] for word in found.words if word in _NATURES})
    natures += ["axis"] if "axis" in found.words and "axis" not in natures else []
    said = tuple(("nature", nature) for nature in natures)
    return Reading(value, str(value), said=said)


class _Counted:
    """One folded text, word by word."""

    def __init__(self, folded: str) -> None:
        self.understood = True
        self.ordered = False
        self.words: set[str] = set()
        self.groups: list[list[_Part]] = [[_Part()]]
        self.tokens = _WORD.findall(folded.replace("-", " - "))
        if len(self.tokens) > MOST_WORDS or not self.tokens:
            self.understood = False
            return
        self.at = 0
        while self.at < len(self.tokens) and self.understood:
            self.take()

    def ahead(self, by: int = 0) -> str:
        place = self.at + by
        return self.tokens[place] if 0 <= place < len(self.tokens) else ""

    def take(self) -> None:
        word = self.ahead()
        part = self.groups[-1][-1]
        if word == "-":
            # A hyphen joins words; before a number it is a sign, and no count has one.
            self.understood = bool(self.at) and not self.ahead(1)[:1].isdecimal()
        elif word in ORDINALS or (word.isdecimal() and self.ahead(1) == "." and self._order(2)):
            self.order(ORDINALS.get(word, int(word) if word.isdecimal() else 0))
            return
        elif word == "order":
            self.ordered = True
        elif word == "+" and not self.at:
            pass
        elif word in _SUMMED:
            self.groups[-1].append(_Part())
        elif word in _APART:
            self.groups.append([_Part()])
        elif word[0].isdecimal():
            self.digits(word)
        elif word in ("a", "an") and self._one():
            self.number(1)
        elif word == "zero" and part.number is None:
            # "Zero at the origin" may be none, and a zero.
            self.understood = self.ahead(1) != "at"
            self.number(0)
        elif word in NUMBERS:
            self.number(NUMBERS[word])
        elif word in ("pair", "pairs", "couple"):
            part.number = 2 * (1 if part.number is None else part.number)
            part.described = True
        elif word in ("double", "repeated") and self._noun(1):
            self.words.add(word)
            part.number, part.described = 2, True
        elif word in _NATURES or any(word in nouns for nouns in _NOUNS.values()):
            self.words.add(word)
            part.described = True
        elif word in _FILLERS:
            self.words.add(word)
        else:
            self.understood = False
        self.at += 1

    def _order(self, by: int) -> bool:
        return self.ahead(by) == "order"

    def _one(self) -> bool:
        """Whether an article stands for the number: "a pole", "a real pole", and no "pair"."""
        following = [self.ahead(by) for by in (1, 2, 3)]
        if "pair" in following or "double" in following or "single" in following:
            return False
        return any(word in ("pole", "zero") for word in following)

    def _noun(self, by: int) -> bool:
        following = (self.ahead(by), self.ahead(by + 1))
        return any(word in nouns for word in following for nouns in _NOUNS.values())

    def order(self, number: int) -> None:
        """The rest of "second-order", of which the ordinal stands here."""
        at = self.at + 1
        while at < len(self.tokens) and self.tokens[at] in ("-", "."):
            at += 1
        self.understood = self.understood and self.tokens[at : at + 1] == ["order"]
        self.ordered = True
        self.number(number)
        self.at = at + 1

    def digits(self, word: str) -> None:
        whole, _, part = word.replace(",", ".").partition(".")
        if not whole.isdecimal() or part.strip("0") or len(whole) > 4:
            self.understood = False
        else:
            self.number(int(whole))

    def number(self, number: int) -> None:
        part = self.groups[-1][-1]
        if part.number is not None:
            self.understood = False  # two numbers side by side
        part.number = number

    @property
    def total(self) -> int | None:
        """The one number that is said; ``None`` for none, or for two that differ."""
        sums = []
        for group in self.groups:
            parts = [part for part in group if part.number is not None]
            if len(parts) > 1 and not all(part.described for part in parts):
                return None
            if parts:
                sums.append(sum(part.number or 0 for part in parts))
            elif any(part.described for part in group) and not sums:
                continue
        if len(set(sums)) == 1:
            return sums[0]
        # "3 poles: one real, one pair" and "one real, one pair" are no doubt about it.
        return sums[0] if len(sums) > 2 and sums[0] == sum(sums[1:]) else None


def _expect_noun(case: ReadingCase, words: set[str], text: str) -> None:
    """What is counted has to be what is asked for: another noun may be another question's answer.

    Raises:
        Unclear: something else is counted.
    """
    if case.rung not in _ASKED:
        return  # a kind that counts something else has no noun to be mistaken for
    noun, _ = _ASKED[case.rung]
    said = {name for name, spellings in _NOUNS.items() if words & spellings}
    elsewhere = "origin" in words and case.rung is not Rung.ORIGIN_ZEROS
    if said <= {noun} and not elsewhere:
        return
    # Every other noun has one sort of thing beside it, or two.
    others = [_OTHERS[name] for name in sorted(said - {noun})] or [wording("counted.only")]
    counted = wording("counted.both", one=others[0], other=others[1]) if others[1:] else others[0]
    if "origin" in words:
        counted = wording("counted.at-the-origin", counted=counted)
    raise _counts(case, counted, text)


def _counts(case: ReadingCase, counted: object, text: str) -> Unclear:
    return Unclear(
        "answer.counts", typed=quoted(text.strip()), counted=counted, asked=_ASKED[case.rung][1]
    )
