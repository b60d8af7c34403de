"""Faults put into the program: the work stays, the learner is told, nothing private is kept."""

from __future__ import annotations

import stat
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import Any

import pytest
from rungwise.problems.questions.model import Rung
from rungwise.tutor.files import faults
from rungwise.tutor.language.texts import Words, fill
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.answers.answering import AnswerControls
from rungwise.tutor.screens.answers.entry import TypingLine
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.common.notes import Notes
from rungwise.tutor.screens.common.rungs import Rungs
from rungwise.tutor.screens.common.served import SERVED
from rungwise.tutor.screens.common.trouble import TroubleScreen
from rungwise.tutor.screens.drill.summit import SummitScreen
from rungwise.tutor.screens.lesson.screen import LessonScreen
from rungwise.tutor.screens.pictures.bode import BodeView
from textual.pilot import Pilot
from textual.worker import WorkerFailed

from .stage import MEDIUM, SMALL, answer_rightly, climb, drill, question, settled, squeezed

pytestmark = pytest.mark.usefixtures("painted")

SECRET = "4.75123 kHz"


class Injected(Exception):  # noqa: N818 - it is a fault, and is called so
    """A fault put in by a test; its message must not be written down."""

    def __init__(self) -> None:
        super().__init__(SECRET)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RUNGWISE_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@asynccontextmanager
async def enduring(size: tuple[int, int] = SMALL) -> AsyncIterator[Pilot[None]]:
    app = Rungwise(ProblemRequest(None, "rc-low-pass", 7))
    app.endures = True
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        yield pilot
        assert app._exception is None


def failing(*args: Any, **kwargs: Any) -> Any:
    raise Injected


async def told(pilot: Pilot[None]) -> str:
    await settled(pilot)
    assert isinstance(pilot.app.screen, TroubleScreen)
    shown = squeezed(pilot)
    assert "Injected" in shown and SECRET not in shown
    return shown


async def to_typing(pilot: Pilot[None]) -> None:
    while question(pilot).rung is not Rung.CORNER:
        await answer_rightly(pilot)
    await pilot.press(*"47", "full_stop", *"5k")


FAULTS = [
    # where, what breaks, the key that meets it
    (Climb, "hint", "f2"),
    (Climb, "show", "f3"),
    (Climb, "skip", "f4"),
    (Climb, "answer", "enter"),
    (AnswerControls, "marked", "enter"),
    (Notes, "add", "enter"),
    (Rungs, "show", "f4"),
    (LessonScreen, "compose", "f7"),
    (LessonScreen, "on_mount", "f7"),
]


@pytest.mark.parametrize(("owner", "name", "key"), FAULTS, ids=lambda p: getattr(p, "__name__", p))
async def test_the_work_stays(
    owner: Any, name: str, key: str, monkeypatch: pytest.MonkeyPatch, home: Path
) -> None:
    async with enduring() as pilot:
        await to_typing(pilot)
        before, rung = climb(pilot), climb(pilot).position
        if not hasattr(owner, name):
            pytest.skip("nothing of that name to break")
        with monkeypatch.context() as patch:
            patch.setattr(owner, name, failing)
            await pilot.press(key)
            shown = await told(pilot)
        assert str(home)[:20] in shown or "written" in shown
        await pilot.press("enter")
        await settled(pilot)
        if name == "on_mount":  # the screen is there, if not as it should be
            await pilot.press("escape")
            await settled(pilot)
        assert pilot.app.screen is drill(pilot)
        assert climb(pilot) is before
        if climb(pilot).position == rung and (owner, name) != (Climb, "show"):
            assert drill(pilot).query_one(TypingLine).line.value == "47.5k"
        # And the climb goes on to its end.
        for _ in range(40):
            if climb(pilot).done:
                break
            await pilot.press("f4", "enter")
        assert climb(pilot).done


async def test_a_fault_in_drawing_a_chart_shows_and_can_be_left(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    async with enduring(MEDIUM) as pilot:
        with monkeypatch.context() as patch:
            patch.setattr(BodeView, "plot", failing)
            while not climb(pilot).done:
                await pilot.press("f4")
            await pilot.press("enter")
            await told(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, SummitScreen)
        await pilot.resize_terminal(130, 45)
        await settled(pilot)
        assert "dB" in squeezed(pilot)  # it draws again as soon as it can
        await pilot.press("escape")
        await settled(pilot)
        assert pilot.app.screen is drill(pilot)


async def test_a_fault_beside_the_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    """A worker that fails in a way nobody foresaw: the next problem can still be had."""
    async with enduring() as pilot:
        with monkeypatch.context() as patch:
            patch.setattr(ProblemRequest, "problem", failing)
            drill(pilot).fetch(ProblemRequest(2, None, 99))
            with suppress(WorkerFailed):
                await settled(pilot)
            await pilot.pause()
            assert isinstance(pilot.app.screen, TroubleScreen)
            assert "Injected" in squeezed(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert climb(pilot).problem.seed == 99


async def test_leaving_ends_the_program_in_order(monkeypatch: pytest.MonkeyPatch) -> None:
    app = Rungwise(ProblemRequest(None, "rc-low-pass", 7))
    app.endures = True
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        with monkeypatch.context() as patch:
            patch.setattr(Climb, "hint", failing)
            await pilot.press("f2")
            await told(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert app._exit and app.return_code == 0


async def test_faults_without_end_end_the_program_with_a_sentence(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    app = Rungwise(ProblemRequest(None, "rc-low-pass", 7))
    app.endures = True
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        for _ in range(40):
            app.outlives(Injected())
        await pilot.pause()
        assert app._exit and app.return_code == 1
        message = str(app._exit_renderables[0])
        assert "Injected" in message and SECRET not in message and "Traceback" not in message


async def test_under_test_a_fault_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    app = Rungwise(ProblemRequest(None, "rc-low-pass", 7))
    with pytest.raises(Injected):  # noqa: PT012 - it comes at the end of the block
        async with app.run_test(size=SMALL) as pilot:
            await settled(pilot)
            monkeypatch.setattr(Climb, "hint", failing)
            await pilot.press("f2")
            await pilot.pause()


# --- what is written down ------------------------------------------------------------------------


def raised() -> Injected:
    try:
        typed = SECRET  # a local variable, as a traceback with locals would show it
        failing(typed)
    except Injected as error:
        return error
    raise AssertionError


def test_the_details_tell_where_and_nothing_private(home: Path) -> None:
    path = faults.write_down(raised())
    assert path == home / "faults.log"
    text = path.read_text("utf-8")
    assert "test_trouble.py" in text and "Injected" in text and "failing" in text
    assert SECRET not in text
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    faults.write_down(raised())
    assert path.read_text("utf-8").count("Injected") == 2


def test_the_file_does_not_grow_without_end(home: Path) -> None:
    path = faults.write_down(raised())
    assert path is not None
    path.write_bytes(b"x" * (faults.LARGEST + 1))
    faults.write_down(raised())
    assert path.stat().st_size < 10_000
    assert (home / "faults.old.log").stat().st_size == faults.LARGEST + 1


def test_no_folder_to_write_to(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("RUNGWISE_HOME", str(tmp_path / "file"))
    assert faults.write_down(raised()) is None


async def test_in_a_browser_no_path_of_the_machine_is_shown(
    monkeypatch: pytest.MonkeyPatch, home: Path
) -> None:
    monkeypatch.setenv(SERVED, "1")
    async with enduring() as pilot:
        with monkeypatch.context() as patch:
            patch.setattr(Climb, "hint", failing)
            await pilot.press("f2")
            shown = " ".join((await told(pilot)).replace("│", " ").split())
        assert fill("trouble", "served") in shown
        assert "faults.log" not in shown and str(home)[:8] not in shown
    assert (home / "faults.log").exists()


async def test_that_it_could_not_be_written_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("RUNGWISE_HOME", str(tmp_path / "file"))
    async with enduring() as pilot:
        with monkeypatch.context() as patch:
            patch.setattr(Climb, "hint", failing)
            await pilot.press("f2")
            shown = await told(pilot)
        assert " ".join(Words.load().ui("keys.onward").split()) in shown
        assert "could not be saved" in shown
