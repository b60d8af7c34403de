"""Strings of the readers' own grammar, through every reader of typed text.

``python -m tests.studies.typed_answers N`` reads N strings and prints, reader by reader, the
worst processor time and what was raised.  Each string of a question goes to the grader as the
drill, the plain lines and a rehearsal call it, and to the echo that is shown at every key; those
of a sheet go to what fills it in, and to what marks it.
"""

from __future__ import annotations

import random
import sys
import time
from dataclasses import dataclass, field

from .typed_readers import Reader, readers

SLOWEST = 0.050
"""Seconds of processor time that a string may take."""


@dataclass
class Found:
    """What the strings of one reader came to."""

    strings: int = 0
    worst: float = 0.0
    text: str = ""
    slow: int = 0
    raised: dict[str, str] = field(default_factory=dict)


def text_of(reader: Reader, chance: random.Random) -> str:
    """One string: pieces in any order, a valid text spoilt or repeated, or something nested."""
    kind = chance.randrange(8)
    if kind < 4:
        count = chance.choice((1, 2, 3, 5, 8, 13, 30, 120))
        gap = chance.choice(("", " ", " "))
        return gap.join(chance.choices(reader.pieces, k=count))
    if kind == 4:
        return (chance.choice(reader.pieces) + chance.choice((" ", ""))) * chance.randint(2, 300)
    if kind == 5:
        depth = chance.choice((2, 8, 40, 70))
        opening = chance.choice(("(", "√(", "1/(", "1+1/(1+", "s*(", "√", "((s+1)*"))
        return opening * depth + chance.choice(reader.pieces) + ")" * depth
    text = chance.choice(reader.valid)
    if kind == 6:
        join = chance.choice((", ", " ", "∥", "*", "/", "+"))
        return join.join([text] * chance.randint(1, 12))
    at = chance.randrange(len(text) + 1)
    return text[:at] + chance.choice(reader.pieces) + text[at + chance.randint(0, 3) :]


def study(count: int, seed: int = 1) -> dict[str, Found]:
    """Feed every reader its share of ``count`` strings."""
    chance = random.Random(seed)
    all_readers = readers()
    results = {reader.name: Found() for reader in all_readers}
    for number in range(count):
        reader = all_readers[number % len(all_readers)]
        text, result = text_of(reader, chance), results[reader.name]
        result.strings += 1
        spent = _timed(reader, text, result)
        for _ in range(2):  # the collector's pauses are not the reader's
            if spent > SLOWEST / 5:
                spent = min(spent, _timed(reader, text, result))
        result.slow += spent > SLOWEST
        if spent > result.worst:
            result.worst, result.text = spent, text
    return results


def _timed(reader: Reader, text: str, result: Found) -> float:
    start = time.thread_time()
    try:
        reader.read(text)
    except reader.documented:
        pass
    except Exception as error:
        result.raised.setdefault(f"{type(error).__name__}: {error}"[:80], text)
    return time.thread_time() - start


def main() -> None:
    """Read as many strings as are asked for, and say what became of them."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    start = time.process_time()
    for name, found in study(count).items():
        print(f"{name:<32}{found.strings:>9,}{found.worst * 1000:>8.1f} ms  {found.text[:60]!r}")
        if found.slow:
            print(f"    {found.slow} above {SLOWEST * 1000:.0f} ms")
        for error, text in found.raised.items():
            print(f"    {error}\n      {text[:200]!r}")
    print(f"{count:,} strings, {time.process_time() - start:.0f} s of processor time")


if __name__ == "__main__":
    main()
