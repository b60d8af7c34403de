"""What is installed is what lies in the checkout."""

import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest
from rungwise.tutor.version import VERSION

ROOT = Path(__file__).parents[2]
ROOMS = ("content", "problems", "tutor")


def test_no_package_is_forgotten():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    folders = {
        "rungwise." + ".".join(path.parent.relative_to(ROOT).parts)
        for room in ROOMS
        for path in (ROOT / room).rglob("__init__.py")
    }
    assert set(project["tool"]["setuptools"]["packages"]) == folders


def test_every_data_file_is_installed():
    import rungwise.content
    import rungwise.tutor

    for room, package in (("content", rungwise.content), ("tutor", rungwise.tutor)):
        installed = Path(package.__file__).parent
        for path in (ROOT / room).rglob("*"):
            if path.suffix in {".toml", ".tcss", ".html", ".js", ".css", ".svg", ".typ", ".json"}:
                assert (installed / path.relative_to(ROOT / room)).read_bytes() == path.read_bytes()


def test_one_version():
    assert version("rungwise") == VERSION


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md", "LICENSE"])
def test_top_level_files(name):
    assert (ROOT / name).stat().st_size > 200


def test_top_level_is_tidy():
    import subprocess

    listed = subprocess.run(
        ["git", "ls-files"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    if listed.returncode:
        pytest.skip("not a git checkout")
    tops = {line.split("/")[0] for line in listed.stdout.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", *ROOMS, "tests"}
    assert {t for t in tops if not t.startswith(".")} <= allowed
