"""The README tells the truth: its commands run, its pictures exist, its paragraphs are there."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"^\$ (.+)$", README, re.MULTILINE)
EXAMPLES = re.findall(r"```console\n\$ (.+)\n((?:[^$`].*\n)+)```", README)
BIN = Path(sys.executable).parent


def run(command: str, folder: Path | None = None) -> str:
    """What a README command prints in a ``folder``, with nothing to read."""
    done = subprocess.run(
        ["bash", "-c", command],
        cwd=folder,
        input="",
        capture_output=True,
        text=True,
        timeout=120,
        env={**os.environ, "PATH": f"{BIN}{os.pathsep}{os.environ['PATH']}", "PYTHONUTF8": "1"},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert not done.stderr
    return done.stdout


@pytest.mark.parametrize("command", COMMANDS)
def test_commands_run(command: str, tmp_path: Path) -> None:
    assert run(command, tmp_path).strip()


@pytest.mark.parametrize(("command", "shown"), EXAMPLES, ids=lambda text: text[:20])
def test_what_an_example_shows_is_printed(
    command: str, shown: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RUNGWISE_HOME", str(tmp_path))  # nobody has been asked anything before
    assert shown in run(command)


def test_the_json_example_is_the_promised_object() -> None:
    (command,) = (c for c in COMMANDS if "--json" in c)
    told = json.loads(run(command))
    assert (told["format"], told["type"], told["order"]) == ("rungwise.facts/2", "low-pass", 2)


def test_pictures_exist_and_ask_nothing_of_other_sites() -> None:
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert len(pictures) >= 5
    for name in pictures:
        if name.endswith(".png"):  # cannot ask for anything
            assert (ROOT / name).read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
            continue
        svg = (ROOT / name).read_text(encoding="utf-8")
        links = re.findall(r"(?:href|src|url)\s*[=(]\s*[\"']?(https?:[^\"')\s]+)", svg)
        assert not links, f"{name}: {links}"


@pytest.mark.parametrize("which", ["tutor", "tests"])
def test_two_commands_do_all_set_up(which: str) -> None:
    found = re.search(rf"<!-- command: {which} -->\n```sh\n(.+)\n```", README)
    assert found
    assert found[1].startswith("python3 -m venv .venv && .venv/bin/pip install ")
