"""The processes that work for the HTTP door: how many, how long one may work, and how many may wait.

Reading a record can't be stopped from outside within one process, and a body that is made for it can take minutes: so a
process does it, which is killed when its time is over, and another one takes its place.
"""

from __future__ import annotations

import asyncio
import sys
from contextlib import suppress
from typing import TYPE_CHECKING, Final

import msgspec
from starlette.requests import ClientDisconnect

from dermreport.http.errors import RefusedError, WorkerFailedError
from dermreport.http.messages import LENGTH, Answer, Job, framed, host_bytes
from dermreport.profiles.operations import refusals

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Coroutine

    from dermreport.http.limits import HttpLimits
    from dermreport.http.messages import Host

_BUFFER: Final = 1024 * 1024
#: How long a process may take to start, and to end by itself.
_START_SECONDS: Final = 60
_END_SECONDS: Final = 2
#: After which one that couldn't be started is tried again.
_AGAIN_SECONDS: Final = 1


def command() -> tuple[str, ...]:
    """Return how a process is started: it imports from where this one does, and from nowhere else."""
    program = f"import sys; sys.path[:] = {sys.path!r}; from dermreport.http.worker import main; main()"
    return sys.executable, "-c", program


class _Worker:
    """One process, and the frames that go to it and come from it."""

    def __init__(self, process: asyncio.subprocess.Process) -> None:
        assert process.stdin is not None and process.stdout is not None  # noqa: PT018, S101 - both are pipes
        self._process = process
        self._to, self._from = process.stdin, process.stdout

    @classmethod
    async def started(cls, hello: bytes) -> _Worker:
        """Start one and wait until it is ready."""
        process = await asyncio.create_subprocess_exec(
            *command(),
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.DEVNULL,
            limit=_BUFFER,
        )
        worker = cls(process)
        try:
            async with asyncio.timeout(_START_SECONDS):
                await worker.ask(hello)
        except BaseException:
            await worker.kill()
            raise
        return worker

    async def ask(self, content: bytes) -> bytes:
        """Give it a frame and return its answer."""
        self._to.write(framed(content))
        await self._to.drain()
        (length,) = LENGTH.unpack(await self._from.readexactly(LENGTH.size))
        return await self._from.readexactly(length)

    async def end(self) -> None:
        """Let it end by itself, or kill it."""
        self._to.close()
        with suppress(TimeoutError):
            async with asyncio.timeout(_END_SECONDS):
                await self._process.wait()
        await self.kill()

    async def kill(self) -> None:
        """Stop it, whatever it does."""
        with suppress(ProcessLookupError):
            self._process.kill()
        self._to.close()
        # To the end of what it wrote, so that nothing of it stays open.
        while await self._from.read(_BUFFER):
            pass
        await self._process.wait()


class Workers:
    """All of them."""

    def __init__(self, limits: HttpLimits, host: Host) -> None:
        """Keep what they are started with; they start when they are first needed, or before."""
        self._limits = limits
        self._hello = host_bytes(host)
        self._free: asyncio.LifoQueue[_Worker] | None = None
        self._starting: asyncio.Future[None] | None = None
        self._renewing: set[asyncio.Task[None]] = set()
        self._all: set[_Worker] = set()
        self._stopping = False

    @property
    def ready(self) -> bool:
        """Whether one of them is there to work."""
        return bool(self._all)

    async def start(self) -> None:
        """Start them, once; whoever comes meanwhile waits.

        Raises:
            WorkerFailedError: None of them starts.
        """
        if self._starting is None:
            self._stopping = False
            self._starting = asyncio.ensure_future(self._start())
        await asyncio.shield(self._starting)

    async def _start(self) -> None:
        self._free = asyncio.LifoQueue()
        made = await asyncio.gather(*(self._add() for _ in range(self._limits.workers)), return_exceptions=True)
        if not self._all:
            # The next request tries again.
            self._free = self._starting = None
            raise WorkerFailedError("not started")
        for one in made:
            if isinstance(one, BaseException):
                self._keep(self._replace(None))

    async def _add(self) -> None:
        try:
            worker = await _Worker.started(self._hello)
        except (OSError, TimeoutError, asyncio.IncompleteReadError):
            worker = None
        if worker is None:
            raise WorkerFailedError("not started")
        self._all.add(worker)
        self._queue.put_nowait(worker)

    @property
    def _queue(self) -> asyncio.LifoQueue[_Worker]:
        assert self._free is not None  # noqa: S101 - start makes it
        return self._free

    async def stop(self) -> None:
        """End all of them; they can be started again."""
        self._stopping = True
        if self._starting is not None:
            with suppress(WorkerFailedError):
                await self._starting
        # What is being started is waited for: a process that is left half started would stay.
        await asyncio.gather(*self._renewing)
        await asyncio.gather(*(one.end() for one in self._all))
        self._all.clear()
        self._free = self._starting = None

    async def run(self, job: Job, gone: Callable[[], Awaitable[None]]) -> Answer:
        """Give a job to the first process that is free.

        Args:
            job: The job.
            gone: What ends when nobody waits for the answer any more: before a process has the job that frees its
                place. One that is at work goes on, for to kill it and start another takes longer than most work.

        Raises:
            RefusedError: None was free in time, or the one that had it took too long.
            WorkerFailedError: The process ended.
            ClientDisconnect: Nobody waits for it.
        """
        await self.start()
        worker = await self._one(gone)
        try:
            answer = await self._answer(worker, job)
        except BaseException:
            # Whatever it was, it may still be at work, or in the middle of an answer.
            self._renew(worker)
            raise
        self._queue.put_nowait(worker)
        return answer

    async def _one(self, gone: Callable[[], Awaitable[None]]) -> _Worker:
        if not self._queue.empty():
            return self._queue.get_nowait()
        waiting = asyncio.ensure_future(self._queue.get())
        left = asyncio.ensure_future(gone())
        try:
            await asyncio.wait((waiting, left), timeout=self._limits.wait_seconds, return_when=asyncio.FIRST_COMPLETED)
        except asyncio.CancelledError:
            if waiting.done():
                self._queue.put_nowait(waiting.result())
            waiting.cancel()
            raise
        finally:
            left.cancel()
        if waiting.done():
            return waiting.result()
        waiting.cancel()
        if left.done():
            raise ClientDisconnect
        raise RefusedError(refusals.BUSY)

    async def _answer(self, worker: _Worker, job: Job) -> Answer:
        failed = ""
        try:
            async with asyncio.timeout(self._limits.work_seconds):
                return msgspec.msgpack.decode(await worker.ask(msgspec.msgpack.encode(job)), type=Answer)
        except TimeoutError:
            pass
        except (asyncio.IncompleteReadError, ConnectionError):
            failed = "ended"
        # Raised out here, so that the other error isn't the context of ours.
        if failed:
            raise WorkerFailedError(failed)
        raise RefusedError(refusals.TOO_SLOW, limit=str(self._limits.work_seconds))

    def _renew(self, worker: _Worker) -> None:
        self._all.discard(worker)
        self._keep(self._replace(worker))

    def _keep(self, work: Coroutine[None, None, None]) -> None:
        task = asyncio.ensure_future(work)
        self._renewing.add(task)
        task.add_done_callback(self._renewing.discard)

    async def _replace(self, worker: _Worker | None) -> None:
        if worker is not None:
            await worker.kill()
        while not self._stopping:
            try:
                await self._add()
            except WorkerFailedError:
                await asyncio.sleep(_AGAIN_SECONDS)
            else:
                return
