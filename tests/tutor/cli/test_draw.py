"""``rungwise draw``: files the same each time, and what cannot be done told before anything is."""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result
from rungwise.tutor.cli.main import rungwise
from rungwise.tutor.documents import pdf_compiler
from rungwise.tutor.documents.drawings.slide import DARK, LIGHT

RLC = "series R1; series L1 = 10 mH; shunt C1 = 100 nF"
RC = "series R1 = 1 kΩ; shunt C1 = 100 nF"


def draw(*words: str | Path, typed: str | None = None) -> Result:
    return CliRunner().invoke(rungwise, ["draw", *map(str, words)], input=typed)


def drawn(*words: str | Path, typed: str | None = None) -> str:
    done = draw(*words, typed=typed)
    assert done.exit_code == 0, done.output
    return done.output


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def test_the_same_command_makes_the_same_bytes(tmp_path: Path) -> None:
    for name in ("a", "b"):
        drawn("--text", RLC, "--vary", "R1=50,150,447", "--to", tmp_path / name, "--formats",
              "svg,png,html")  # fmt: skip
    first, again = files(tmp_path / "a"), files(tmp_path / "b")
    assert first == again
    usual = ("circuit", "bode", "map", "step")
    made = {f"{figure}.{form}" for figure in usual for form in ("svg", "png")}
    assert set(first) == {*made, "figures.html"}
    page = first["figures.html"].decode()
    assert page.count("<svg xmlns") == 4
    assert all(first[f"{figure}.svg"].decode().strip() in page for figure in usual)


def test_a_part_that_is_varied_has_no_value_in_the_circuit(tmp_path: Path) -> None:
    drawn("--text", RC, "--vary", "R1=1k;2,2k", "--to", tmp_path / "x", "--figures", "circuit,gain")
    made = files(tmp_path / "x")
    assert "1 kΩ" not in made["circuit.svg"].decode()
    assert "R1 = 1 kΩ" in made["gain.svg"].decode() and "R1 = 2.2 kΩ" in made["gain.svg"].decode()


@pytest.mark.parametrize(("option", "theme"), [((), LIGHT), (("--dark",), DARK)])
def test_light_and_dark(option: tuple[str, ...], theme: object, tmp_path: Path) -> None:
    drawn("--text", RC, "--to", tmp_path / "one.svg", "--figures", "gain", *option)
    root = ET.parse(tmp_path / "one.svg").getroot()
    assert isinstance(theme, type(LIGHT))
    assert root[2].get("fill") == theme.ground


def test_circuits_from_everywhere_share_a_chart(tmp_path: Path) -> None:
    file = tmp_path / "of a file.txt"
    file.write_text(RC, "utf-8")
    words = [file, "-", "--text", "series C1 = 1 µF; shunt R1 = 1 kΩ"]
    words += ["--family", "series-rlc-across-c", "--seed", "3"]
    for n in range(1, 5):
        words += ["--label", f"the {n}."]
    drawn(*words, "--to", tmp_path / "x", typed="source 50 Ω\nshunt L1 = 1 mH")
    made = files(tmp_path / "x")
    assert {f"circuit-{n}.svg" for n in range(1, 5)} < set(made)
    for n in range(1, 5):
        assert f"the {n}." in made["bode.svg"].decode()
        assert f"the {n}." in made[f"circuit-{n}.svg"].decode()


def test_without_values_there_is_the_circuit(tmp_path: Path) -> None:
    refused(tmp_path, "R1 has no value", "--text", RLC)
    drawn("--text", RLC, "--figures", "circuit", "--to", tmp_path / "x.svg")


def refused(folder: Path, says: str, *words: str | Path) -> None:
    before = sorted(folder.rglob("*"))
    to = () if "--to" in words else ("--to", folder / "new")
    done = draw(*words, *to)
    assert done.exit_code in (1, 2), done.output
    assert says in " ".join(done.output.split()), done.output
    assert "Traceback" not in done.output
    assert sorted(folder.rglob("*")) == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "Give a circuit"),
        (("--text", "series R1 == 1k"), "line 1, column 12"),
        (("--text", RC) * 5, "5 circuits are too many"),
        (("--text", "series R1 = 1; series R1 = 2"), "R1"),
        (("nowhere.txt",), "nowhere.txt"),
        (("--family", "no-such"), "no family"),
        (("--text", RC, "--seed", "1"), "--seed"),
        (("--text", RC, "--vary", "C7=1n"), "no part C7. Its parts are: R1, C1."),
        (("--text", RC, "--vary", "C1=1n,x"), "x cannot be read"),
        (("--text", RC, "--vary", "C1=0"), "C1 must be greater than zero"),
        (("--text", RC, "--vary", "C1=1 kΩ"), "a capacitance such as"),
        (("--text", RC, "--vary", "C1=1n,,2n"), "before and after each comma"),
        (("--text", RC, "--vary", "C1=1n,2n,3n,4n,5n"), "5 values are too many"),
        (("--text", RC, "--vary", "C1"), "as in R1=100,1k,10k"),
        (("--text", RC, "--text", RC, "--vary", "C1=1n"), "one circuit; 2 were given"),
        (("--text", RC, "--label", "a", "--label", "b"), "given 2 times"),
        (("--text", RC, "--figures", "bodes"), "did you mean bode?"),
        (("--text", RC, "--formats", "gif"), "there is no kind 'gif'"),
        (("--text", RC, "--to", "x.gif"), "x.gif"),
        (("--text", RC, "--to", "x.svg"), "4 figures would go into it"),
        (("--text", RC, "--to", "x.svg", "--formats", "png"), "says by its ending"),
        (("--text", RC, "--to", "/proc/none/x"), "/proc/none/x cannot be written"),
        (("--text", "series R1 = 1; shunt R2\x1b[31m = 2"), "column"),
    ],
)
def test_what_cannot_be_done_is_told(
    words: tuple[str, ...], says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    refused(tmp_path, says, *words)


def test_files_that_exist_stay_unless_they_may_go(tmp_path: Path) -> None:
    kept = tmp_path / "gain.svg"
    kept.write_text("mine")
    refused(tmp_path, "Already there", "--text", RC, "--to", kept, "--figures", "gain")
    refused(tmp_path, "gain.svg", "--text", RC, "--to", tmp_path, "--figures", "map,gain")
    assert kept.read_text() == "mine"
    drawn("--text", RC, "--to", kept, "--figures", "gain", "--force")
    assert kept.read_text().startswith("<svg")


def test_a_png_without_its_compiler_is_told_and_nothing_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    for cached in (pdf_compiler._typst, pdf_compiler._compiler):
        cached.cache_clear()
    refused(tmp_path, "need the package typst", "--text", RC, "--formats", "svg,png")
    drawn("--text", RC, "--to", tmp_path / "x")  # SVG needs nothing


def test_hostile_words_reach_no_terminal(tmp_path: Path) -> None:
    output = drawn("--text", RC, "--label", "\x1b[2J\u202eevil<b>", "--to", tmp_path / "a\u202eb")
    assert "\x1b" not in output and "\u202e" not in output
    for data in files(tmp_path / "a\u202eb").values():
        assert b"\x1b" not in data and "\u202e" not in data.decode()
        ET.fromstring(data)


def test_small_letters_are_told_of(tmp_path: Path) -> None:
    many = "; ".join(f"series R{n} = 1 kΩ; shunt C{n} = 1 nF" for n in range(1, 20))
    done = draw("--text", many, "--figures", "circuit", "--to", tmp_path / "x.svg")
    assert done.exit_code == 0
    assert "smaller than 1/25" in done.output


def test_help_names_every_option() -> None:
    command = rungwise.commands["draw"]
    for option in command.params:
        if isinstance(option, click.Option):
            assert option.help, option.name
