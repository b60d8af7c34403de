"""Draws the worked example of a first start once and for all.

``python -m tests.studies.draw_example`` does it.

The first frame would otherwise wait for the notation and the figures to be imported.  A test
holds the drawings against what the figures draw now.
"""

from __future__ import annotations

from pathlib import Path

from rungwise.problems.analysis.arms import End
from rungwise.problems.circuits.text import read_circuit
from rungwise.tutor.figures.schematic.draw import Schematic

CIRCUIT = "series R1 = 1 kΩ; shunt C1 = 100 nF"
FILE = Path(__file__).parents[2] / "tutor" / "screens" / "opening" / "example.py"
SIZES = ((28, 8), (46, 11))
"""Columns and rows of the compact and of the full drawing."""
INKS = {
    " ": ("", "$foreground"),
    "w": ("wire", "$ink-quiet"),
    "r": ("resistor", "$ink-copper"),
    "c": ("capacitor", "$ink-brass"),
    "o": ("open", "$ink-verdigris"),
    "s": ("short", "$ink-verdigris"),
    "g": ("ground", "$ink-quiet"),
    "l": ("label", "bold $foreground"),
    "v": ("value", "$foreground"),
    "S": ("source", "$foreground"),
    "t": ("terminal", "$foreground"),
}
"""The letter of each part of a drawing, its role in a figure, and its ink."""


def drawings() -> dict[tuple[str, int], tuple[tuple[str, ...], tuple[str, ...]]]:
    """Lines and the letters of their parts, by the end of the frequency axis and by height."""
    ladder, found = read_circuit(CIRCUIT), {}
    letters = {role: letter for letter, (role, _) in INKS.items()}
    for width, height in SIZES:
        for end in (None, *End):
            picture = Schematic(ladder, end=end).largest(width, height)
            assert picture is not None, (width, height)
            roles = [[" "] * len(line) for line in picture.lines]
            for row, col, length, role in picture.spans:
                roles[row][col : col + length] = letters[role] * length
            marks = tuple("".join(row) for row in roles)
            found[end.value if end else "", height] = (picture.lines, marks)
    return found


def source() -> str:
    """The module."""
    out = [
        '"""The drawings of the worked example, made by '
        '``python -m tests.studies.draw_example``."""',
        "",
        "# fmt: off",
        f'CIRCUIT = "{CIRCUIT}"',
        '"""What is drawn; its numbers stand in the words of the example as well."""',
        "",
        "INKS = {",
        *(f'    "{letter}": "{ink}",' for letter, (_, ink) in INKS.items()),
        "}",
        '"""The ink of each part by its letter."""',
        "",
        "DRAWINGS = {",
    ]
    for (end, height), (lines, marks) in drawings().items():
        out.append(f'    ("{end}", {height}): ((')
        out += [f'        "{line}",' for line in lines]
        out.append("    ), (")
        out += [f'        "{line}",' for line in marks]
        out.append("    )),")
    out += [
        "}",
        '"""Lines, and the letter of the part at each place, by end of the axis and by height."""',
        "",
    ]
    return "\n".join(out)


if __name__ == "__main__":
    FILE.write_text(source(), encoding="utf-8")
