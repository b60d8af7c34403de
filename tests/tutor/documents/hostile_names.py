"""Names that come from rosters and mean no good, or are just other people's."""

from __future__ import annotations

import random

from rungwise.problems.sheets.model import Student

STUDENTS = (
    Student(1, 'O\'Neil, "Ann"', "4711"),
    Student(2, "=cmd|' /C calc'!A0", "=1+1"),
    Student(3, "../../x", "..\\..\\y"),
    Student(4, "<b onmouseover=alert(1)>Bo</b>", "&lt;&#0;]]>"),
    Student(5, "王小明", "s-05"),
    Student(6, "محمد عبد الله", "s-06"),
    Student(7, "דוד בן־גוריון", "s-07"),
    Student(8, '#eval("1") $x$ @a *b* _c_ `d` \\ //e', "#panic()"),
    Student(9, "x" * 3000, "y" * 300),
    Student(10, "\u202eevil\x1b[31m\x00\ufeff", "\x07"),
    Student(11, "</style><script>alert(1)</script>", "{{7*7}} ${x} %s"),
    Student(12, "", ""),
    Student(13, "😀 Zoë Łukasz-Ångström", ""),
    Student(14, "Nguyễn Thị", "𝟜𝟟"),
    Student(15, "a\nb\r\nc\u2028d\te", "1\n2"),
)

SIGNS = (
    (0x20, 0x24F),
    (0x300, 0x36F),
    (0x370, 0x8FF),
    (0x900, 0x1FFF),
    (0x2000, 0x2BFF),
    (0x3000, 0x9FFF),
    (0xA000, 0xFFFF),
    (0x10000, 0x1F9FF),
    (0xE0000, 0xE01EF),
)
"""First and last of stretches of Unicode, the unassigned, the private and surrogates among them."""


def scribble(seed: int, most: int) -> str:
    """A text of signs from all over Unicode."""
    chance = random.Random(seed)
    found = []
    for _ in range(chance.randrange(1, most)):
        found.append(chr(chance.randint(*chance.choice(SIGNS))))
        if chance.random() < 0.15:
            found.append(chance.choice(["\n", " ", "\n  ", "\u0301", "\u200d", "\ufe0f", "\u3099"]))
    return "".join(found)
