"""Who does the work: this process, all cores of this machine, or an existing Dask cluster.

Whoever it is, results come back in the order of the tasks, and only so many tasks are under way
that memory does not grow with their number.
"""

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future
from typing import Any, Final, Protocol, TypeVar

from potash.errors import PotashError
from potash.words import tr

Task = TypeVar("Task")
Result = TypeVar("Result")

_UNDER_WAY: Final = 3  # tasks a worker: one that runs, and enough waiting that none falls idle
_AHEAD: Final = 50  # results that wait here for an earlier one
_NO_ANSWER: Final = "20s"
_MOST: Final = 256


class WorkersLost(PotashError):
    """The processes that should do the work cannot be reached, or died; the message says more."""


class Workers(Protocol):
    """Whoever works through tasks."""

    def run(self, work: Callable[[Task], Result], tasks: Iterable[Task]) -> Iterator[Result]:
        """The result of ``work`` for each of ``tasks``, in their order.

        Raises: WorkersLost; whatever ``work`` raises.
        """
        ...


class ThisProcess:
    """One task after the other, here."""

    def run(self, work: Callable[[Task], Result], tasks: Iterable[Task]) -> Iterator[Result]:
        return map(work, tasks)


class Processes:
    """Several processes of this machine, this one among them.

    The others need most of a second to start; meanwhile this one has begun.
    """

    def __init__(self, count: int) -> None:
        self._helpers = count - 1

    def run(self, work: Callable[[Task], Result], tasks: Iterable[Task]) -> Iterator[Result]:
        import multiprocessing
        from concurrent.futures import ProcessPoolExecutor
        from concurrent.futures.process import BrokenProcessPool

        # A process forked from this one could inherit a lock that one of its threads holds just
        # then. A server without threads loads the library once, and is forked instead.
        known = multiprocessing.get_all_start_methods()
        context = multiprocessing.get_context("forkserver" if "forkserver" in known else "spawn")
        if "forkserver" in known:
            context.set_forkserver_preload([work.__module__])
        pool = ProcessPoolExecutor(self._helpers, context, initializer=_end_with_parent)
        try:
            yield from _together(
                lambda task: pool.submit(work, task), work, tasks, self._helpers * _UNDER_WAY
            )
        except BrokenProcessPool:
            raise WorkersLost(
                tr(
                    "a marking process was ended from outside, perhaps for want of memory. Run "
                    "the same command again: what is done is kept."
                )
            ) from None
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


class Cluster:
    """The workers of a Dask cluster that runs already.

    They must see the same folders under the same names, and have the same version of Potash.
    """

    def __init__(self, address: str) -> None:
        self._address = address

    def run(self, work: Callable[[Task], Result], tasks: Iterable[Task]) -> Iterator[Result]:
        distributed = _distributed()
        try:
            client = distributed.Client(self._address, timeout=_NO_ANSWER, set_as_default=False)
        except (OSError, TimeoutError, ValueError) as reason:
            raise WorkersLost(
                tr(
                    "no Dask scheduler answers at {address!r}: {reason}. Give the address that it "
                    "printed when it started, such as tcp://127.0.0.1:8786.",
                    address=self._address,
                    reason=reason,
                )
            ) from None
        with client:
            count = max(len(client.scheduler_info(n_workers=-1)["workers"]), 1)
            yield from _in_order(
                lambda task: client.submit(work, task, pure=False), tasks, count * _UNDER_WAY
            )


def choose(count: int | None = None, scheduler: str | None = None) -> Workers:
    """Whoever should work: the cluster at ``scheduler``, ``count`` processes, or all cores.

    Raises: WorkersLost, if there is no such number of processes, or no way to reach a cluster.
    """
    if count is not None and not 1 <= count <= _MOST:
        raise WorkersLost(
            tr(
                "{count} processes cannot mark; give a number from 1 to {most}.",
                count=count,
                most=_MOST,
            )
        )
    if scheduler:
        _distributed()
        return Cluster(scheduler)
    wanted = count or available_cores()
    return ThisProcess() if wanted == 1 else Processes(wanted)


def available_cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _end_with_parent() -> None:
    """Have this process end when the one that started it was killed, instead of waiting forever."""
    import multiprocessing
    import threading

    parent = multiprocessing.parent_process()

    def follow() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=follow, daemon=True).start()


def _in_order(submit: Callable[[Task], Any], tasks: Iterable[Task], most: int) -> Iterator[Any]:
    under_way: deque[Any] = deque()
    for task in tasks:
        under_way.append(submit(task))
        if len(under_way) >= most:
            yield under_way.popleft().result()
    while under_way:
        yield under_way.popleft().result()


def _together(
    submit: Callable[[Task], Any],
    work: Callable[[Task], Result],
    tasks: Iterable[Task],
    most: int,
) -> Iterator[Result]:
    """As :func:`_in_order`, but what would be too much for the others is done here."""
    waiting: deque[Any] = deque()
    for task in tasks:
        if sum(not one.done() for one in waiting) < most:
            waiting.append(submit(task))
        else:
            waiting.append(_done(work(task)))
        while waiting and (waiting[0].done() or len(waiting) > most + _AHEAD):
            yield waiting.popleft().result()
    while waiting:
        yield waiting.popleft().result()


def _done(result: Result) -> "Future[Result]":
    done: Future[Result] = Future()
    done.set_result(result)
    return done


def _distributed() -> Any:
    try:
        import distributed
    except ImportError:
        raise WorkersLost(
            tr("marking on a cluster needs the package distributed: install potash[cluster].")
        ) from None
    return distributed
