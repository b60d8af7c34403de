"""The tutor in a real browser: painted, played, confined."""

from __future__ import annotations

import json
import os
import re
from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest
import pytest_asyncio

from .browser import CHROMIUM, CTRL, Browser, Tab, visit, why_not
from .server import Served, alive, serving, wait_until

OPENING = "Rungwise  Passive filters"
"""What the tutor's first screen begins with."""

MIRROR = "document.getElementById('mirror').textContent"

pytestmark = [
    pytest.mark.skipif(bool(why_not()), reason=why_not()),
    pytest.mark.asyncio(loop_scope="module"),
]


@pytest_asyncio.fixture(scope="module", loop_scope="module")
async def browser() -> AsyncIterator[Browser]:
    """One for all: every test serves at a port, and so an origin, of its own."""
    async with Browser() as found:
        yield found


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    with serving(tmp_path, "--visitors", "2") as found:
        yield found


async def test_there_is_a_browser_wherever_it_must_not_be_missing() -> None:
    assert CHROMIUM or not os.environ.get("CI")


async def come_in(tab: Tab, name: str) -> str:
    """Come in and go on to a question; what is seen then."""
    await tab.enter(name)
    await tab.sees(OPENING)
    await tab.press("n")
    return await climbing(tab)


async def climbing(tab: Tab) -> str:
    """Wait for the first question; who is shown a worked example climbs it themselves."""
    # The keys are painted with the question, or after it: they say which of the two it is.
    if "T Try it" in await tab.sees("F2 Hint", "T Try it"):
        await tab.press("t")
    return await tab.sees("F2 Hint")


async def colours(tab: Tab) -> int:
    """How many colours the tutor's canvas shows."""
    return int(
        await tab.run(
            "(() => { const c = document.getElementById('screen');"
            "const d = new Uint32Array(c.getContext('2d').getImageData(0, 0, c.width, c.height)"
            ".data.buffer); return new Set(d).size })()"
        )
    )


async def test_a_visitor_answers_and_asks_nothing_of_other_machines(
    browser: Browser, served: Served
) -> None:
    async with visit(browser, served.address) as tab:
        assert await tab.run("document.activeElement.id") == "name"
        seen = await come_in(tab, "Ana Müller")
        assert await tab.run("document.getElementById('who').textContent") == "Ana Müller"
        assert await colours(tab) > 20  # letters are drawn, not only grounds
        assert "F2 Hint" in seen
        await tab.press("F2")
        await tab.sees("Hint 1 of 3")
        before = len(served.tutors())
        assert before == 1
        await tab.press("a", "Enter")
        await tab.until(f"/Question 2 of|Wrong:/.test({MIRROR})")
        if "Wrong:" in await tab.words():
            await tab.press("b", "Enter")
        await tab.sees("Question 2 of")
        assert all(
            url.startswith((served.address, f"ws://127.0.0.1:{served.port}/"))
            for url in tab.requests
        ), tab.requests
        paths = {re.sub(r"^\w+://[^/]+", "", url) for url in tab.requests}
        assert {"/", "/room.js", "/room.css", "/tutor"} <= paths
        assert not tab.complaints
        # Fonts are those of the visitor's machine.
        assert await tab.run("document.fonts.size") == 0
        # Leaving by the tutor's own key ends its process, and says so.
        await tab.press("q", modifiers=CTRL)
        await tab.sees("You have left")
        assert wait_until(lambda: not served.tutors())


async def test_two_visitors_are_two_learners(browser: Browser, served: Served) -> None:
    async with (
        visit(browser, served.address) as ana,
        visit(browser, served.address) as ben,
        visit(browser, served.address) as third,
    ):
        await come_in(ana, "Ana")
        await ben.enter("ANA")  # the same record
        assert "is here already" in await ben.sees("here already")
        await come_in(ben, "Ben")
        await ana.press("F4")
        await ana.sees("Question 2 of")
        assert "Question 1 of" in await ben.words()
        assert len(served.tutors()) == 2
        await third.enter("Cleo")
        await third.sees("The room is full: 2 visitors")
        assert len(served.tutors()) == 2
        # A place that is given free can be taken.
        await ben.run("document.getElementById('leave').click()")
        await ben.sees("Come in again")
        await come_in(third, "Cleo")


async def test_the_same_name_goes_on_where_it_was(browser: Browser, served: Served) -> None:
    async with visit(browser, served.address) as tab:
        await come_in(tab, "Ana")
        await tab.press("F4")
        before = parts(await tab.sees("Question 2 of"))
        await tab.run("document.getElementById('leave').click()")
        await tab.sees("Come in again")
        await tab.press("Enter")  # the button has the keyboard, the field the name
        await tab.sees("Go on")
        await tab.press("g")
        assert parts(await tab.sees("Question 2 of")) == before


def parts(seen: str) -> list[str]:
    """The values of the circuit's parts on a screen."""
    return re.findall(r"[\d.]+ [kMGmµnp]?(?:Ω|H|F)\b", seen)


async def test_a_page_that_is_closed_takes_its_tutor_along(
    browser: Browser, served: Served
) -> None:
    async with visit(browser, served.address) as tab:
        await come_in(tab, "Ana")
        [tutor] = served.tutors()
    assert wait_until(lambda: not alive(tutor))


async def test_idle_visitors_are_warned_and_then_asked_to_leave(
    browser: Browser, tmp_path: Path
) -> None:
    with serving(tmp_path, "--idle", "0.1") as served:  # six seconds
        async with visit(browser, served.address) as tab:
            await come_in(tab, "Ana")
            await tab.until("document.getElementById('note').textContent.includes('Still there?')")
            await tab.press("F2")
            assert await tab.run("document.getElementById('note').textContent") == ""
            await tab.sees("there was no key and no click")
            assert wait_until(lambda: not served.tutors())


HOSTILE = [
    ("<script>alert(1)</script>", "begins with a letter"),
    ("../../x", "begins with a letter"),
    ("Ana\u202eanA", "begins with a letter"),
    ("x" * 10_000, "too long"),
    ("   ", "Please give a name"),
    ("-" * 12, "begins with a letter"),
]


async def test_hostile_names_are_refused_and_harmless(
    browser: Browser, served: Served, tmp_path: Path
) -> None:
    async with visit(browser, served.address) as tab:
        await tab.run("document.getElementById('name').removeAttribute('maxlength')")
        for name, why in HOSTILE:
            await tab.enter(name)
            await tab.sees(why)
            assert not served.tutors()
        assert not tab.complaints
        # Names of other scripts are names; one that is written from the right disturbs nothing.
        await come_in(tab, "عمر")
        assert await tab.run("document.getElementById('who').textContent") == "عمر"
        await tab.run("document.getElementById('leave').click()")
        await tab.sees("Come in again")
    for path in tmp_path.rglob("*"):
        in_place = path.parent == tmp_path or path.parent.name.endswith("-copies")
        assert in_place and "<" not in path.name


async def test_large_pastes_storms_of_sizes_and_composed_letters(
    browser: Browser, served: Served
) -> None:
    async with visit(browser, served.address) as tab:
        await come_in(tab, "Ana")
        await tab.paste("'9\\n'.repeat(500000)")
        await tab.until("document.getElementById('note').textContent.includes('too long to paste')")
        for width in range(300, 1500, 60):
            await tab.resize((width, 400 + width // 3))
        await tab.resize((1280, 800))
        await tab.type("ä√Ω")
        await tab.press("F2")
        await tab.sees("Hint 1 of 3")
        assert not tab.complaints
        assert len(served.tutors()) == 1


async def test_text_can_be_larger_and_small_windows_shrink_it(
    browser: Browser, served: Served
) -> None:
    async with visit(browser, served.address, (1280, 800)) as tab:
        await tab.enter("Ana")
        await tab.sees(OPENING)
        await tab.press("n")
        wide = len((await climbing(tab)).splitlines()[0])
        for _ in range(3):
            await tab.run("document.getElementById('larger').click()")
        await tab.until(f"{MIRROR}.split('\\n')[0].length < {wide - 20}")
        await tab.sees("Question 1 of")
        await tab.resize((700, 500))  # too small for that text: the tutor's 80 columns go first
        await tab.until(f"{MIRROR}.split('\\n')[0].trimEnd().length >= 79")
        assert "Question 1 of" in await tab.words()


async def test_signs_and_sequences(browser: Browser, served: Served) -> None:
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
    async with visit(browser, served.address) as tab:
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
