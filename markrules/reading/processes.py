"""Processes that work beside this one: Ctrl+C is this one's to answer, and none is left behind."""

from __future__ import annotations

import multiprocessing
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from multiprocessing import resource_tracker
from typing import Any


@contextmanager
def processes(jobs: int, start: Callable[..., None], *given: Any) -> Iterator[ProcessPoolExecutor]:
    """So many processes, started afresh so that they share no open file, for the block's time.

    `start(*given)` runs first in each. When the block is left early, what was handed out is not
    waited for, and they are ended in the midst of it: what they write is to be made anew.
    Raises OSError where one of them was ended from outside.
    """
    others = set(multiprocessing.active_children())
    pool = ProcessPoolExecutor(
        jobs,
        mp_context=multiprocessing.get_context("spawn"),
        initializer=start,
        initargs=given,
    )
    try:
        with _interrupts_ignored():  # they inherit this, and print nothing of their own
            for _ in range(jobs):  # each of these starts one
                pool.submit(_nothing)
        yield pool
    except BrokenProcessPool:
        raise OSError(
            "a process that worked beside this one was ended; what is kept is kept"
        ) from None
    except BaseException:
        # A pool that is shut down still waits for what its processes have in hand: half a minute.
        for child in set(multiprocessing.active_children()) - others:
            child.terminate()
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _nothing() -> None:
    """Let the processes be started."""


@contextmanager
def _interrupts_ignored() -> Iterator[None]:
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    mask = getattr(signal, "pthread_sigmask", None)
    if mask is not None:
        # It lets interrupts in again when it is started, and is started with the first process.
        resource_tracker.ensure_running()
        blocked = mask(signal.SIG_BLOCK, {signal.SIGINT})
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        with suppress(TypeError):  # a handler that Python did not set
            signal.signal(signal.SIGINT, before)
        if mask is not None:
            mask(signal.SIG_SETMASK, blocked)  # one that came meanwhile is answered now
