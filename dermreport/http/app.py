"""The application: what is asked for and sent is held to the tables, the work goes to a process, the answer comes back.

Every answer is one message of a known length, sent when it is whole: nothing is half answered.
"""

from __future__ import annotations

import asyncio
import logging
import time
import uuid
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from functools import cache
from http import HTTPStatus
from typing import TYPE_CHECKING, Any, Final

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.routing import Route as Address

from dermreport.examination.reader import write_json
from dermreport.form.questionnaire import FORM_ID
from dermreport.http import media, routes
from dermreport.http.answers import answer, refused
from dermreport.http.errors import RefusedError, WorkerFailedError
from dermreport.http.logs import log
from dermreport.http.messages import Answer, Job
from dermreport.http.metadata import capability_statement
from dermreport.http.openapi import openapi
from dermreport.http.parameters import checked
from dermreport.http.workers import Workers
from dermreport.issues import Severity
from dermreport.letter_file import LetterFormat
from dermreport.profiles.operations import refusals, table
from dermreport.profiles.operations.definitions import operation_definitions

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Awaitable, Callable

    from starlette.types import ASGIApp, Receive, Scope, Send

    from dermreport.fhir.releases import Release
    from dermreport.http.limits import HttpLimits
    from dermreport.http.messages import Host
    from dermreport.http.routes import Route

#: Methods that are named in the log; another one is somebody's text.
_METHODS: Final = frozenset(("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"))
_ALWAYS: Final = {"Cache-Control": "no-store", "X-Content-Type-Options": "nosniff"}
#: What a letter's page may do in a browser: show itself.
_PAGE_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox"
#: Digits of a length that is read as a number.
_LONGEST_LENGTH: Final = 18


@dataclass(slots=True)
class _Noted:
    """What the log says of a request."""

    route: str = "none"
    release: str = ""
    rule: str = ""
    received: int = 0
    failed: tuple[str, ...] = field(default=())


def application(host: Host, limits: HttpLimits) -> Starlette:
    """Return the application; see :func:`~dermreport.http.door.http_app`."""
    door = _Door(host, limits)
    application = Starlette(
        routes=[Address(one.path, door.endpoint(one), methods=[one.method], name=one.name) for one in routes.ROUTES],
        middleware=[Middleware(_Outermost)],
        exception_handlers={HTTPException: _not_there},
        lifespan=door.lifespan,
    )
    # A redirect would repeat an address, which may hold anything.
    application.router.redirect_slashes = False
    return application


class _Outermost:
    """Gives every request a number, answers what fails, and writes the log."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        number = _number(scope)
        noted = scope.setdefault("state", {})["noted"] = _Noted()
        started = time.perf_counter()
        status = length = 0

        async def numbered(message: Any) -> None:  # noqa: ANN401 - the protocol's own type
            nonlocal status, length
            if message["type"] == "http.response.start":
                status = message["status"]
                more = {"X-Request-Id": number, **_ALWAYS}
                message["headers"] += [(name.lower().encode(), value.encode()) for name, value in more.items()]
            else:
                length += len(message.get("body", b""))
            await send(message)

        try:
            await self._app(scope, receive, numbered)
        except ClientDisconnect:
            noted.rule = "gone"
        except Exception as error:  # noqa: BLE001 - whatever it is, the text of it must not reach a log
            noted.failed = (type(error).__name__,)
            if not status:
                response = _response(refused(refusals.FAILED, media.FHIR_JSON), None)
                await response(scope, receive, numbered)
        log(
            logging.ERROR if noted.failed else logging.INFO,
            "request",
            request_id=number,
            method=scope["method"] if scope["method"] in _METHODS else "other",
            route=noted.route,
            release=noted.release,
            status=status,
            ms=round((time.perf_counter() - started) * 1000, 1),
            received=noted.received,
            sent=length,
            rule=noted.rule,
            failed=" ".join(noted.failed),
        )


def _number(scope: Scope) -> str:
    """Return the request's number, where it is a UUID and can't be anybody's name; else a new one."""
    given = next((value for name, value in scope["headers"] if name == b"x-request-id"), b"")
    with suppress(ValueError):
        return str(uuid.UUID(given.decode("ascii")))
    return str(uuid.uuid4())


async def _not_there(request: Request, error: Exception) -> Response:
    """Answer an address or a method that isn't there."""
    wrong_method = isinstance(error, HTTPException) and error.status_code == HTTPStatus.METHOD_NOT_ALLOWED
    refusal = refusals.METHOD if wrong_method else refusals.NOT_FOUND
    noted: _Noted = request.state.noted
    noted.rule = refusal.rule.id
    response = _response(refused(refusal, _error_type(request)), None)
    if isinstance(error, HTTPException) and error.headers:
        response.headers.update(error.headers)
    return response


def _error_type(request: Request) -> str:
    return media.chosen(request.headers.get("accept"), media.RESOURCE_TYPES, None) or media.FHIR_JSON


def _response(made: Answer, release: Release | None, retry: int | None = None) -> Response:
    response = Response(made.content, made.status)
    response.headers["Content-Type"] = media.content_type(made.media, release)
    if retry is not None:
        response.headers["Retry-After"] = str(retry)
    if made.counts:
        found = zip(Severity, made.counts, strict=True)
        response.headers["Dermreport-Issues"] = ", ".join(f"{one}={count}" for one, count in found)
    if made.name:
        response.headers["Content-Disposition"] = f'inline; filename="{made.name}"'
    if made.media == media.HTML:
        response.headers["Content-Security-Policy"] = _PAGE_POLICY
    return response


class _Door:
    """One door: its limits, its processes, and how many requests are in it."""

    def __init__(self, host: Host, limits: HttpLimits) -> None:
        self._limits = limits
        self._workers = Workers(limits, host)
        self._within = 0
        self._stopping = False
        self._own: dict[str, Callable[[Request, str, Release | None], Awaitable[Answer]]] = {
            routes.HEALTH.name: self._health,
            routes.READY.name: self._ready,
            routes.OPENAPI.name: self._openapi,
            routes.METADATA.name: self._metadata,
            routes.DEFINITION.name: self._definition,
            routes.FORM.name: self._form,
        }

    @asynccontextmanager
    async def lifespan(self, _: Starlette) -> AsyncIterator[None]:
        """Start the processes with the application, and end them with it."""
        self._stopping = False
        await self._workers.start()
        log(logging.INFO, "started", workers=self._limits.workers)
        try:
            yield
        finally:
            self._stopping = True
            await self._workers.stop()
            log(logging.INFO, "stopped")

    def endpoint(self, route: Route) -> Callable[[Request], Awaitable[Response]]:
        """Return what answers at an address."""

        async def answered(request: Request) -> Response:
            noted: _Noted = request.state.noted
            noted.route = route.name
            release: Release | None = None
            retry = None
            try:
                if route.of_a_release:
                    noted.release = release = _release(request)
                made = await self._answered(route, request, release)
            except RefusedError as error:
                made = refused(error.refusal, _error_type(request), **error.parameters)
                retry = error.refusal.retry
            except WorkerFailedError as error:
                made = refused(refusals.FAILED, _error_type(request))
                noted.failed = (error.kind, error.place)
            noted.rule = made.rule
            noted.failed = noted.failed or made.failed
            response = _response(made, release, retry)
            if len(route.gives) > 1:
                response.headers["Vary"] = "Accept"
            return response

        return answered

    async def _answered(self, route: Route, request: Request, release: Release | None) -> Answer:
        """Hold what is asked for to the table, then make it."""
        asked = [(name, value) for name, value in request.query_params.multi_items() if name != "_format"]
        given = checked(route.operation, asked) if route.operation is not None else _nothing(route, asked)
        accepts = _accepted(route, request, release, given)
        if route.operation is None:
            return await self._own[route.name](request, accepts, release)
        kind = media.sent(request.headers.get("content-type"))
        if kind not in route.takes or request.headers.get("content-encoding", "identity") != "identity":
            raise RefusedError(refusals.MEDIA_TYPE, types=", ".join(route.takes))
        async with self._admitted():
            body = await self._body(request)
            job = Job(route.operation.code, str(release), kind, accepts, given, body)
            return await self._workers.run(job, lambda: _gone(request))

    @asynccontextmanager
    async def _admitted(self) -> AsyncIterator[None]:
        """Let a request in before its body is read, so that not more bodies are held than there are places."""
        if self._within >= self._limits.workers + self._limits.waiting:
            raise RefusedError(refusals.BUSY)
        self._within += 1
        try:
            yield
        finally:
            self._within -= 1

    async def _body(self, request: Request) -> bytes:
        limit = self._limits.body
        length = request.headers.get("content-length", "")
        if length.isdecimal() and (len(length) > _LONGEST_LENGTH or int(length) > limit):
            raise RefusedError(refusals.TOO_LARGE, limit=str(limit))
        body = bytearray()
        noted: _Noted = request.state.noted
        with suppress(TimeoutError):
            async with asyncio.timeout(self._limits.read_seconds):
                async for chunk in request.stream():
                    body += chunk
                    noted.received = len(body)
                    if len(body) > limit:
                        raise RefusedError(refusals.TOO_LARGE, limit=str(limit))
                return bytes(body)
        raise RefusedError(refusals.LATE, limit=str(self._limits.read_seconds))

    async def _health(self, _request: Request, _accepts: str, _release: Release | None) -> Answer:
        return _json({"status": "ok"})

    async def _ready(self, _request: Request, _accepts: str, _release: Release | None) -> Answer:
        if not self._stopping:
            with suppress(WorkerFailedError):
                await self._workers.start()
        if self._stopping or not self._workers.ready:
            raise RefusedError(refusals.NOT_READY)
        return _json({"status": "ready"})

    async def _openapi(self, _request: Request, _accepts: str, _release: Release | None) -> Answer:
        return Answer(HTTPStatus.OK, media.JSON, _openapi_text())

    async def _metadata(self, _request: Request, accepts: str, release: Release | None) -> Answer:
        return _static(release, "metadata", accepts)

    async def _definition(self, request: Request, accepts: str, release: Release | None) -> Answer:
        name = request.path_params["id"]
        if name not in table.BY_CODE:
            raise RefusedError(refusals.NOT_FOUND)
        return _static(release, name, accepts)

    async def _form(self, request: Request, accepts: str, release: Release | None) -> Answer:
        async with self._admitted():
            job = Job(FORM_ID, str(release), "", accepts, {}, b"")
            return await self._workers.run(job, lambda: _gone(request))


async def _gone(request: Request) -> None:
    """Wait until whoever asked is gone; the body was read before."""
    while (await request.receive())["type"] != "http.disconnect":
        pass


def _release(request: Request) -> Release:
    """Return the release that an address names."""
    release = routes.RELEASES.get(request.path_params["release"])
    if release is None:
        raise RefusedError(refusals.NOT_FOUND)
    return release


def _nothing(route: Route, asked: list[tuple[str, str]]) -> dict[str, str]:
    """Refuse parameters where there are none."""
    if asked and route.of_a_release:
        raise RefusedError(refusals.PARAMETER_UNKNOWN, names="_format")
    return {}


def _accepted(route: Route, request: Request, release: Release | None, given: dict[str, str]) -> str:
    """Return the media type in which the answer is asked for."""
    offered = route.gives
    if table.FORMAT.name in given:
        letter = media.LETTER_TYPES[LetterFormat(given[table.FORMAT.name])]
        offered = tuple(one for one in offered if one not in media.LETTER_TYPES.values() or one == letter)
    formats = request.query_params.getlist("_format") if route.of_a_release else []
    if len(formats) > 1:
        raise RefusedError(refusals.PARAMETER_TWICE, name="_format")
    accept = media.format_asked(formats[0]) if formats else ", ".join(request.headers.getlist("accept")) or None
    accepts = media.chosen(accept, offered, release)
    if accepts is None:
        raise RefusedError(refusals.NOT_ACCEPTABLE, types=", ".join(offered))
    return accepts


def _json(value: dict[str, str]) -> Answer:
    return Answer(HTTPStatus.OK, media.JSON, write_json(value).encode())


@cache
def _openapi_text() -> bytes:
    return write_json(openapi()).encode()


@cache
def _static(release: Release, name: str, accepts: str) -> Answer:
    """Return what is always the same: the CapabilityStatement, or an operation's definition."""
    if name == "metadata":
        return answer(HTTPStatus.OK, capability_statement(release), accepts)
    (found,) = (one for one in operation_definitions(release) if one["id"] == name)
    return answer(HTTPStatus.OK, found, accepts)
