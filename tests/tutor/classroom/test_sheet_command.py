"""``rungwise sheet start`` and ``make`` as they are typed."""

from __future__ import annotations

import os
import pty
import re
import select
import signal
import subprocess
import sys
import time
from pathlib import Path
from random import Random

import pytest
from rungwise.problems.sheets.lots import check
from rungwise.tutor.cli.sheet_plan import read_plan
from rungwise.tutor.files.installing import how_to_install

from tests.studies.kill_the_making import PLAN, content, kill_the_making, running
from tests.support.children import SECONDS, end, limited
from tests.tutor.cli.test_command import modules

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="terminals and signals of POSIX")


def rungwise(*words: str, folder: Path, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "rungwise.tutor", "sheet", *words],
        cwd=folder,
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "COLUMNS": "100", **more},
        timeout=120,
        check=False,
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
    return tmp_path


# --- start ----------------------------------------------------------------------------------------


def test_start_writes_a_plan_that_can_be_made_with_a_seed_of_its_own(tmp_path: Path) -> None:
    for name in ("a.toml", "b.toml"):
        done = rungwise("start", name, folder=tmp_path)
        assert done.returncode == 0 and f"rungwise sheet make {name}" in done.stdout
    a, b = read_plan(str(tmp_path / "a.toml")), read_plan(str(tmp_path / "b.toml"))
    assert a.seed != b.seed and max(a.seed, b.seed) > 2**40
    check(a)
    assert (tmp_path / "a.toml").read_text().count("\n# ") > 10  # it explains itself
    assert (tmp_path / "a.toml").stat().st_mode & 0o077 == 0  # who has the seed has the keys
    assert "seed = " in rungwise("start", "-", folder=tmp_path).stdout


def test_start_writes_over_nothing(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text("mine")
    (tmp_path / "link.toml").symlink_to(tmp_path / "elsewhere")
    for words in ((), ("link.toml",)):
        done = rungwise("start", *words, folder=tmp_path)
        assert done.returncode == 2 and "is there already" in done.stderr
    assert (tmp_path / "plan.toml").read_text() == "mine"
    assert not (tmp_path / "elsewhere").exists()
    done = rungwise("start", "no/such/folder.toml", folder=tmp_path)
    assert done.returncode == 1 and "No such file" in done.stderr


# --- make -----------------------------------------------------------------------------------------


def test_make_says_what_was_made_and_where(folder: Path) -> None:
    roster = 'name,id,group\n"O\'Neil, ""Ann""",1,a\n<b>\x1b[31m,2,b\n../../x,3,\n'
    (folder / "roster.csv").write_text(roster, encoding="utf-8")
    words = ("make", "plan.toml", "--students", "roster.csv", "--formats", "text,json")
    done = rungwise(*words, folder=folder)
    assert done.returncode == 0, done.stderr
    assert done.stdout == (
        "Made sheets for 3 students: plan-sheets/students\n"
        "Keys, for your eyes only: plan-sheets/keys\n"
    )
    assert done.stderr == (
        "rungwise: roster.csv: line 3: signs that can't be seen are left out of the name.\n"
    )
    assert sorted(p.name for p in (folder / "plan-sheets/students").iterdir()) == [
        *("01-oneil-ann", "02-b-31m", "03-x"),
    ]
    again = rungwise(*words, folder=folder)
    assert again.stdout.startswith("All sheets for 3 students are there")
    (folder / "plan.toml").write_text(PLAN.replace("seed = 11", "seed = 12"), encoding="utf-8")
    stale = rungwise(*words, folder=folder)
    assert stale.returncode == 1
    assert stale.stderr.splitlines()[-3:] == [
        "rungwise: plan-sheets holds sheets of something else:",
        "rungwise:   the plan has another seed",
        "rungwise: give another --out, or --again to make them again",
    ]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("plan.toml",), "say for whom: --students ROSTER.csv, or --count N"),
        (("plan.toml", "--count", "0"), "--count"),
        (("plan.toml", "--count", "10001"), "--count"),
        (("plan.toml", "--count", "2", "--students", "r.csv"), "not both"),
        (("plan.toml", "--count", "2", "--workers", "2", "--cluster", "x:1"), "not both"),
        (("plan.toml", "--count", "2", "--formats", "pdf,word"), "there is no format 'word'"),
        (("plan.toml", "--count", "2", "--formats", ","), "name at least one"),
        (("none.toml", "--count", "2"), "rungwise: none.toml: No such file or directory; `rung"),
        (("plan.toml", "--students", "none.csv"), "none.csv: No such file or directory; give a"),
        (("plan.toml", "--students", "plan.toml"), "plan.toml: line"),
        (("bad.toml", "--count", "2"), "rungwise: bad.toml: levels: there is no such key"),
        (("plan.toml", "--count", "2", "--out", "plan.toml"), "plan.toml"),
        (("plan.toml", "--count", "2", "--out", "/proc/none", "--formats", "json"), "/proc/none"),
    ],
)
def test_bad_usage_is_told_with_what_mends_it(
    folder: Path, words: tuple[str, ...], told: str
) -> None:
    (folder / "bad.toml").write_text("levels = [1]\n" + PLAN, encoding="utf-8")
    done = rungwise("make", *words, folder=folder)
    assert done.returncode in (1, 2) and told in done.stderr, done.stderr
    assert "Traceback" not in done.stderr and done.stdout == ""
    assert not (folder / "plan-sheets").exists()


def test_what_goes_wrong_in_a_terminal_without_unicode_is_ascii(folder: Path) -> None:
    (folder / "r.csv").write_text("name\n王小明,7\n", encoding="utf-8")
    done = rungwise(
        "make", "plan.toml", "--students", "r.csv", folder=folder, PYTHONIOENCODING="ascii"
    )
    assert done.returncode == 2 and done.stderr.isascii()


def test_without_a_typesetter_it_is_said_before_anything_is_made(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from click.testing import CliRunner
    from rungwise.tutor.cli import sheet_make
    from rungwise.tutor.cli.sheet import sheet

    monkeypatch.chdir(folder)
    monkeypatch.setattr(sheet_make, "find_spec", lambda name: None)
    done = CliRunner().invoke(sheet, ["make", "plan.toml", "--count", "1"])
    assert done.exit_code == 2 and how_to_install("paper") in done.output
    assert [path.name for path in folder.iterdir()] == ["plan.toml"]
    done = CliRunner().invoke(sheet, ["make", "plan.toml", "--count", "1", "--formats", "json"])
    assert done.exit_code == 0, done.output


class Terminal:
    """The command on a pseudo-terminal, which it is the controlling one of."""

    def __init__(self, folder: Path, *words: str) -> None:
        self.pid, self.handle = pty.fork()
        if self.pid == 0:
            os.chdir(folder)
            os.environ.update(TERM="xterm", COLUMNS="100")
            os.execv(
                sys.executable, [sys.executable, "-m", "rungwise.tutor", "sheet", "make", *words]
            )
        self.text = ""
        self.status: int | None = None

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def read(self, until: str = "") -> bool:
        """Read on; to the end, or until something that fits a pattern has been written."""
        limit = time.monotonic() + SECONDS
        while not until or not re.search(until, self.text):
            assert time.monotonic() < limit, self.text
            if not select.select([self.handle], [], [], 0.2)[0]:
                continue
            try:
                data = os.read(self.handle, 1 << 16)
            except OSError:
                data = b""
            if not data:
                return not until
            self.text += data.decode("utf-8", "replace")
        return True

    def end(self) -> int:
        """The exit status, at which it is killed if need be."""
        limit = time.monotonic() + 30
        while self.status is None:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self.status = os.waitstatus_to_exitcode(status)
                os.close(self.handle)
            elif time.monotonic() > limit:
                end(self.pid)
            time.sleep(0.01)
        return self.status


def test_a_terminal_shows_how_far_it_is(folder: Path) -> None:
    with Terminal(folder, "plan.toml", "--count", "6", "--formats", "json") as terminal:
        terminal.read()
        assert terminal.end() == 0
    assert re.search(r"Drawing circuits  \[-{30}\]  0/6", terminal.text)
    assert re.search(r"Making sheets  \[-{30}\]  0/6", terminal.text)
    assert re.search(r"Making sheets  \[#{30}\]  6/6 *\r\n", terminal.text)


def test_ctrl_c_stops_everybody_and_says_how_to_go_on(folder: Path) -> None:
    words = ("plan.toml", "--count", "60", "--formats", "json", "--workers", "2")
    with Terminal(folder, *words) as terminal:
        assert terminal.read(until=r"Making.* [1-9]\d?/60"), terminal.text
        os.write(terminal.handle, b"\x03")
        terminal.read()
        assert terminal.end() == 130, terminal.text
    assert "stopped; run the same command to go on" in terminal.text
    assert "Traceback" not in terminal.text
    assert_nobody_runs(folder)
    done = rungwise("make", *words, folder=folder)
    assert done.returncode == 0
    assert 0 < int(re.search(r"Made sheets for (\d+)", done.stdout)[1]) < 60  # type: ignore[index]
    assert rungwise("make", *words, "--out", "peace", folder=folder).returncode == 0
    assert content(folder / "plan-sheets") == content(folder / "peace")


def assert_nobody_runs(folder: Path) -> None:
    limit = time.monotonic() + 20
    while running(folder / "x") and time.monotonic() < limit:
        time.sleep(0.05)
    assert not running(folder / "x")


def test_killed_at_random_moments_it_makes_the_same_bytes(tmp_path: Path) -> None:
    """``python -m tests.studies.kill_the_making`` does it fifty times."""
    kill_the_making(2, Random(4), tmp_path, formats="json", count=6)


# --- the command line -----------------------------------------------------------------------------


def test_help_and_completion_import_no_more_than_they_need(tmp_path: Path) -> None:
    done = rungwise("--help", folder=tmp_path)
    for name in ("start", "make"):
        assert re.search(rf"^  {name} ", done.stdout, re.MULTILINE)
        assert rungwise(name, "--help", folder=tmp_path).returncode == 0
    loaded = modules(
        "import sys; sys.argv = ['rungwise', 'sheet', 'make', '--help']\n"
        "from rungwise.tutor.cli.entry import main\n"
        "try: main()\n"
        "except SystemExit: pass"
    )
    assert not loaded & {"flint", "textual", "distributed", "typst", "multiprocessing", "cattrs"}


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("rungwise sheet m", "make"),
        ("rungwise sheet make --formats pdf,h", "pdf,html"),
        ("rungwise sheet make --w", "--workers"),
        ("rungwise sh", "sheet"),
    ],
)
def test_shells_complete_it(line: str, offered: str) -> None:
    words = line.split()
    done = subprocess.run(
        [sys.executable, "-c", "from rungwise.tutor.cli.entry import main; main()"],
        env={
            **os.environ,
            "_RUNGWISE_COMPLETE": "bash_complete",
            "COMP_WORDS": line,
            "COMP_CWORD": str(len(words) - 1),
        },
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert offered in [found.partition(",")[2] for found in done.stdout.splitlines()]


def test_every_command_that_is_listed_is_there() -> None:
    import click
    from rungwise.tutor.cli.main import record
    from rungwise.tutor.cli.sheet import sheet

    for group in (sheet, record):
        assert isinstance(group, click.Group)
        context = click.Context(group)
        assert group.get_command(context, "nothing") is None
        for name in group.list_commands(context):
            command = group.get_command(context, name)
            assert command is not None and command.name == name and command.help


def test_told_to_end_it_leaves_no_worker_behind(folder: Path) -> None:
    process = subprocess.Popen(
        [
            *(sys.executable, "-m", "rungwise.tutor", "sheet", "make", "plan.toml"),
            *("--count", "40", "--formats", "json", "--workers", "2"),
        ],
        cwd=folder,
        stderr=subprocess.DEVNULL,
    )
    with process, limited(process):
        while not list(folder.glob("plan-sheets/keys/*/key.json")):
            assert process.poll() is None
            time.sleep(0.02)
        process.send_signal(signal.SIGTERM)
        assert process.wait(30) != 0
    assert_nobody_runs(folder)
