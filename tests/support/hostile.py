"""Random and hostile strings for every reader of typed text, and a check that uses them.

``strings(count, seed, samples)`` mixes pure noise, spliced fragments and damaged copies of
valid samples; ``HEAVY`` are the few large ones.  ``survey`` feeds a reader and fails on any
exception but the documented ones, and on any string that takes more than 50 ms of this
thread's processor time.
"""

from __future__ import annotations

import random
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence

from rungwise.tutor.language.errors import worded

SLOWEST = 0.050  # seconds of processor time for one string

FRAGMENTS = (
    # controls, terminal escapes, links and title changes
    "\x00", "\x07", "\x08", "\x1b[31m", "\x1b]0;t\x07", "\x1b[2J", "\x9b1m", "\x7f", "\r", "\n",
    "\x0b", "\x0c", "\x1b]8;;http://x\x1b\\", "\t",
    # marks that reorder, hide or break text; lone surrogates; private use; far planes
    "\u202e", "\u2066", "\u200b", "\u200f", "\ufeff", "\u2028", "\x85", "\xad", "\ud800", "\udfff",
    "\ue000", "\U0010ffff", "\ufffe", "a\u0301\u0302\u0303",
    # signs that look like others, digits of other scripts, letters that fold oddly
    "−", "–", "µ", "μ", "Ω", "Ω", "½", "²", "⁻⁷", "₁", "①", "٣", "४", "𝟗", "１", "，", "；", "＃",
    "㎑", "㏀", "ﷺ", "ſ", "K", "ﬁ", "İ", "ß", "∥", "√", "π", "∞", "·", "×", "º", "°", "٫",
    # markup, format strings, code, paths, queries
    "[bold red]", "[/]", "{0.__class__}", "{name}", "%s%n", "__import__('os')", "$(id)", "`id`",
    "../../etc/passwd", "' OR 1=1 --", "<script>", "lambda:0", "\\N{BULLET}", "\\x41", "${x}",
    # numbers at and beyond the edge
    "1e400", "-1e-400", "1e999999999", "9" * 40, "0" * 50 + "1", "1" + "0" * 60, "0x1F", "1_000",
    "nan", "inf", "-Infinity", "1.2.3", "1,2,3", "1/0", "0/0", "--", "+-+", "1e", "e5", "5e+",
    "1e1e1",
    "1.", ".5", ",5", "1,000", "10^", "^^", "**", "***", "10**9**9**9", "2^2^2^2^2^2^2",
    # pieces of the notations themselves
    "series ", "shunt ", "source ", "load ", "buffer", "R1", "L1 = ", "C1", " = ", " + ", " || ",
    "|",
    "(", ")", "((((", "))))", ";", "#", "100 nF", "4k7", "4.7 kΩ", "10 m", "Hz", "rad/s", "dB/dec",
    "s^2", "sqrt(", "R1*C1", "1/(2*pi*sqrt(L1*C1))", "w0", "j", "R1C1", "a", "?", ".", " ", "  ",
)  # fmt: skip

HEAVY = (
    "9" * 1_000_000,
    "1," * 500_000,
    "1 " * 500_000,
    " " * 1_000_000,
    "\n" * 1_000_000,
    ";" * 1_000_000,
    "(" * 1_000_000,
    "(" * 2_000 + "R1" + ")" * 2_000,
    "series " + "(" * 4_000,
    "series " + "R1 + " * 800 + "R1",
    "series R1 = " + "9" * 4_000,
    "series R1 = 1/" + "9" * 4_000,
    "series R1 = 0." + "0" * 4_000 + "1",
    "series C1 = " + "1 000 " * 600,
    "#" * 4_096,
    "series R\n" * 450,
    "R1 " * 300_000,
    "-" * 1_000_000,
    "1e" * 500_000,
    "1/" * 500_000 + "1",
    "sqrt(" * 200_000,
    "s^" * 500_000,
    "ﷺ" * 60,
    "ﷺ" * 300_000,
    "\u0301" * 100_000,
    "\x00" * 1_000_000,
    "\ud800" * 500_000,
    "é" * 1_000_000,
    "4k7" * 300_000,
    "a" * 64,
    "·" * 64,
    "⁹" * 64,
    "1" + "e" * 63,
    "dB" * 32,
)

_ALPHABET = "0123456789.,-+*/^()=|#; \teEkKmMuµμnpRLCFHzΩsradBj°%'\"_<>[]{}\\√π²"


def strings(count: int, seed: int, samples: Sequence[str]) -> Iterator[str]:
    """``count`` strings: noise, splices and damaged samples in equal parts; the same each time."""
    chance = random.Random(seed)
    for i in range(count):
        match i % 4:
            case 0:
                length = chance.choice((1, 2, 3, 5, 8, 20, 64, 65))
                yield "".join(chance.choice(_ALPHABET) for _ in range(length))
            case 1:
                yield "".join(chance.choice(FRAGMENTS) for _ in range(chance.randint(1, 8)))
            case 2:
                yield "".join(chr(chance.randrange(0x110000)) for _ in range(chance.randint(1, 20)))
            case _:
                yield damaged(chance.choice(samples), chance)


def damaged(text: str, chance: random.Random) -> str:
    """A sample with a few characters dropped, doubled, swapped, or something put in."""
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(text) + 1)
        match chance.randrange(5):
            case 0:
                text = text[:at] + text[at + 1 :]
            case 1:
                text = text[:at] + text[at : at + 1] * 2 + text[at + 1 :]
            case 2:
                text = text[:at] + text[at + 1 : at + 2] + text[at : at + 1] + text[at + 2 :]
            case 3:
                text = text[:at] + chance.choice(FRAGMENTS) + text[at:]
            case _:
                text = text[:at] + chance.choice(_ALPHABET) + text[at + 1 :]
    return text


def survey(
    read: Callable[[str], object],
    documented: tuple[type[Exception], ...],
    samples: Sequence[str],
    count: int = 25_000,
    seed: int = 1,
) -> Counter[str]:
    """Feed a reader everything; how many strings were read and how many refused.

    Raises:
        AssertionError: an undocumented exception, or a string that takes too long.
    """
    outcomes: Counter[str] = Counter()
    for text in (*HEAVY, *strings(count - len(HEAVY), seed, samples)):
        outcome, seconds = _try(read, documented, text)
        # The collector's pauses are not the reader's; real slowness repeats itself.
        for _ in range(2):
            if seconds > SLOWEST:
                outcome, seconds = _try(read, documented, text)
        assert seconds <= SLOWEST, f"{seconds * 1000:.0f} ms for {text[:60]!r} ({len(text)})"
        outcomes[outcome] += 1
    return outcomes


def _try(
    read: Callable[[str], object], documented: tuple[type[Exception], ...], text: str
) -> tuple[str, float]:
    start = time.thread_time()
    try:
        read(text)
        outcome = "read"
    except documented as error:
        outcome = "refused"
        message = worded(error)
        assert message, f"no message for {text[:60]!r}"
        assert message.isprintable(), f"an unprintable message for {text[:60]!r}: {message!r}"
    except Exception as error:
        raise AssertionError(f"{type(error).__name__} for {text[:60]!r}: {error}") from error
    return outcome, time.thread_time() - start
