"""What every picture in characters is drawn on: a grid of signs, and what each of them is."""

from __future__ import annotations

from dataclasses import dataclass, field

from ...language.ascii import BRAILLE, DOTS, SIGNS, ascii_form
from .braille import UNICODE, Dots
from .picture import Picture, Span, runs
from .styled import StyledLine

_IN_ASCII = str.maketrans(
    {sign: cell for sign, (_, cell) in SIGNS.items()}
    | {chr(BRAILLE + bits): sign for bits, sign in enumerate(DOTS)}
    # Where a figure has signs for more things than text has, they stay apart.
    | {"┈": ".", "┊": ":", "╵": "'", "╎": "!", "×": "x", "⊗": "*"}
    | dict.fromkeys("┏┓┗┛", "#")
)


@dataclass
class Canvas:
    """Rows of characters and of their roles, ``width`` by ``height`` cells, empty at first.

    Figures are drawn in Unicode; with ``ascii`` each sign becomes an ASCII one of one cell in
    the end.  Only what takes another width then is put otherwise: see `words` and `either`.
    """

    width: int
    height: int
    ascii: bool = False
    chars: list[list[str]] = field(init=False)
    roles: list[list[str]] = field(init=False)

    def __post_init__(self) -> None:
        self.chars = [[" "] * self.width for _ in range(self.height)]
        self.roles = [[""] * self.width for _ in range(self.height)]

    @classmethod
    def of(cls, picture: Picture, ascii: bool = False) -> Canvas:  # noqa: A002
        """A ``picture`` to be drawn on, in ``ascii`` if that is what it was drawn in."""
        canvas = cls(picture.width, picture.height, ascii)
        canvas.chars = [list(line) for line in picture.lines]
        for span in picture.spans:
            end = span.col + span.length
            canvas.roles[span.row][span.col : end] = [span.role] * span.length
        return canvas

    def words(self, text: str) -> str:
        """The text in the characters of this canvas."""
        return ascii_form(text) if self.ascii else text

    def either(self, sign: str, spelled: str) -> str:
        """The ``sign``, or how it is ``spelled`` in ASCII where one cell says too little."""
        return spelled if self.ascii else sign

    def put(self, col: int, row: int, text: str, role: str, *, solid: bool = False) -> None:
        """Write over whatever is there; what lies outside is cut.

        Args:
            col: where the text begins.
            row: which row it stands in.
            text: signs that each take one cell.
            role: what they are.
            solid: whether its blanks are that too, and not nothing.
        """
        if not 0 <= row < self.height:
            return
        for at, char in enumerate(text, col):
            if 0 <= at < self.width:
                self.chars[row][at] = char
                self.roles[row][at] = role if solid or char != " " else ""

    def lay(self, col: int, row: int, dots: Dots, role: str) -> None:
        """Lay ``dots`` of a ``role`` from cell (``col``, ``row``) on, where there are any."""
        for y, cells in enumerate(dots.rows, row):
            for x, bits in enumerate(cells, col):
                if bits:
                    self.put(x, y, UNICODE[bits], role)

    @property
    def lines(self) -> tuple[str, ...]:
        """The rows as text."""
        rows = ("".join(row) for row in self.chars)
        return tuple(row.translate(_IN_ASCII) if self.ascii else row for row in rows)

    @property
    def spans(self) -> tuple[Span, ...]:
        """What the signs are, row by row."""
        return tuple(runs(self.roles))

    def styled(self, bare: str) -> list[StyledLine]:
        """The rows where the roles are styles; what has none has the ``bare`` one."""
        found = []
        for chars, roles in zip(self.chars, self.roles, strict=True):
            parts: list[tuple[str, str]] = []
            for char, role in zip(chars, roles, strict=True):
                style = role or bare
                if parts and parts[-1][1] == style:
                    parts[-1] = (parts[-1][0] + char, style)
                else:
                    parts.append((char, style))
            found.append(StyledLine.of(*parts))
        return found
