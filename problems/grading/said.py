"""What people write about an answer: nothing at all, and the words before and after it."""

from __future__ import annotations

import re
import unicodedata

_BLANK_SIGNS = frozenset("?¿-‐‑–—−_.…/ \t")
_BLANK_WORDS = frozenset(
    ("idk", "dk", "dunno", "idunno", "idontknow", "idonotknow", "dontknow",
     "donotknow", "noidea", "noclue", "na", "notsure", "unknown", "noanswer", "skip",
     "blank", "leftblank", "notattempted", "dontunderstand", "idontunderstand")
)  # fmt: skip
_TOWARDS = frozenset(
    ("please", "pls", "see", "look", "at", "refer", "to", "cf", "it", "its", "is", "was", "done",
     "answered", "drawn", "written", "handed", "in", "on", "by", "as", "the", "a", "an", "my",
     "other", "next", "last", "separate", "extra", "back", "side", "of", "this", "and")
)  # fmt: skip
_PAPERS = frozenset(
    ("paper", "photo", "photos", "photograph", "picture", "pictures", "pic", "pics", "scan",
     "scans", "image", "images", "img", "pdf", "attachment", "attachments", "attached", "enclosed",
     "handwritten", "hand", "drawing", "page", "pages", "sheet", "notebook", "overleaf")
)  # fmt: skip
_BEFORE = frozenset(
    ("it", "it's", "its", "it’s", "is", "a", "an", "the", "this", "that", "that's", "answer",
     "result", "i", "think", "believe", "guess", "say", "would", "i'd", "get", "got", "about",
     "approx", "approximately", "app", "ca", "circa", "roughly", "around", "nearly", "almost",
     "some", "probably", "maybe", "equal", "equals", "to", "we", "must", "be", "should", "so",
     "just", "exactly", "only", "i.e", "ie", "or",
     "my", "here", "there", "are", "then", "also", "again")
)  # fmt: skip
_AFTER = frozenset(
    ("approx", "approximately", "(approx.)", "(approx", "(approximately)", "circa", "roughly",
     "about", "or", "so", "i", "think", "guess", "believe", "probably", "rounded", "dimensionless",
     "unitless", "exactly", "each", "times", "peak", "pk",
     "swings", "periods")
)  # fmt: skip
_MARKS = ',;:.!"“”~≈'
_WORD = re.compile(r"[^\s]++")


def squashed(text: str) -> str:
    """The letters and digits of a text alone, in one case and one form of Unicode."""
    folded = unicodedata.normalize("NFKC", text).casefold()
    return "".join(c for c in folded if c.isalnum())


def is_blank(text: str) -> bool:
    """Whether a text answers nothing: ``?``, ``-``, "I don't know"."""
    signs = text.strip()
    if all(c in _BLANK_SIGNS for c in signs):
        return True
    return len(signs) <= 24 and squashed(signs) in _BLANK_WORDS


def is_on_paper(text: str) -> bool:
    """Whether a text only says that the answer is elsewhere: "see photo", "on paper".

    Every word of it must be one of such a remark, so that nothing that answers is taken for one.
    """
    words = unicodedata.normalize("NFKC", text[:80]).casefold().replace("'", "").replace("’", "")
    found = re.findall(r"[^\W_]+", words)
    return (
        len(text.strip()) <= 60
        and not _PAPERS.isdisjoint(found)
        and all(word in _TOWARDS or word in _PAPERS for word in found)
    )


def bare(text: str) -> str:
    """A text without the words that people put before and after an answer; never empty.

    >>> bare("it is about 1.6 kHz, I think.")
    '1.6 kHz'
    """
    words = list(_WORD.finditer(text))
    first, last = 0, len(words)
    while first < last - 1 and _core(words[first][0]) in _BEFORE:
        first += 1
    while last - 1 > first and _core(words[last - 1][0]) in _AFTER:
        last -= 1
    if not words:
        return text
    kept = text[words[first].start() : words[last - 1].end()]
    kept = kept.lstrip("~≈ ,;:")
    return kept.rstrip(",;?!. ") or text


def _core(word: str) -> str:
    """A word without its marks.  A bracket is none: "a)" is a choice's letter, "Ca)" a part."""
    core = word.strip(_MARKS)
    return "" if core == "Ca" else core.casefold()
