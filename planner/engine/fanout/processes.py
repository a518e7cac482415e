"""Workers as processes of this machine, each started afresh and with one thread."""

import multiprocessing
import os
import threading
from concurrent.futures import BrokenExecutor, Executor, ProcessPoolExecutor
from multiprocessing.connection import Connection

_ONE_THREAD = (
    "OMP_NUM_THREADS",
    "OPENBLAS_NUM_THREADS",
    "MKL_NUM_THREADS",
    "NUMBA_NUM_THREADS",
)


class Processes:
    """``number`` processes of this machine (``None``: one for each core).

    They are spawned, not forked: a fork would copy locks that threads of ours hold. A worker
    ends by itself as soon as its end of a pipe closes: when it is dismissed in the middle of
    its work, and when this process ends, whatever ends it.
    """

    losses: tuple[type[BaseException], ...] = (BrokenExecutor,)

    def __init__(self, number: int | None = None) -> None:
        self.size = number or _cores()
        self._executor: ProcessPoolExecutor | None = None
        self._pipe: tuple[Connection, Connection] | None = None

    def start(self) -> Executor:
        """Workers; they are started as work comes."""
        context = multiprocessing.get_context("spawn")
        reader, writer = context.Pipe(duplex=False)
        self._pipe = reader, writer
        self._executor = ProcessPoolExecutor(
            self.size, mp_context=context, initializer=_begin, initargs=(reader,)
        )
        return self._executor

    def dismiss(self, *, at_once: bool) -> None:
        """End the workers, and wait until they are gone."""
        assert self._executor is not None
        assert self._pipe is not None
        reader, writer = self._pipe
        if at_once:
            writer.close()
        self._executor.shutdown(wait=True, cancel_futures=True)
        writer.close()
        reader.close()


def _cores() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _begin(reader: Connection) -> None:
    """In a worker, before anything is imported that starts threads."""
    os.environ.update(dict.fromkeys(_ONE_THREAD, "1"))
    threading.Thread(target=_end_with, args=(reader,), daemon=True).start()


def _end_with(reader: Connection) -> None:
    try:
        reader.recv_bytes()
    except (EOFError, OSError):
        os._exit(1)
