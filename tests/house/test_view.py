"""The view of the checkout that mypy reads: links where they are allowed, copies elsewhere."""

from __future__ import annotations

import subprocess
import sys
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType

import pytest

from tests.support.children import SECONDS

ROOT = Path(__file__).parents[2]


@pytest.fixture
def view() -> ModuleType:
    spec = spec_from_file_location("view", ROOT / ".ci" / "view.py")
    assert spec is not None and spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    for room in ("content", "problems", "tutor"):
        (tmp_path / room / "deep").mkdir(parents=True)
        (tmp_path / room / "deep" / "one.py").write_text(room)
    return tmp_path


@pytest.mark.parametrize("links", [True, False], ids=["links", "copies"])
def test_the_rooms_are_seen_as_they_are_now(
    view: ModuleType, checkout: Path, links: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not links:

        def refuse(*_: object, **__: object) -> None:
            raise OSError("a required privilege is not held")

        monkeypatch.setattr(Path, "symlink_to", refuse)
        if sys.platform == "win32":
            monkeypatch.setattr("_winapi.CreateJunction", refuse)
    package = checkout / ".view" / "rungwise"
    for change in ("first", "second"):
        assert view.lay_out(checkout) == package.parent
        for room in view.ROOMS:
            assert (package / room).is_symlink() is (links and sys.platform != "win32")
            seen = (package / room / "deep" / "one.py").read_text()
            assert seen == (checkout / room / "deep" / "one.py").read_text()
            (checkout / room / "deep" / "one.py").write_text(change)
    assert view.lay_out(checkout) == package.parent
    assert (checkout / "tutor" / "deep" / "one.py").read_text() == "second", "nothing was lost"


def test_the_repository_holds_no_links() -> None:
    listed = subprocess.run(
        ["git", "ls-files", "-s"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=SECONDS,
        check=False,
    )
    if listed.returncode:
        pytest.skip("not a git checkout")
    assert not [line for line in listed.stdout.splitlines() if line.startswith("120000")]
