"""Plain English: phrases that were once in the words people read, and must not come back.

Each was a calque, a private idiom, or a second term for one thing.  Beside it stands what to say
instead.  The terms: series path, series arm, shunt arm, part, corner (low-pass, high-pass), centre
frequency (band-pass, notch), break (sketch), null, high frequency, high-frequency end.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import click
import pytest
from rungwise.tutor.cli.main import rungwise

ROOT = Path(__file__).parents[2]

INSTEAD = {
    # calques
    r"\bhang(s|ing)? on the\b|\bhangs on\b": "depends on",
    r"\bcome what may\b": "in every case",
    r"\blying where they lie\b": "wherever they are",
    r"\buntil it sits\b": "until you know it",
    r"\bnothing does\b(?! at| on)": "so nothing gets through",
    r"\bcounts? not at all\b": "does not count",
    r"\b(has|have|had|with) (a|no) say\b": "affects the output",
    r"\bfalls? together\b": "coincide",
    r"\bwhat becomes of\b": "what happens to",
    r"\breason to look for\b": "the reason",
    r"\bthat is all it takes\b": "say what follows",
    r"\bstands? in (the|nobody's) way\b": "is open in the series path; blocks",
    r"\blies? in the way\b": "is in the series path",
    r"\b(as|not) so many (poles|zeros)\b|: so many (poles|zeros)\b": "that is the number of",
    r"\bthey are as many\b": "the numbers are equal",
    r"\bon its own account\b": "independently",
    r"\bstores? energy on (its|their) own\b": "stores energy independently",
    r"\b(grow|grows|rises|falls) without end\b": "without limit",
    r"\b(goes|falls|rises|fall|rise) (to|towards|from) nothing\b": "to, from zero",
    r"\bnothing is left at the output\b": "nothing reaches the output",
    r"\b(comes?|came) through\b": "gets through",
    r"\bblocks? [a-z ]*outright\b|\bblocked outright\b": "makes a null; is blocked",
    r"\bin the place where\b": "in that position",
    r"\bin the place of\b": "in place of",
    r"\b(is|are|lies|lie) straight across\b": "directly across",
    r"\bmind the (sign|cross terms)\b": "watch the sign, watch for cross terms",
    r"\b[Ww]ith \S+ as at (DC|high frequency)\b": "at DC",
    r"\bat column \S+: found\b": "a sentence and an example",
    r"\bputs? the values in once more\b|\bonce more\b": "again",
    r"\bby turns\b": "in turn",
    r"\bafter a knock\b": "after a pulse",
    r"\bstarves?\b": "lowers",
    r"\bchanges its mind\b": "changes over",
    r"\btrade places\b": "exchange",
    r"\bversion \S+ is in hand\b|\btake [A-C] in hand\b": "you now turn",
    r"\b(cannot|can't) touch the output\b": "cannot affect the output",
    r"\bhave got a\b": "were given a",
    r"\bgiven free\b": "freed",
    r"\bhas gone by\b": "is in the past",
    r"\bis called like that\b": "has that name",
    r"\basks nothing of\b": "loads nothing from",
    r"\bwith commas between\b": "separated by commas",
    r"\bcan be had\b|\bcould be had\b": "available; there is",
    r"\bright at once\b": "right first time",
    r"\ball gets through\b": "the signal gets through",
    r"\bthey part (at|in|to)\b|\bwhere do they part\b": "they differ",
    r"\bprolonged\b": "extended",
    r"\bbadly rounded\b|\bnot well rounded\b": "poorly rounded",
    r"\bgives away that\b": "how can you tell that",
    r"\bworks? on each other\b|\barms that face each other\b": "cannot be counted one by one",
    r"\btold in letters\b": "given in letters",
    r"\b(breaks|turns) to 1/5 decade\b": "within 1/5 decade",
    # two terms for one thing
    r"\bvery high (up|f\w*)\b": "high frequency, high-frequency end",
    r"\bat high f\b": "at high frequency",
    r"\bthrough path\b": "series path",
    r"\bacross the output path\b": "in shunt",
    r"\bhangs? (down )?(to|from)\b": "goes to ground; is a shunt arm",
    r"\bin one (chain|bank)\b": "in series, in parallel",
    r"\bone behind the other\b": "in series; in a row",
    r"\b(lie|lies|add|ways) side by side\b|; side by side\b": "in parallel",
    r"\bmerges? (with|into)\b|\bof them merge\b": "combines with, into",
    r"\breactive elements?\b|\bone element together\b|\ba single element\b": "part",
    r"\belement value\b|\bL and C elements\b": "part",
    r"\b(least|greatest) (value|impedance)\b|\bleast (and|or) greatest\b": "smallest, largest",
    r"\bmiddle factor\b|\bfactor in front of\b": "coefficient",
    r"\bfolded at ±180|\bwithout a fold\b": "wrapped",
    r"\b(tilts?) the (gain|curve)\b": "gives a slope of",
    r"\bimpedance [^.]{1,60}\bgrows with frequency\b": "rises with frequency",
    r"\bnotch that is filled in\b": "dip",
}
"""Pattern → what to say instead.  Capitals and small letters count as the same."""


def texts_of(inner: object, place: str) -> Iterator[tuple[str, str]]:
    """(place, text) of every text in a table of words."""
    if isinstance(inner, dict):
        for name, deeper in inner.items():
            yield from texts_of(deeper, f"{place} {name}")
    elif isinstance(inner, str):
        yield place, inner


def helps(command: click.Command, words: str) -> Iterator[tuple[str, str]]:
    """(place, text) of the help of a command and of all below it."""
    context = click.Context(command, info_name=words)
    yield f"{words} --help", command.get_help(context)
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            inner = command.get_command(context, name)
            assert inner is not None
            yield from helps(inner, f"{words} {name}")


@cache
def read() -> tuple[tuple[str, str], ...]:
    """(place, text on one line) of everything that people read."""
    found: list[tuple[str, str]] = []
    for path in sorted((ROOT / "content").glob("*.toml")):
        found += texts_of(tomllib.loads(path.read_text(encoding="utf-8")), path.name)
    for name in "README.md", "DEVELOPERS.md":
        text = (ROOT / name).read_text(encoding="utf-8")
        found += [(name, paragraph) for paragraph in re.split(r"\n\s*\n", text)]
    found += helps(rungwise, "rungwise")
    return tuple((place, " ".join(text.split())) for place, text in found)


def test_everything_is_read() -> None:
    places = {place.split()[0] for place, _ in read()}
    assert {"README.md", "DEVELOPERS.md", "rungwise", "hints.toml", "slips.toml"} <= places
    assert len(read()) > 2500


@pytest.mark.parametrize("pattern", INSTEAD)
def test_it_is_said_in_plain_english(pattern: str) -> None:
    phrase = re.compile(pattern, re.IGNORECASE)
    found = [f"{place}: … {m[0]} …" for place, text in read() for m in phrase.finditer(text)]
    assert not found, f"say: {INSTEAD[pattern]}\n" + "\n".join(found)
