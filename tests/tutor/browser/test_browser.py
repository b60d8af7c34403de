"""The tutor in a real browser: painted, played, confined.

One visit is to the real tutor behind the real server.  What the page and the room do between them
is looked at with tutors that echo, which are there at once.
"""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import AsyncIterator
from pathlib import Path

import pytest
import pytest_asyncio
from rungwise.tutor.browser import visitor

from .browser import CHROMIUM, CTRL, Browser, Tab, visit, why_not
from .server import Served, alive, serving, wait_until
from .test_room import ECHO, opened

OPENING = "Rungwise  Passive filters"
"""What the tutor's first screen begins with."""

MIRROR = "document.getElementById('mirror').textContent"
WHO = "document.getElementById('who').textContent"
NOTE = "document.getElementById('note').textContent"

pytestmark = [
    pytest.mark.skipif(bool(why_not()), reason=why_not()),
    pytest.mark.asyncio(loop_scope="module"),
]


@pytest_asyncio.fixture(scope="module", loop_scope="module")
async def browser() -> AsyncIterator[Browser]:
    """One for all: every test serves at a port, and so an origin, of its own."""
    async with Browser() as found:
        yield found


@pytest.fixture(autouse=True)
def tutors(monkeypatch: pytest.MonkeyPatch, home: Path) -> None:
    """Those of a room in this process echo."""
    monkeypatch.setattr(visitor, "COMMAND", (sys.executable, "-S", "-c", ECHO))


async def test_there_is_a_browser_wherever_it_must_not_be_missing() -> None:
    assert CHROMIUM or not os.environ.get("CI")


async def leave(tab: Tab) -> None:
    """Leave by the page's button."""
    await tab.run("document.getElementById('leave').click()")
    await tab.sees("Come in again")


async def colours(tab: Tab) -> int:
    """How many colours the tutor's canvas shows."""
    return int(
        await tab.run(
            "(() => { const c = document.getElementById('screen');"
            "const d = new Uint32Array(c.getContext('2d').getImageData(0, 0, c.width, c.height)"
            ".data.buffer); return new Set(d).size })()"
        )
    )


def parts(seen: str) -> list[str]:
    """The values of the circuit's parts on a screen."""
    return re.findall(r"[\d.]+ [kMGmµnp]?(?:Ω|H|F)\b", seen)


HOSTILE = [
    ("<script>alert(1)</script>", "begins with a letter"),
    ("../../x", "begins with a letter"),
    ("Ana\u202eanA", "begins with a letter"),
    ("x" * 10_000, "too long"),
    ("   ", "Please give a name"),
    ("-" * 12, "begins with a letter"),
]
NAME = "عمر Müller"
"""Names of other scripts are names; one that is written from the right disturbs nothing."""


async def test_a_visit_to_the_real_tutor(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        async with visit(browser, served.address) as tab:
            assert await tab.run("document.activeElement.id") == "name"
            await refused_names(tab, served)
            seen = await come_in(tab)
            await hinted_and_answered(tab)
            await nothing_of_other_machines(tab, served)
            await pasted_resized_composed(tab, served)
            await larger_and_smaller(tab, seen)
            await tab.press("F4")
            before = parts(await tab.sees("Question 3 of"))
            assert before
            # Leaving by the tutor's own key ends its process, and says so.
            await tab.press("q", modifiers=CTRL)
            await tab.sees("You have left")
            assert wait_until(lambda: not served.tutors())
            # The same name goes on where it was.
            await tab.press("Enter")  # the button has the keyboard, the field the name
            await tab.sees("Go on")
            await tab.press("g")
            assert parts(await tab.sees("Question 3 of")) == before
            [tutor] = served.tutors()
        # A page that is closed takes its tutor along.
        assert wait_until(lambda: not alive(tutor))
    for path in tmp_path.rglob("*"):
        in_place = path.parent == tmp_path or path.parent.name.endswith("-copies")
        assert in_place and "<" not in path.name


async def refused_names(tab: Tab, served: Served) -> None:
    """Hostile names are refused in words, and harmless."""
    await tab.run("document.getElementById('name').removeAttribute('maxlength')")
    for name, why in HOSTILE:
        await tab.enter(name)
        await tab.sees(why)
        assert not served.tutors()
    assert not tab.complaints


async def come_in(tab: Tab) -> str:
    """Come in and go on to a question; what is seen then."""
    await tab.enter(NAME)
    await tab.sees(OPENING)
    assert await tab.run(WHO) == NAME
    await tab.press("n")
    # The keys are painted with the question, or after it: they say whether it is a worked example.
    if "T Try it" in await tab.sees("F2 Hint", "T Try it"):
        await tab.press("t")
    return await tab.sees("F2 Hint")


async def hinted_and_answered(tab: Tab) -> None:
    assert await colours(tab) > 20  # letters are drawn, not only grounds
    await tab.press("F2")
    await tab.sees("Hint 1 of 3")
    await tab.press("a", "Enter")
    await tab.until(f"/Question 2 of|Wrong:/.test({MIRROR})")
    if "Wrong:" in await tab.words():
        await tab.press("b", "Enter")
    await tab.sees("Question 2 of")


async def nothing_of_other_machines(tab: Tab, served: Served) -> None:
    assert all(
        url.startswith((served.address, f"ws://127.0.0.1:{served.port}/")) for url in tab.requests
    ), tab.requests
    paths = {re.sub(r"^\w+://[^/]+", "", url) for url in tab.requests}
    assert {"/", "/room.js", "/room.css", "/tutor"} <= paths
    # Fonts are those of the visitor's machine.
    assert await tab.run("document.fonts.size") == 0
    assert not tab.complaints


async def pasted_resized_composed(tab: Tab, served: Served) -> None:
    """Large pastes, storms of sizes and composed letters."""
    await tab.paste("'9\\n'.repeat(500000)")
    await tab.until(f"{NOTE}.includes('too long to paste')")
    for width in range(300, 1500, 60):
        await tab.resize((width, 400 + width // 3))
    await tab.resize((1280, 800))
    await tab.type("ä√Ω")
    assert await tab.run(NOTE) == ""  # any key takes it away
    await tab.press("F2")
    await tab.sees("Hint 1 of 3")
    assert not tab.complaints
    assert len(served.tutors()) == 1


async def larger_and_smaller(tab: Tab, before: str) -> None:
    """Text can be larger, and small windows shrink it."""
    wide = len(before.splitlines()[0])
    await tab.until(f"{MIRROR}.split('\\n')[0].length == {wide}")
    for _ in range(3):
        await tab.run("document.getElementById('larger').click()")
    await tab.until(f"{MIRROR}.split('\\n')[0].length < {wide - 20}")
    large = await tab.run(f"{MIRROR}.split('\\n')[0].length")
    await tab.sees("Question 2 of")
    await tab.resize((700, 500))  # too small for that text: the tutor's 80 columns go first
    await tab.until(f"{MIRROR}.split('\\n')[0].trimEnd().length >= 79")
    assert "Question 2 of" in await tab.words()
    await tab.resize((1280, 800))
    await tab.until(f"{MIRROR}.split('\\n')[0].length == {large}")


async def test_two_visitors_have_a_tutor_each(browser: Browser) -> None:
    async with (
        opened(visitors=2) as place,
        visit(browser, place.origin) as ana,
        visit(browser, place.origin) as ben,
        visit(browser, place.origin) as third,
    ):
        await ana.enter("Ana")
        await ana.sees('["Ana"')
        await ben.enter("ANA")  # the same record
        await ben.sees("is here already")
        await ben.enter("Ben")
        await ben.sees('["Ben"')
        await ana.press("F4")
        await ana.sees('"key": "f4"')
        await ben.press("F2")
        assert '"f4"' not in await ben.sees('"key": "f2"')
        assert '"f2"' not in await ana.words()
        assert len(place.room._inside) == 2
        await third.enter("Cleo")
        await third.sees("The room is full: 2 visitors")
        # A place that is given free can be taken.
        await leave(ben)
        await third.enter("Cleo")
        await third.sees('["Cleo"')


async def test_idle_visitors_are_warned_and_then_asked_to_leave(browser: Browser) -> None:
    async with opened(idle=1.5) as place, visit(browser, place.origin) as tab:
        await tab.run(
            "window.notes = []; new MutationObserver(() => window.notes.push("
            f"{NOTE})).observe(document.getElementById('note'), {{childList: true}})"
        )
        await tab.enter("Ana")
        await tab.sees("there was no key and no click")
        said, after = await tab.run("window.notes")
        assert said.startswith("Still there?") and not after


async def test_signs_and_sequences(browser: Browser) -> None:
    """The page's own reading of what a terminal is sent, against what the standard says."""
    cases = {
        "plain": ("ab\x1b[2;3Hc\x1b[31mx", ["ab", "  cx", ""]),
        "wide": ("中x\x1b[2;1Ha\u0301b\u200d", ["中x", "a\u0301b\u200d", ""]),
        "overflow": ("123456789012345", ["1234567890", "", ""]),
        "osc": ("a\x1b]0;title\x07b\x1b]8;;http://x\x1b\\c", ["abc", "", ""]),
        "unknown": ("\x1b[?1000h\x1b[>1u\x1b[5 q\x1b(Ba\x1b7\x1b[99zb", ["ab", "", ""]),
        "erase": ("abc\x1b[1;2H\x1b[Kz\x1b[9;99HA\x1b[2J", ["", "", ""]),
        "far": ("\x1b[999;999Hx\x1b[-3;0Hy", ["y", "", "         x"]),
    }
    async with opened() as place, visit(browser, place.origin) as tab:
        for text, lines in cases.values():
            for size in (1, 2, 1000):  # however the bytes are cut
                data = list(text.encode())
                cut = [data[i : i + size] for i in range(0, len(data), size)]
                found = await tab.run(
                    "import('/grid.js').then(({Grid}) => { const grid = new Grid(10, 3);"
                    f"for (const part of {json.dumps(cut)}) grid.feed(new Uint8Array(part));"
                    "return grid.lines() })"
                )
                assert found.split("\n") == lines, (text, size)
        styled = await tab.run(
            "import('/grid.js').then(({Grid}) => { const grid = new Grid(4, 1);"
            "grid.feed(new TextEncoder().encode("
            "'\\x1b[1;38;2;1;2;3ma\\x1b[22;7;48;5;231mb\\x1b[0mc\\x1b[38:2:4:5:6md'));"
            "return [[...grid.ink], [...grid.ground], [...grid.look]] })"
        )
        assert styled == [
            [0x010203, 0x010203, -1, 0x040506],
            [-1, 0xFFFFFF, -1, -1],
            [1, 16, 0, 0],
        ]
