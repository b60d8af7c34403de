"""A real browser without a window: Chromium, driven by its DevTools protocol.

The protocol is JSON over a websocket: https://chromedevtools.github.io/devtools-protocol/.
"""

from __future__ import annotations

import asyncio
import base64
import itertools
import os
import shutil
import subprocess
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import aiohttp

CHROMIUM = shutil.which("chromium")
FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
    *("--remote-debugging-port=0", "--force-color-profile=srgb", "--hide-scrollbars"),
)
ARROWS = {"ArrowLeft": 37, "ArrowUp": 38, "ArrowRight": 39, "ArrowDown": 40}
CODES = {"Enter": 13, "Tab": 9, "Escape": 27, "Backspace": 8, **ARROWS}
"""Windows virtual key codes, which the protocol asks for, by names in the DOM."""
CTRL = 2
PATIENCE = 40.0
"""Seconds that a page is waited for."""
LOOK = 0.02
"""Seconds between looks at it."""


class Tab:
    """One page, and everything it has asked for and complained of."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self.requests: list[str] = []
        self.complaints: list[str] = []
        self._socket = socket
        self._numbers = itertools.count(1)
        self._waiting: dict[int, asyncio.Future[dict[str, Any]]] = {}
        self._reader = asyncio.create_task(self._read())

    async def _read(self) -> None:
        async for message in self._socket:
            said = message.json()
            if "id" in said:
                self._waiting.pop(said["id"]).set_result(said)
                continue
            match said:
                case {"method": "Network.requestWillBeSent", "params": {"request": asked}}:
                    self.requests.append(asked["url"])
                case {"method": "Network.webSocketCreated", "params": {"url": url}}:
                    self.requests.append(url)
                case {"method": "Runtime.exceptionThrown", "params": {"exceptionDetails": what}}:
                    self.complaints.append(str(what))
                case {"method": "Log.entryAdded", "params": {"entry": what}}:
                    self.complaints.append(what["text"])
                case {"method": "Runtime.consoleAPICalled", "params": what}:
                    self.complaints.append(str(what["args"]))

    async def call(self, method: str, **params: Any) -> dict[str, Any]:
        """Have the browser do something."""
        number = next(self._numbers)
        answer = self._waiting[number] = asyncio.get_running_loop().create_future()
        await self._socket.send_json({"id": number, "method": method, "params": params})
        said = await asyncio.wait_for(answer, PATIENCE)
        assert "error" not in said, (method, said)
        result: dict[str, Any] = said["result"]
        return result

    async def open(self, url: str, size: tuple[int, int], scale: float = 1) -> None:
        """Open a page in a window of some size, in CSS pixels."""
        for area in ("Page", "Runtime", "Network", "Log"):
            await self.call(f"{area}.enable")
        await self.resize(size, scale)
        await self.call("Page.navigate", url=url)
        await self.until("document.readyState === 'complete'")

    async def resize(self, size: tuple[int, int], scale: float = 1) -> None:
        """Give the window another size."""
        await self.call(
            "Emulation.setDeviceMetricsOverride",
            width=size[0],
            height=size[1],
            deviceScaleFactor=scale,
            mobile=False,
        )

    async def run(self, script: str) -> Any:
        """The value of an expression in the page."""
        said = await self.call(
            "Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True
        )
        assert "exceptionDetails" not in said, said
        return said["result"].get("value")

    async def until(self, script: str) -> Any:
        """Wait until an expression is true; its value."""
        deadline = asyncio.get_running_loop().time() + PATIENCE
        while not (found := await self.run(script)):
            assert asyncio.get_running_loop().time() < deadline, (script, await self.words())
            await asyncio.sleep(LOOK)
        return found

    async def words(self) -> str:
        """All that can be read: of the tutor's screen if it is there, else of the page."""
        script = "document.getElementById('mirror').textContent || document.body.innerText"
        return str(await self.run(script))

    async def sees(self, *words: str) -> str:
        """Wait until some words, or others, can be read; everything that can be read then."""
        deadline = asyncio.get_running_loop().time() + PATIENCE
        seen = await self.words()
        while not any(each in seen for each in words):
            assert asyncio.get_running_loop().time() < deadline, (words, seen)
            await asyncio.sleep(LOOK)
            seen = await self.words()
        return seen

    async def press(self, *keys: str, modifiers: int = 0) -> None:
        """Press keys, by their names in the DOM; of one sign, it is typed."""
        for key in keys:
            code = CODES.get(key) or (
                111 + int(key[1:]) if key[0] == "F" and key[1:].isdigit() else ord(key[0].upper())
            )
            text = {"Enter": "\r"}.get(key, key if len(key) == 1 and not modifiers else "")
            held = {"key": key, "windowsVirtualKeyCode": code, "modifiers": modifiers}
            await self.call(
                "Input.dispatchKeyEvent", type="keyDown", **held, **({"text": text} if text else {})
            )
            await self.call("Input.dispatchKeyEvent", type="keyUp", **held)

    async def type(self, text: str) -> None:
        """Type into what has the keyboard, all at once."""
        await self.call("Input.insertText", text=text)

    async def paste(self, script: str) -> None:
        """Paste the text that an expression gives into what has the keyboard."""
        await self.run(
            "{ const data = new DataTransfer();"
            f"data.setData('text/plain', {script});"
            "document.activeElement.dispatchEvent("
            "new ClipboardEvent('paste', {clipboardData: data, bubbles: true, cancelable: true}))}"
        )

    async def enter(self, name: str) -> None:
        """Give a name and come in."""
        await self.run("document.getElementById('name').value = ''")
        await self.run("document.getElementById('name').focus()")
        await self.type(name)
        await self.press("Enter")

    async def picture(self) -> bytes:
        """What the window shows, as PNG."""
        said = await self.call("Page.captureScreenshot", format="png")
        return base64.b64decode(said["data"])

    async def close(self) -> None:
        """Close the page."""
        self._reader.cancel()
        await asyncio.gather(self._reader, return_exceptions=True)
        await self._socket.close()


class Browser:
    """A browser of its own, with a profile that is thrown away."""

    async def __aenter__(self) -> Self:
        assert CHROMIUM, "there is no Chromium"
        self._home = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        self._process = subprocess.Popen(
            [CHROMIUM, *FLAGS, f"--user-data-dir={self._home.name}", "about:blank"],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        told = Path(self._home.name, "DevToolsActivePort")
        for _ in range(600):
            if told.exists() and told.read_text().strip():
                break
            assert self._process.poll() is None, "Chromium has stopped"
            await asyncio.sleep(LOOK)
        port, path = told.read_text().split()
        self._at = f"ws://127.0.0.1:{port}"
        self._session = aiohttp.ClientSession()
        self._whole = Tab(await self._session.ws_connect(self._at + path, max_msg_size=0))
        self._tabs: dict[Tab, str] = {}
        return self

    async def tab(self) -> Tab:
        """A new empty page in a window of its own: one behind another is not painted."""
        made = await self._whole.call("Target.createTarget", url="about:blank", newWindow=True)
        at = f"{self._at}/devtools/page/{made['targetId']}"
        tab = Tab(await self._session.ws_connect(at, max_msg_size=0))
        self._tabs[tab] = made["targetId"]
        return tab

    async def shut(self, tab: Tab) -> None:
        """Close a page as its user would: all of a sudden."""
        await self._whole.call("Target.closeTarget", targetId=self._tabs.pop(tab))
        await tab.close()

    async def __aexit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        for tab in (*self._tabs, self._whole):
            await tab.close()
        await self._session.close()
        self._process.terminate()
        try:
            self._process.wait(10)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait(60)
        self._home.cleanup()


@asynccontextmanager
async def visit(
    browser: Browser, address: str, size: tuple[int, int] = (1280, 800), scale: float = 1
) -> AsyncIterator[Tab]:
    """A page at an address, closed afterwards."""
    tab = await browser.tab()
    await tab.open(address, size, scale)
    yield tab
    await browser.shut(tab)


def why_not() -> str:
    """Why there is no browser to test in; "" if there is one, or there must be."""
    return "" if CHROMIUM or os.environ.get("CI") else "Chromium is not installed"
