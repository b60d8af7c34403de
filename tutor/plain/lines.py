"""Plain lines on two streams: written, wrapped and read; what every plain task stands on.

Everything is said in words, one thing a line, without cursor moves or colour.  Every line that
marks an answer begins with one of the fixed words of ``[plain.mark]`` in ``content/screens.toml``,
so that a script can check it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import TextIOWrapper
from typing import TYPE_CHECKING, Self, TextIO

from ..language.ascii import ascii_form, carries_unicode
from ..language.texts import Words, plain
from ..language.wrap import fold

if TYPE_CHECKING:
    from ..store.keeper import Keeper

HINT, SHOW, HAND_IN = "?", ".", "!"
MAX_LINE = 4096
"""Longest line read as an answer, in characters; the rest of a longer one is dropped."""

NARROWEST, WIDEST = 20, 100
_DRAWN = frozenset("─│╲┌┤╭")
"""What drawings have and lines of text have not."""


class EndOfInput(Exception):  # noqa: N818 - an end, not an error
    """The input has no more lines."""


@dataclass
class PlainLines:
    """Lines on two streams.

    Args:
        source: Where answers come from, one a line.
        output: Where everything goes.
        width: Columns to wrap at.
        ascii: Write ASCII only.
        draw: Draw each circuit as well (it is always given as text).
        echo: Repeat each answer, since nobody sees it typed when it comes over a pipe.
        keeper: Keeps the learner's record; without one nothing is kept.
    """

    source: TextIO
    output: TextIO
    width: int = 80
    ascii: bool = False
    draw: bool = False
    echo: bool = False
    keeper: Keeper | None = None

    def __post_init__(self) -> None:
        self.width = max(NARROWEST, min(self.width, WIDEST))
        self.words = Words.load()
        self._trouble = ""

    @classmethod
    def on_standard_streams(cls, width: int, draw: bool, keeper: Keeper | None = None) -> Self:
        """Lines on standard input and output.

        Args:
            width: columns to wrap at.
            draw: draw each circuit as well.
            keeper: keeps the learner's record; without one nothing is kept.
        """
        # Bytes that are no text become replacement marks: they are answers not understood.
        for stream in (sys.stdin, sys.stdout):
            if isinstance(stream, TextIOWrapper):
                stream.reconfigure(errors="replace")
        return cls(
            sys.stdin,
            sys.stdout,
            width=width,
            ascii=not carries_unicode(sys.stdout),
            draw=draw,
            echo=not sys.stdin.isatty(),
            keeper=keeper,
        )

    @contextmanager
    def kept(self) -> Iterator[None]:
        """Close the record in the end, and say what came to light only when all was written."""
        try:
            yield
        finally:
            if self.keeper is not None:
                self.keeper.close()
        self.say_if_unkept()

    def say_if_unkept(self) -> None:
        """Say once what befell the record, and whenever it begins that nothing is being kept."""
        if self.keeper is None:
            return
        notice, self.keeper.notice = self.keeper.notice, ""
        if notice:
            self.say(notice)
        trouble = self.keeper.trouble
        if trouble != self._trouble:
            self._trouble = trouble
            if trouble:
                self.say(trouble)

    def mark(self, word: str, rest: str) -> None:
        """A line that begins with the fixed word for a mark (``word``), and its ``rest``."""
        self.say(f"{self.ui(f'mark.{word}')} {rest}".rstrip())

    def ui(self, key: str, **values: object) -> str:
        """The text ``key`` of the plain drill, filled with ``values``."""
        return self.words.ui(f"plain.{key}", **values)

    def read(self) -> str:
        """The next answer, without the blanks around it.

        Raises:
            EndOfInput: the input has no more lines.
        """
        self.output.write("> ")
        self.output.flush()
        line = self.source.readline(MAX_LINE)
        if not line:
            raise EndOfInput
        typed, chunk = line.strip(), line
        while chunk and not chunk.endswith("\n"):
            chunk = self.source.readline(MAX_LINE)
        if self.echo:
            self.output.write(self._fit(plain(typed))[: self.width - 2] + "\n")
        return typed

    def say(self, text: str, first: str = "", rest: str = "") -> None:
        """Write a text, wrapped.

        Args:
            text: what to write; lines that begin with a space are formulas and stay whole.
            first: what its first line begins with.
            rest: what the others begin with; as the first, if "".
        """
        for line in self._fit(text).splitlines():
            if line.startswith(" "):
                self.lines(line, rest)
                continue
            self.output.write("\n".join(fold(line, self.width, first, rest or first)) + "\n")
            first = rest or first

    def lines(self, text: str, indent: str = "  ") -> None:
        """Write the lines of ``text`` under an ``indent``; what is too wide goes on underneath.

        A line of a drawing is cut where the room ends, so that its rows stay together; any
        other line is folded between words.
        """
        room = self.width - len(indent)
        if not _DRAWN.intersection(text):
            for line in self._fit(text).splitlines():
                folded = [line] if len(line) <= room else fold(line, room, "", "  ")
                self.output.writelines(f"{indent}{piece}".rstrip() + "\n" for piece in folded)
            return
        lines = self._fit(text).splitlines()
        while lines:
            for line in lines:
                self.output.write(f"{indent}{line[:room]}".rstrip() + "\n")
            lines = [line[room:] for line in lines] if max(map(len, lines)) > room else []

    def gap(self) -> None:
        """An empty line."""
        self.output.write("\n")

    def _fit(self, text: str) -> str:
        return ascii_form(text) if self.ascii else text
