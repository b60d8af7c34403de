"""Workers of a dask.distributed cluster, which need not share a disk with this machine."""

from __future__ import annotations

import asyncio
import logging
from concurrent.futures import Executor
from importlib import import_module
from typing import Any

from ...version import VERSION
from .workers import Workers, WorkersError

CONNECT_SECONDS = 10
CLOSE_SECONDS = 5


class Cluster(Workers):
    """The workers of a cluster that runs already.

    Raises:
        WorkersError: the library isn't installed, nobody answers at the address, or the cluster
            has no workers that know this release.
    """

    def __init__(self, address: str) -> None:
        try:
            distributed: Any = import_module("distributed")
        except ImportError:
            from ...files.installing import how_to_install

            raise WorkersError(
                "a cluster needs the library `distributed`; install it with "
                f"{how_to_install('cluster')}"
            ) from None
        self._address = address
        self._lonely = False
        # That a cluster has gone is told here, without the library's own tracebacks.
        logging.getLogger("distributed.client").setLevel(logging.CRITICAL + 1)
        try:
            # A client that can't connect goes on trying behind one's back: knock first.
            asyncio.run(_knock(address))
            self._client = distributed.Client(
                address, timeout=CONNECT_SECONDS, name="rungwise", set_as_default=False
            )
        except Exception as error:  # whatever its transports raise, down to a bad port
            raise WorkersError(
                f"no cluster answers at {address} ({_first_line(error)}); "
                "give the address that `dask scheduler` prints, such as tcp://192.168.1.5:8786"
            ) from None
        try:
            self.count = self._counted()
        except BaseException:
            self._client.close()
            raise

    def _counted(self) -> int:
        """How many jobs are done at once, after seeing that every worker can."""
        try:
            versions: dict[str, str] = self._client.run(release)
        except Exception as error:
            raise WorkersError(
                f"the cluster at {self._address} can't run Rungwise ({_first_line(error)}); "
                f"install release {VERSION} for its scheduler and for each of its workers"
            ) from None
        if not versions:
            raise WorkersError(
                f"the cluster at {self._address} has no workers; start some with "
                f"`dask worker {self._address}`"
            )
        for worker, version in sorted(versions.items()):
            if version != VERSION:
                raise WorkersError(
                    f"the worker {worker} has release {version} of Rungwise; install {VERSION}, "
                    "as here, so that all files come out the same"
                )
        threads: dict[str, int] = self._client.nthreads()
        return max(1, sum(threads.values()))

    def start(self) -> Executor:
        """See :class:`~.workers.Workers`."""
        # Without ``pure=False`` equal jobs would be held to be one.
        pool: Executor = self._client.get_executor(pure=False)
        return pool

    def check(self) -> None:
        """See :class:`~.workers.Workers`."""
        if self._client.status != "running":
            raise WorkersError(f"the cluster at {self._address} has gone; start it, and run again")
        lonely = not self._client.scheduler_info(n_workers=1)["workers"]
        if lonely and self._lonely:  # it may have been about to start another one
            raise WorkersError(
                f"the cluster at {self._address} has no workers left; start some, and run again"
            )
        self._lonely = lonely

    def stop(self) -> None:
        """Leave the cluster, which drops what it was given."""
        self._client.close(timeout=CLOSE_SECONDS)


async def _knock(address: str) -> None:
    comm: Any = import_module("distributed.comm")
    async with asyncio.timeout(CONNECT_SECONDS + 1):
        (await comm.connect(address, timeout=CONNECT_SECONDS)).abort()


def release() -> str:
    """The release of Rungwise where this is run."""
    return VERSION


def _first_line(error: BaseException) -> str:
    return (str(error).strip().splitlines() or [type(error).__name__])[0][:200]
