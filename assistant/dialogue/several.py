"""The same work on many things, in as many processes as there are cores.

A process of its own is a copy of this one as it stands (a fork), so everything that was loaded is
there already. Where a system makes no such copies, or where there are few things, the work is
done here, one thing after the other.
"""

from __future__ import annotations

import os
import signal
import sys
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from itertools import chain, islice
from typing import Any, TypeVar

from assistant.errors import EngineFault

Thing = TypeVar("Thing")
Done = TypeVar("Done")

_FEW = 16
"""For so many it is not worth making copies of the process (assumed; making two took 0.3 s)."""
_WAITING = 8
"""So many things are handed to each process ahead of what has come back (assumed)."""

_work: Callable[[Any], Any] | None = None


def each_done(
    work: Callable[[Thing], Done], things: Iterable[Thing], prepare: Callable[[Thing], None]
) -> Iterator[Done]:
    """What `work` makes of each thing, in order. prepare: called once, where there are many."""
    rest = iter(things)
    first = list(islice(rest, _FEW))
    if len(first) == _FEW:
        prepare(first[0])
        if _processes() > 1:
            yield from _in_processes(work, chain(first, rest))
            return
    yield from map(work, chain(first, rest))


def _processes() -> int:
    """How many cores this process may use; 1 where copies cannot be made safely."""
    return min(8, len(os.sched_getaffinity(0))) if sys.platform == "linux" else 1


def _in_processes(work: Callable[[Thing], Done], things: Iterator[Thing]) -> Iterator[Done]:
    from concurrent.futures import Future, ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool
    from multiprocessing import get_context

    global _work
    _work = work
    count = _processes()
    pool = ProcessPoolExecutor(count, mp_context=get_context("fork"), initializer=_leave_stopping)
    waiting: deque[Future[Done]] = deque()
    try:
        for thing in things:
            waiting.append(pool.submit(_do, thing))
            if len(waiting) > _WAITING * count:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    except BrokenProcessPool as error:
        raise EngineFault("a process that was at work ended without a word") from error
    finally:
        pool.shutdown(cancel_futures=True)
        _work = None


def _leave_stopping() -> None:
    """Ctrl-C is for the first process, which then stops the others."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _do(thing: Any) -> Any:
    assert _work is not None
    return _work(thing)
