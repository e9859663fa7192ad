"""Where parts are worked out: in this process, on all its cores, or on a cluster.

Each engine takes parts and gives every one back once, with its results, in any order. It holds
only a few parts at a time. Where a process is lost, its parts are worked out again; a part that
takes its process down with it, alone, comes back as a fault of its sites.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
import socket
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import (
    FIRST_COMPLETED,
    Future,
    ProcessPoolExecutor,
    ThreadPoolExecutor,
    wait,
)
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing.connection import wait as wait_for_end
from typing import Any
from urllib.parse import urlsplit

from suncover.base.errors import RequestError
from suncover.base.garbage import look_seldom
from suncover.base.textfile import printable
from suncover.portfolio.sources import Part
from suncover.portfolio.work import Request, Results, versions, work_out

Done = Iterator[tuple[Part, Results]]
Engine = Callable[[Iterable[Part], Request], Done]

AHEAD = 2
"""Parts that are handed out for each process, so that none waits for work."""

# Numpy's threads would fight for the cores with our processes.
_SINGLE_THREADED = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
_LONGEST_WAIT_S = 10  # for the scheduler of a cluster to answer


def in_this_process(parts: Iterable[Part], request: Request) -> Done:
    """One part after the other."""
    for part in parts:
        yield part, work_out(part, request)


def on_cores(jobs: int) -> Engine:
    """An engine of `jobs` processes on this machine."""
    if jobs == 1:
        return in_this_process

    def engine(parts: Iterable[Part], request: Request) -> Done:
        source = iter(parts)
        suspects: list[Part] = []
        with _single_threads():
            while (part := next(source, None)) is not None:
                yield from _with_pool(_and_then(part, source), request, jobs, suspects)
                # Their pool has broken: one of them may be to blame, or none.
                for suspect in suspects:
                    yield suspect, _alone(suspect, request)
                suspects.clear()

    return engine


def _and_then(first: Part, parts: Iterator[Part]) -> Iterator[Part]:
    yield first
    yield from parts


def _with_pool(parts: Iterator[Part], request: Request, jobs: int, suspects: list[Part]) -> Done:
    """Works through parts; when a process dies, ends with those at hand in `suspects`."""
    waiting: dict[Future[Results], Part] = {}
    with _pool(jobs) as pool:
        while True:
            try:
                while len(waiting) < AHEAD * jobs and (part := next(parts, None)) is not None:
                    suspects.append(part)
                    waiting[pool.submit(work_out, part, request)] = part
                    suspects.pop()
                if not waiting:
                    return
                finished, _ = wait(waiting, return_when=FIRST_COMPLETED)
                for future in finished:
                    results = future.result()
                    yield waiting.pop(future), results
            except BrokenProcessPool:
                suspects += waiting.values()
                return


def _alone(part: Part, request: Request) -> Results:
    """A part in a process of its own; if that dies too, a fault for each of the part's sites."""
    with _pool(1) as pool:
        try:
            return pool.submit(work_out, part, request).result()
        except BrokenProcessPool:
            return lost(part)


def lost(part: Part) -> Results:
    """The results of a part whose process ended under it."""
    message = (
        "the process that worked on it was ended, twice; it may need more memory than there is: "
        "try fewer --jobs, or split the site. What else was in its part is missing too"
    )
    faults = [[order.source, f"{order.file}: {message}"] for order in part.orders]
    return Results(faults=faults, version="")


@contextmanager
def _pool(jobs: int) -> Iterator[ProcessPoolExecutor]:
    """Processes that end with this one, and at once when this one is interrupted."""
    context = multiprocessing.get_context("spawn")
    children_before = set(multiprocessing.active_children())
    pool = ProcessPoolExecutor(jobs, mp_context=context, initializer=_begin_worker)
    try:
        yield pool
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        for process in set(multiprocessing.active_children()) - children_before:
            process.terminate()
        raise
    pool.shutdown()


def _begin_worker() -> None:
    """Leaves Ctrl-C to the process that handed out the work, and ends when that is gone."""
    look_seldom()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait_for_end([sentinel])
    os._exit(1)


@contextmanager
def _single_threads() -> Iterator[None]:
    """Has processes that start now use one thread, unless the user's settings say otherwise."""
    added = [name for name in _SINGLE_THREADED if name not in os.environ]
    os.environ.update(dict.fromkeys(added, "1"))
    try:
        yield
    finally:
        for name in added:
            os.environ.pop(name, None)


def on_cluster(address: str) -> Engine:
    """An engine of the workers of a Dask scheduler, at an address such as tcp://10.0.0.5:8786."""

    def engine(parts: Iterable[Part], request: Request) -> Done:
        try:
            from distributed import Client
        except ImportError:
            raise RequestError(
                '--cluster needs the package dask: pip install "suncover[cluster]"'
            ) from None
        name = printable(address)
        try:
            # In a thread of its own, as a notebook has a loop that runs already in its own.
            with ThreadPoolExecutor(1) as thread:
                thread.submit(lambda: asyncio.run(_knock(address))).result()
            client = Client(address, timeout=_LONGEST_WAIT_S, set_as_default=False)
        except Exception as error:  # whatever it is that answers there, it is no scheduler
            cause = str(error).splitlines()[0] if str(error) else type(error).__name__
            raise RequestError(
                f"--cluster {name}: no scheduler answers there ({cause}); "
                "start one with: dask scheduler"
            ) from None
        with client:
            yield from _on_workers(client, iter(parts), request)

    return engine


async def _knock(address: str) -> None:
    """Fails soon where no scheduler answers; Dask's client would try again and again."""
    from distributed import Security
    from distributed.comm import connect

    place = urlsplit(address)
    if not place.hostname or not place.port:
        raise ValueError("write it as tcp://host:8786")
    # Where nothing listens, that is known at once.
    socket.create_connection((place.hostname, place.port), _LONGEST_WAIT_S).close()
    security = Security().get_connection_args("client")
    async with asyncio.timeout(_LONGEST_WAIT_S):
        comm = await connect(address, timeout=_LONGEST_WAIT_S, **security)
        await comm.close()


def _on_workers(client: Any, parts: Iterator[Part], request: Request) -> Done:
    """Hands out parts to a cluster's workers. Dask does over what a lost worker had in hand."""
    from distributed import CancelledError, KilledWorker, as_completed
    from distributed.comm import CommClosedError

    waiting: dict[str, tuple[Any, Part]] = {}
    finished = as_completed(loop=client.loop)
    try:
        while True:
            room = AHEAD * max(sum(client.nthreads().values()), 1)
            while len(waiting) < room and (part := next(parts, None)) is not None:
                future = client.submit(work_out, part, request, pure=False)
                waiting[future.key] = future, part
                finished.add(future)
            if not waiting:
                return
            future = next(finished)
            part = waiting[future.key][1]
            try:
                results = future.result()
            except KilledWorker:
                results = lost(part)
            except (ImportError, AttributeError) as error:
                raise RequestError(
                    f"the cluster's workers cannot run suncover: {error}; install "
                    f"{versions()} there"
                ) from None
            if results.version not in ("", versions()):
                raise RequestError(
                    f"a worker has {results.version}, and here are {versions()}; "
                    "install the same on both"
                )
            del waiting[future.key]
            yield part, results
    except (CancelledError, CommClosedError, TimeoutError) as error:
        raise RequestError(
            f"the cluster was lost ({type(error).__name__}); what is done is kept, "
            "run the same command again to go on"
        ) from None
    finally:
        _call_off([future for future, _ in waiting.values()], client)


def _call_off(futures: list[Any], client: Any) -> None:
    """Cancels what is still to be worked out; without complaint if the scheduler is gone."""
    try:
        if futures:
            client.cancel(futures)
    except Exception as error:
        print(f"the cluster could not be told to stop: {error}", file=sys.stderr)
