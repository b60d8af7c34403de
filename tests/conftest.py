"""Settings shared by every test: the same examples each time, unless one goes exploring.

``HYPOTHESIS_PROFILE=explore pytest`` draws fresh examples, to look for what the fixed ones
miss; a failure it finds belongs into a test of its own.
"""

import itertools
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from tests.support.children import as_in_a_terminal

_COUNT = itertools.count()

settings.register_profile("fixed", derandomize=True, deadline=None)
settings.register_profile("explore", deadline=None, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "fixed"))


@pytest.fixture(scope="session", autouse=True)
def _signals() -> Iterator[None]:
    """Children react to signals also where the suite itself was told to ignore them."""
    with as_in_a_terminal():
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


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Tests of screens, servers and killed processes wait more than they work."""
    return 2 * (os.cpu_count() or 1)
