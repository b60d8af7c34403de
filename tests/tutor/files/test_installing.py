"""What people are told to install, however they installed what they have."""

from __future__ import annotations

import json
from importlib import metadata

import pytest
from rungwise.tutor.files.installing import how_to_install


class Installed:
    """A distribution with these files."""

    def __init__(self, **files: str) -> None:
        self._files = files

    def read_text(self, name: str) -> str | None:
        return self._files.get(name.removesuffix(".json"))


def url(url: object, **more: object) -> str:
    return json.dumps({"url": url, **more})


@pytest.mark.parametrize(
    ("files", "told"),
    [
        ({"INSTALLER": "pip"}, '`pip install "rungwise[paper]"`'),
        (
            {"INSTALLER": "pip", "direct_url": url("file:///home/ann/rung%20wise", dir_info={})},
            '`pip install "/home/ann/rung wise[paper]"`',
        ),
        (
            {"direct_url": url("file:///x/rungwise", dir_info={"editable": True})},
            '`pip install -e "/x/rungwise[paper]"`',
        ),
        ({}, '`pip install ".[paper]"` in the folder'),  # run where it was unpacked
        ({"direct_url": url("https://example.org/r.git", vcs_info={})}, '`pip install ".[paper]"`'),
        ({"INSTALLER": "pip", "direct_url": "{"}, '`pip install ".[paper]"`'),
        ({"INSTALLER": "pip", "direct_url": "[]"}, '`pip install ".[paper]"`'),
        ({"direct_url": url(7)}, '`pip install ".[paper]"`'),
    ],
)
def test_what_is_told(monkeypatch: pytest.MonkeyPatch, files: dict[str, str], told: str) -> None:
    monkeypatch.setattr(metadata, "distribution", lambda name: Installed(**files))
    assert how_to_install("paper").startswith(told)


def test_without_any_metadata(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(name: str) -> None:
        raise metadata.PackageNotFoundError(name)

    monkeypatch.setattr(metadata, "distribution", none)
    assert how_to_install("cluster").startswith('`pip install ".[cluster]"` in the folder')
