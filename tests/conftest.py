"""Settings shared by every test: the same examples each time, unless one goes exploring.

``HYPOTHESIS_PROFILE=explore pytest`` draws fresh examples, to look for what the fixed ones
miss; a failure it finds belongs into a test of its own.

``pytest -m quick`` runs what ``tests/support/quick.py`` lists, and does not even look at the
other files.
"""

import gc
import itertools
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import gettempdir

import pytest
from hypothesis import settings

from tests.support import quick
from tests.support.children import as_in_a_terminal
from tests.support.idle import painted_at_once, quick_waits
from tests.support.made_once import made_once

_COUNT = itertools.count()

settings.register_profile("fixed", derandomize=True, deadline=None)
settings.register_profile("explore", deadline=None, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "fixed"))


@pytest.fixture(scope="session", autouse=True)
def _signals() -> Iterator[None]:
    """Children react to signals also where the suite itself was told to ignore them."""
    with as_in_a_terminal():
        yield


@pytest.fixture(scope="session", autouse=True)
def _waits() -> Iterator[None]:
    """Apps are waited for as long as they are busy."""
    with quick_waits():
        yield


@pytest.fixture
def painted() -> Iterator[None]:
    """Every change of a screen is painted, and not what there is at the end alone."""
    with painted_at_once():
        yield


@pytest.fixture(scope="session", autouse=True)
def _problems() -> Iterator[None]:
    """Problems that screens ask for again are the ones that were made."""
    with made_once():
        yield


@pytest.fixture(scope="session")
def _homes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("homes")


@pytest.fixture(autouse=True)
def home(_homes: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for the records of each test; it is made when one is kept."""
    folder = _homes / f"{next(_COUNT)}"
    monkeypatch.setenv("RUNGWISE_HOME", str(folder))
    monkeypatch.delenv("RUNGWISE_LEARNER", raising=False)
    return folder


def pytest_configure(config: pytest.Config) -> None:
    """Garbage is looked for seldom; what was compiled is kept, whatever Python was told.

    Rewriting the asserts of all tests takes twelve seconds of computing in each worker, and a child
    that compiles the tutor a second and more.
    """
    # What a test makes is garbage at its end, and not at every 700th thing that it makes.
    gc.set_threshold(50_000, 20, 20)
    sys.dont_write_bytecode = False
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # workers and children inherit it
    if not os.access(config.rootpath, os.W_OK):
        os.environ.setdefault("PYTHONPYCACHEPREFIX", str(Path(gettempdir()) / "rungwise-bytecode"))


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Half as many again as processors: some tests wait, and each worker reads all of them."""
    return (3 * (os.cpu_count() or 1) + 1) // 2


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Importing all files takes longer than the quick tests do."""
    if config.option.markexpr != "quick" or collection_path.suffix != ".py":
        return None
    return _name(collection_path, config) not in quick.FILES or None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark the quick tests, so that no file of tests needs to say what it is."""
    for item in items:
        file = _name(item.path, config)
        function = getattr(item, "originalname", None) or item.name
        if file in quick.QUICK or f"{file}::{function}" in quick.QUICK:
            item.add_marker("quick")


def pytest_collection_finish(session: pytest.Session) -> None:
    """What was imported stays: nobody need look for garbage among it at every turn."""
    gc.collect()
    gc.freeze()


def _name(path: Path, config: pytest.Config) -> str:
    return Path(os.path.relpath(path, config.rootpath)).as_posix()
