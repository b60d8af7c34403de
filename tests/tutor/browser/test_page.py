"""The page: its parts, its words, its headers, and who may ask for it."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser

import pytest
from rungwise.tutor.browser import page
from rungwise.tutor.browser.guard import local_host, own_origin
from rungwise.tutor.language.texts import entry


class Reader(HTMLParser):
    """Tags, their attributes, and the text inside scripts."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.scripts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "script":
            self.scripts.append("")

    def handle_data(self, data: str) -> None:
        if self.tags and self.tags[-1][0] == "script":
            self.scripts[-1] += data


@pytest.fixture
def reader() -> Reader:
    found = Reader()
    found.feed(page.page().decode())
    return found


def test_everything_the_page_names_is_there(reader: Reader) -> None:
    parts = page.parts()
    named = {
        (attributes.get("src") or attributes.get("href") or "")
        for tag, attributes in reader.tags
        if tag in ("script", "link", "img")
    } - {""}
    assert named and {name[1:] for name in named} <= set(parts)
    for kind, body in parts.values():
        assert kind in page.KINDS.values() and body
    for name, (_, body) in parts.items():
        if name.endswith(".js"):
            imported = re.findall(r'from "\./([^"]+)"', body.decode())
            assert set(imported) <= set(parts), name


def test_nothing_is_asked_of_elsewhere() -> None:
    texts = {name: body.decode() for name, (_, body) in page.parts().items()}
    texts[page.PAGE] = page.page().decode()
    for name, text in texts.items():
        text = text.replace('xmlns="http://www.w3.org/2000/svg"', "")
        assert not re.search(r"https?:|//\w+\.\w|@import|@font-face|url\(|data:", text), name


def test_no_script_or_style_in_the_page_itself(reader: Reader) -> None:
    for tag, attributes in reader.tags:
        assert tag != "style"
        assert not any(name.startswith("on") or name == "style" for name in attributes)
        if tag == "script" and attributes.get("type") != "application/json":
            assert attributes.get("src")


def test_words_are_filled_in_and_escaped(reader: Reader, monkeypatch: pytest.MonkeyPatch) -> None:
    data = json.loads(next(script for script in reader.scripts if script.strip()))
    assert data["words"]["again"] == entry("serving", "page.again")
    assert "{{" not in page.page().decode()
    monkeypatch.setattr(page, "entry", lambda *_: "</script><b onclick='x'>&")
    hostile = Reader()
    hostile.feed(page.page().decode())
    assert [tag for tag, _ in hostile.tags] == [tag for tag, _ in reader.tags]
    data = json.loads(next(script for script in hostile.scripts if script.strip()))
    assert data["words"]["again"] == "</script><b onclick='x'>&"


def test_headers_confine_the_page() -> None:
    headers = page.headers("127.0.0.1:8017")
    policy = dict(
        part.strip().partition(" ")[::2] for part in headers["Content-Security-Policy"].split(";")
    )
    assert policy["default-src"] == "'none'" and policy["script-src"] == "'self'"
    assert policy["connect-src"] == "'self' ws://127.0.0.1:8017"
    assert not {"'unsafe-inline'", "'unsafe-eval'", "*"} & set(" ".join(policy.values()).split())
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize(
    "host", ["localhost", "localhost:8017", "127.0.0.1:9", "[::1]:8017", "LocalHost:1"]
)
def test_names_of_this_machine(host: str) -> None:
    found = local_host(host)
    assert found == host.lower()
    assert own_origin(f"http://{found}", found)


@pytest.mark.parametrize(
    "host",
    [
        *("", "evil.example", "evil.example:8017", "localhost.evil.example", "127.0.0.1.nip.io"),
        *("127.0.0.2", "0.0.0.0", "localhost:x", "localhost:8017, evil", "user@localhost"),
        *("localhost\n", "localhost:8017\r\nX: y", "127.0.0.1:999999", "10.0.0.1", "127.1", None),
    ],
)
def test_other_names_are_refused(host: str | None) -> None:
    assert local_host(host) is None


@pytest.mark.parametrize(
    "origin",
    [
        *(None, "null", "http://evil.example", "https://localhost:8017", "http://localhost:8018"),
        *("http://127.0.0.1:8017", "http://localhost", "http://localhost:8017.evil.example"),
    ],
)
def test_pages_of_others_open_no_connection(origin: str | None) -> None:
    assert not own_origin(origin, "localhost:8017")
