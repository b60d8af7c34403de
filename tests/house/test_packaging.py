"""What is installed is what lies in the checkout."""

import re
import tomllib
from importlib.metadata import metadata, version
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version
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


def project():
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def runtime(*extras: str):
    """What is needed at run time, and for some extras, but for the project itself."""
    found = project()
    words = [*found["dependencies"]]
    for extra in extras:
        words += found["optional-dependencies"][extra]
    needed = [Requirement(text) for text in words]
    return [one for one in needed if one.name != "rungwise"]


def locked(file: str):
    """Name → (versions, hashes) of a lock file."""
    found = {}
    for entry in (
        (ROOT / ".lock" / file).read_text(encoding="utf-8").replace("\\\n", " ").splitlines()
    ):
        head, *hashes = re.split(r"\s+--hash=", entry.strip())
        name, _, rest = head.partition("==")
        versions, known = found.setdefault(canonicalize_name(name), ([], []))
        versions.append(Version(rest.partition(";")[0].strip()))
        known.append(hashes)
    return found


@pytest.mark.parametrize(
    ("file", "extras"),
    [("requirements.txt", ("paper",)), ("tests.txt", ("paper", "cluster", "test"))],
)
def test_the_lock_is_within_the_ranges_and_hashed(file, extras):
    found = locked(file)
    for needed in runtime(*extras):
        versions, _ = found[canonicalize_name(needed.name)]
        assert all(needed.specifier.contains(one) for one in versions), needed
    for name, (_, known) in found.items():
        for hashes in known:
            assert hashes, name
            assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", one) for one in hashes), name


@pytest.mark.parametrize("file", ["requirements.txt", "tests.txt"])
def test_the_lock_names_no_place(file):
    text = (ROOT / ".lock" / file).read_text(encoding="utf-8")
    assert "/" not in text and "index" not in text


def test_what_the_tests_are_locked_to_is_what_ships():
    shipped, tested = locked("requirements.txt"), locked("tests.txt")
    assert all(tested[name] == pins for name, pins in shipped.items())


def test_the_licences_are_listed():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    table = text.partition("<!-- table: licences -->\n")[2].splitlines()[2:]
    rows = [[cell.strip() for cell in row.strip("|").split("|")] for row in table]
    listed = {name.split(" ")[0]: licence for name, licence in rows}
    assert set(listed) == {needed.name for needed in runtime("paper")}
    for name, licence in listed.items():
        about = metadata(name)
        said = about.get("License-Expression") or (about.get("License") or "").split("\n")[0]
        said = said.replace("SIL OFL 1.1", "OFL-1.1")  # its identifier in the SPDX list
        for word in re.findall(r"MIT|Apache-2\.0|BSD-3-Clause|LGPL-3\.0-or-later|OFL-1\.1", said):
            assert word in licence, (name, said)
        assert re.search(r"MIT|Apache|BSD|OFL", said), (name, said)
