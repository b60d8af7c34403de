"""How a choice is read: its letter, its number, its words, or what people call it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from itertools import pairwise

from ..formulas.equal import same
from ..formulas.read import parse
from ..formulas.tree import Formula, FormulaError
from ..formulas.work import TooMuchWorkError, Work
from ..quantities.spelling import shown as quoted
from ..questions.model import Rung
from . import formulas
from .counts import NUMBERS, ORDINALS
from .formulas import ReadingCase
from .reading import Reading, Unclear
from .said import bare, squashed

_WORDS: dict[str, tuple[str, ...]] = {
    "low-pass": ("lp", "lpf", "low", "lowpassfilter", "highcut"),
    "high-pass": ("hp", "hpf", "high", "highpassfilter", "lowcut"),
    "band-pass": ("bp", "bpf", "bandpassfilter"),
    "notch": ("bandstop", "bandstopfilter", "bandreject", "bandrejection", "bs", "bsf", "brf",
              "bandelimination", "notchfilter", "notchbandstop", "bandstopnotch",
              "bandrejectfilter", "bandrejectionfilter", "bandstopnotchfilter"),
    "flat": ("allthesame", "nofilter", "constant", "flatresponse", "frequencyindependent"),
    "series": ("seriesfed", "inseries"),
    "shunt": ("shuntfed", "parallel", "parallelfed", "inshunt"),
    "passes": ("pass", "passed", "passesit", "passing", "through", "getsthrough",
               "goesthrough", "letsitthrough", "letitthrough", "passesthrough", "transmitted",
               "transmits", "unaffected", "unattenuated", "passesunattenuated"),
    "blocked": ("block", "blocks", "blocking", "blocksit", "stop", "stops", "stopped",
                "blockit", "stopsit", "outputgoestozero", "outputzero", "rejects", "rejected"),
    "resistor": ("aresistor", "resistance", "onlyr"),
    "inductor": ("aninductor", "coil", "acoil", "inductance", "onlyl"),
    "capacitor": ("acapacitor", "cap", "capacitance", "onlyc"),
    "in-series": ("lplusc", "lcinseries", "landcinseries", "serieslc", "serieslandc", "seriespair",
                  "aninductorandacapacitorinseries", "inductorandcapacitorinseries"),
    "in-parallel": ("lcinparallel", "landcinparallel", "parallellc", "parallellandc", "tank",
                    "atank", "aninductorandacapacitorinparallel",
                    "inductorandcapacitorinparallel"),
    "real": ("realanddifferent", "tworeal", "realpoles", "distinct", "realdistinct",
             "overdamped", "realdifferent", "different", "differentreal", "distinctreal",
             "tworealpoles", "twodifferentrealpoles", "twodistinctrealpoles", "realanddistinct",
             "realandunequal", "realunequal"),
    "double": ("doublepole", "equal", "realandequal", "repeated", "coincident", "realequal",
               "criticallydamped", "critical", "doublereal", "doublerealpole", "repeatedreal",
               "twoequalrealpoles", "tworealandequal"),
    "complex": ("complexconjugate", "conjugate", "complexpair", "conjugatepair",
                "acomplexconjugatepair", "complexconjugatepair", "underdamped",
                "complexpoles", "complexconjugates", "conjugatecomplex", "complexconjugatepoles",
                "conjugatecomplexpoles", "twocomplexpoles", "conjugatecomplexpair"),
}  # fmt: skip
_LETTER = re.compile(
    r"(?:choice|option|answer|no\.?|number)?+\s*+[:=(\[]?\s*+([a-z]|\d{1,2})\s*+[)\].:?!]?"
)
_LETTER_FIRST = re.compile(
    r"(?:choice|option|answer|no\.?|number)?+\s*+[:=(\[]?\s*+([a-z]|\d{1,2})\s*+"
    r"(?:(?P<sign>[)\].:,=–—-]++)\s*+|(?<=\s))(?=[^\s=])"
)
_REASON = re.compile(r"[\s,;:(](?:because|since)\b", re.IGNORECASE)
_LETTER_LAST = re.compile(r"[(\[]\s*+([a-z]|\d{1,2})\s*+[)\]]\.?\Z")
LETTERS = "abcdefghijklmnopqrstuvwxyz"

_FILLERS = frozenset(
    ("it", "it's", "its", "is", "a", "an", "the", "this", "that", "filter", "circuit", "type",
     "kind", "network", "answer", "of", "signal", "signals", "response", "called", "one", "are",
     "they", "poles", "there", "passive", "simple", "at", "be", "will", "would", "i", "think",
     "because", "guess", "fed", "pair", "two", "section", "stage", "ladder", "has", "pole",
     "by", "must", "should", "get", "gets", "system", "ideal", "analogue", "analog", "so", "output",
     "input", "them", "both", "and", "here", "goes")
)  # fmt: skip
_AT_END = {
    Rung.LOW_END: frozenset(("dc", "low", "frequency", "frequencies", "f", "0", "zero", "hz")),
    Rung.HIGH_END: frozenset(("high", "very", "highs", "frequency", "frequencies", "f", "∞")),
}
_DENIALS = frozenset(
    ("not", "no", "isn't", "doesn't", "don't", "never", "neither", "nor", "or", "either",
     "without", "isnt", "doesnt", "dont", "can't", "cannot", "nothing", "unless", "but", "isn’t",
     "doesn’t", "don’t", "can’t", "instead", "than")
)  # fmt: skip
_ORDER = re.compile(
    r"\b(?P<nth>first|second|third|fourth|1st|2nd|3rd|4th)[ -]?order\b"
    r"|\border (?P<n>[1-4])\b|\b(?P<count>one|single|two|three|four|[1-4])[ -]poles?\b"
)
_PARTS = re.compile(r"\b(?:rc|cr|rl|lr|lc|cl|rlc|lcr)\b")
_CALLED = re.compile(r"\bwith (?:an? |one )?(trap)s?\b|\b(finite)[ -]depth\b")
_LEAST_BEGINNING = 4
"""Letters of a word that its beginning has at least: fewer may begin anything."""


def read_choice(case: ReadingCase, text: str, words: Mapping[str, str], work: Work) -> Reading:
    """Read a choice.

    Args:
        case: the question, and what an answer to it may name.
        text: what was typed.
        words: id of a choice → its words as they are shown.
        work: what the steps are counted on.

    Raises:
        Unclear: it is no choice, or more than one.
        TooMuchWorkError: it asks for more work than is left.
    """
    return _Choices(case, words, work).read(text)


class _Choices:
    """The choices of one question."""

    def __init__(self, case: ReadingCase, words: Mapping[str, str], work: Work) -> None:
        self.case, self.work = case, work
        self.ids = [choice.id for choice in case.question.choices]
        self.words = {id_: words[id_] for id_ in self.ids if id_ in words}
        self.said: tuple[tuple[str, str | int], ...] = ()

    def read(self, text: str) -> Reading:
        folded = unicodedata.normalize("NFKC", text).casefold().strip()
        match = _LETTER.fullmatch(folded)
        if match:
            chosen = self.by_letter(match[1])
            if chosen is not None:
                return self.reading(chosen)
        chosen = self.chosen(text, folded)
        if chosen is None:  # a reason that nobody asked for is left aside
            answer = _REASON.split(text, maxsplit=1)[0]
            if answer.strip() and answer != text:
                chosen = self.chosen(answer, unicodedata.normalize("NFKC", answer).casefold())
        if chosen is None:
            raise self.unclear(text)
        return self.reading(chosen)

    def chosen(self, text: str, folded: str) -> str | None:
        return self.as_shown(text) or self.letter_and_words(folded, text) or self.by_words(text)

    def reading(self, chosen: str) -> Reading:
        spoken = self.case.rung.value.endswith("-reason")
        shown = LETTERS[self.ids.index(chosen)] if spoken else chosen
        return Reading(chosen, shown, said=self.said)

    def unclear(self, text: str) -> Unclear:
        return Unclear(
            "answer.no-choice-of-two" if len(self.ids) == 2 else "answer.no-choice",
            typed=quoted(text.strip()),
            last=LETTERS[len(self.ids) - 1],
            count=len(self.ids),
        )

    def by_letter(self, sign: str) -> str | None:
        digit = sign.isdigit() and sign.isascii()
        place = int(sign) - 1 if digit else LETTERS.find(sign)
        return self.ids[place] if 0 <= place < len(self.ids) else None

    def letter_and_words(self, folded: str, text: str) -> str | None:
        """A letter with words, which must mean the same choice.

        Raises:
            Unclear: they don't.
        """
        first, last = _LETTER_FIRST.match(folded), _LETTER_LAST.search(folded)
        for match, rest in (
            (first, folded[first.end() :] if first else ""),
            (last, folded[: last.start()] if last else ""),
        ):
            if match is None or not rest:
                continue
            lettered, worded = self.by_letter(match[1]), self.by_words(rest)
            if worded is None or lettered is None:
                continue
            article = match is first and match[1] == "a" and not match["sign"]
            if article or lettered == worded:
                return worded
            raise Unclear(
                "answer.letter-and-words", typed=quoted(text.strip()),
                last=LETTERS[len(self.ids) - 1],
            )  # fmt: skip
        return None

    def by_words(self, text: str) -> str | None:
        """The choice that a text is the words of; ``None`` for none, and for several."""
        return (
            self.as_shown(text)
            or self.by_formula(text)
            or self.by_name(bare(text))
            or self.by_some_words(text)
        )

    def as_shown(self, text: str) -> str | None:
        tight = _tight(text)
        found = [id_ for id_, shown in self.words.items() if _tight(shown) == tight]
        if len(found) != 1:
            word = squashed(text)
            found = [id_ for id_, shown in self.words.items() if word and squashed(shown) == word]
        return found[0] if len(found) == 1 else None

    def by_name(self, text: str) -> str | None:
        word = squashed(text)
        if not word:
            return None
        for id_ in self.ids:
            if word == squashed(id_) or word in _WORDS.get(id_, ()):
                return id_
        if len(word) < _LEAST_BEGINNING:
            return None
        starts = [id_ for id_ in self.ids if self._starts(id_, word)]
        return starts[0] if len(starts) == 1 else None

    def _starts(self, id_: str, word: str) -> bool:
        spoken = self.words.get(id_, "")
        known = (squashed(id_), *_WORDS.get(id_, ()), *((squashed(spoken),) if spoken else ()))
        return any(w.startswith(word) for w in known)

    def by_formula(self, text: str) -> str | None:
        """The choice whose formula is the same as the one typed."""
        offered = {
            choice.id: value
            for choice in self.case.question.choices
            for _, value in choice.values
            if isinstance(value, Formula)
        }
        if not offered:
            return None
        try:
            typed = parse(text, formulas.spellings(self.case.parts), work=self.work)
            found = [id_ for id_, formula in offered.items() if same(typed, formula, self.work)]
        except (FormulaError, TooMuchWorkError):
            return None
        return found[0] if len(found) == 1 else None

    def by_some_words(self, text: str) -> str | None:
        """What is left of a sentence without its filling words, and without what it adds."""
        if self.case.rung.value.endswith("-reason"):
            return None
        folded = unicodedata.normalize("NFKC", text).casefold()
        if self.case.rung is Rung.TYPE:
            folded = self._additions(folded)
        words = [word.strip(".,;:!\"“”'()[]") for word in folded.split()]
        if any(word in _DENIALS for word in words):
            return None
        fillers = _FILLERS | _AT_END.get(self.case.rung, frozenset())
        kept = [word for word in words if word and word not in fillers]
        pairs = ["".join(pair) for pair in pairwise(kept)]
        apart = self._named(kept)
        if len(apart | self._named(pairs)) > 1:  # two of them are no choice
            return None
        if apart and all(self._named([word]) for word in kept):  # "LP (low-pass)"
            return apart.pop()
        return self.by_name("".join(kept))

    def _named(self, words: list[str]) -> set[str]:
        """What some words name, each by itself."""
        return {
            id_
            for word in map(squashed, words)
            for id_ in self.ids
            if word == squashed(id_) or word in _WORDS.get(id_, ())
        }

    def _additions(self, folded: str) -> str:
        """Take out "second-order" and "RC", which are checked once the circuit is known."""
        added: list[tuple[str, str | int]] = []
        for match in _ORDER.finditer(folded):
            number = match["n"] or match["count"]
            nth = ORDINALS[match["nth"]] if match["nth"] else NUMBERS.get(number) or int(number)
            added.append(("order", nth))
        added += [("parts", match[0].upper()) for match in _PARTS.finditer(folded)]
        added += [("called", match[1] or match[2]) for match in _CALLED.finditer(folded)]
        self.said = tuple(added)
        return _CALLED.sub(" ", _PARTS.sub(" ", _ORDER.sub(" ", folded)))


def _tight(text: str) -> str:
    """A text without its spaces, in one case and one form of Unicode."""
    return "".join(unicodedata.normalize("NFKC", text).casefold().split()).rstrip(".")
