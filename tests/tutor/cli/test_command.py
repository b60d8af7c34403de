"""The command line: what it prints, where, and with which exit status."""

from __future__ import annotations

import json
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest
from rungwise.problems.catalogue.families import FAMILIES

from tests.support.children import limited

CIRCUIT = "source 600 Ω\nseries L 10 mH\nshunt C 100 nF\nload 600 Ω\n"


def run(
    *words: str, stdin: str | bytes = "", **environment: str
) -> subprocess.CompletedProcess[str]:
    """``rungwise`` in a process of its own; no terminal anywhere."""
    data = stdin.encode() if isinstance(stdin, str) else stdin
    done = subprocess.run(
        [sys.executable, "-m", "rungwise.tutor", *words],
        input=data,
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "COLUMNS": "80", **environment},
        timeout=60,
    )
    return subprocess.CompletedProcess(
        done.args, done.returncode, done.stdout.decode(), done.stderr.decode()
    )


def modules(code: str, stdin: str = "", *, whole: bool = False) -> set[str]:
    """The modules loaded after some code ran in a fresh interpreter, by first or whole names."""
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys\nprint('\\n' + ' '.join(sys.modules))"],
        input=stdin,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    names = set(done.stdout.splitlines()[-1].split())
    return names if whole else {name.split(".")[0] for name in names}


def test_version_imports_nothing() -> None:
    done = run("--version")
    assert done.stdout.startswith("rungwise ") and done.returncode == 0
    assert run("-V").stdout == done.stdout
    loaded = modules(
        "import sys; sys.argv = ['rungwise', '--version']\n"
        "from rungwise.tutor.cli.entry import main; main()"
    )
    assert not loaded & {"click", "textual", "flint", "tomllib", "rich"}


def test_help_imports_neither_the_screen_nor_the_domain() -> None:
    loaded = modules(
        "import sys; sys.argv = ['rungwise', '--help']\n"
        "from rungwise.tutor.cli.entry import main\n"
        "try: main()\n"
        "except SystemExit: pass"
    )
    assert "click" in loaded
    assert not loaded & {"textual", "flint", "rich", "sympy", "numpy", "scipy", "typst"}


def test_help_names_every_command() -> None:
    shown = run("--help")
    assert shown.returncode == 0
    for command in ("drill", "families", "solve"):
        assert command in shown.stdout
        assert run(command, "--help").returncode == 0


@pytest.mark.parametrize("words", [(), ("drill",), ("drill", "--level", "2")])
def test_without_a_terminal_it_says_how_to_run_it(words: tuple[str, ...]) -> None:
    done = run(*words)
    assert done.returncode == 2 and done.stdout == ""
    assert "rungwise drill --plain" in done.stderr
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("drill", "--plain", "--level", "9"), "1<=x<=7"),
        (("drill", "--plain", "--seed", "-1"), "--seed"),
        (("drill", "--plain", "--seed", "lots"), "not a valid integer"),
        (("drill", "--plain", "--count", "0"), "--count"),
        (("drill", "--count", "2"), "--plain"),
        (("drill", "--plain", "--famly", "x"), "--family"),
        (("drill", "--plain", "--family", "rc-low-pas"), "rc-low-pass"),
        (("drill", "--plain", "--family", "rc-low-pass", "--level", "3"), "level 1"),
        (("climb",), "No such command"),
        (("solve",), "FILE"),
        (("solve", "a.txt", "--text", "series R 1"), "not both"),
        (("solve", "/nowhere/circuit.txt"), "No such file"),
        (("solve", "/"), "directory"),
        (("solve", "--text", "shunt X1 = 3"), "line 1, column 7"),
    ],
)
def test_bad_usage_is_explained_and_exits_2(words: tuple[str, ...], told: str) -> None:
    done = run(*words)
    assert done.returncode == 2, done.stderr
    assert told in done.stderr
    assert done.stdout == "" and "Traceback" not in done.stderr


def test_solve_reads_a_pipe_a_file_and_the_command_line(tmp_path: Path) -> None:
    file = tmp_path / "circuit.txt"
    file.write_text(CIRCUIT, encoding="utf-8")
    results = [
        run("solve", "--json", "-", stdin=CIRCUIT),
        run("solve", "--json", str(file)),
        run("solve", "--json", "--text", CIRCUIT.replace("\n", ";")),
        run("solve", "--json", "-", stdin="\ufeff" + CIRCUIT.replace("\n", "\r\n")),
    ]
    facts = [json.loads(done.stdout) for done in results]
    assert all(done.returncode == 0 for done in results)
    assert facts[0] == facts[1] == facts[2] == facts[3]
    assert facts[0]["format"] == "rungwise.facts/2" and facts[0]["type"] == "low-pass"


def test_solve_refuses_what_is_no_text_or_too_long() -> None:
    binary = run("solve", "-", stdin=b"series \xff\xfe")
    assert binary.returncode == 2 and "byte 8" in binary.stderr
    endless = run("solve", "-", stdin="# filler\n" * 20_000)
    assert endless.returncode == 2 and "too long" in endless.stderr


def test_solve_writes_ascii_where_nothing_else_can_be_written() -> None:
    done = run("solve", "-", stdin=CIRCUIT, PYTHONIOENCODING="ascii")
    assert done.returncode == 0 and done.stdout.isascii()


def test_families_lists_the_whole_catalogue() -> None:
    done = run("families")
    assert done.returncode == 0
    listed = {line.split()[0] for line in done.stdout.splitlines() if line.startswith("  ")}
    assert listed == {family.name for family in FAMILIES}


def test_a_closed_pipe_ends_quietly() -> None:
    with (
        subprocess.Popen(
            [sys.executable, "-m", "rungwise.tutor", "drill", "--plain", "--seed", "7"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        ) as process,
        limited(process),
    ):
        assert process.stdin and process.stdout and process.stderr
        process.stdout.readline()
        process.stdout.close()
        try:
            process.stdin.write(b".\n" * 500)
            process.stdin.close()
        except BrokenPipeError:
            pass
        process.wait(60)
        assert process.stderr.read() == b""


def test_an_interruption_ends_quietly() -> None:
    controller, terminal = pty.openpty()
    with (
        subprocess.Popen(
            [sys.executable, "-m", "rungwise.tutor", "drill", "--plain", "--seed", "7"],
            stdin=terminal,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            start_new_session=True,
        ) as process,
        limited(process),
    ):
        assert process.stdout and process.stderr
        while b">" not in (said := process.stdout.read1(4096)):  # type: ignore[attr-defined]
            assert said, "it has ended before it asked"
        process.send_signal(2)
        process.wait(60)
        assert process.returncode == 130
        assert b"Traceback" not in process.stderr.read()
    os.close(controller)
    os.close(terminal)


def test_colour_is_never_written_into_a_pipe() -> None:
    assert "\x1b" not in run("families").stdout + run("--help").stdout
