"""Workers of a Dask cluster, where its scheduler has an address and ``distributed`` is there.

Workers must have this project and the same versions of its packages, and one thread each
(``dask worker --nthreads 1``).
"""

from concurrent.futures import BrokenExecutor, Executor
from importlib import import_module
from typing import Any

from planner.engine.errors import EngineError

_SECONDS_TO_CONNECT = 10
_RETRIES = 3


class Cluster:
    """The workers behind the scheduler at ``address``, such as ``tcp://10.0.0.5:8786``.

    Raises ``EngineError`` if there is no such scheduler or the package is not installed.
    """

    def __init__(self, address: str) -> None:
        self._distributed = _distributed()
        try:
            self._client: Any = self._distributed.Client(
                address, timeout=_SECONDS_TO_CONNECT, set_as_default=False
            )
        except (OSError, ValueError) as error:
            raise EngineError(
                f"No Dask scheduler answers at {address} ({error}).",
                remedy="Start it, correct DASK_SCHEDULER, or unset it to work on this machine.",
            ) from error
        self._executor: Any = None

    @property
    def size(self) -> int:
        """Threads of all workers, at least 1: they may still be on their way."""
        threads: int = sum(self._client.nthreads().values())
        return max(1, threads)

    @property
    def losses(self) -> tuple[type[BaseException], ...]:
        """What a part raises whose workers died again and again."""
        return BrokenExecutor, self._distributed.KilledWorker

    def start(self) -> Executor:
        """The cluster, asked like a pool; it hands a lost part to another worker by itself."""
        executor: Executor = self._client.get_executor(pure=False, retries=_RETRIES)
        self._executor = executor
        return executor

    def dismiss(self, *, at_once: bool) -> None:
        """Take back what is not done; the workers go on living, for others."""
        self._executor.shutdown(wait=not at_once, cancel_futures=True)


def _distributed() -> Any:
    try:
        return import_module("distributed")
    except ImportError as error:
        raise EngineError(
            "DASK_SCHEDULER is set, and the package distributed is not installed.",
            remedy="Install the optional packages of `cluster`, or unset DASK_SCHEDULER.",
        ) from error
