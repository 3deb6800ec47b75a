"""The way in: the application for a host's server, and a server of its own."""

from __future__ import annotations

import os
import socket
from typing import TYPE_CHECKING, Final

from dermreport.extras import loaded
from dermreport.http.limits import DEFAULT_HTTP_LIMITS, LOOPBACK, PORT, HttpLimits
from dermreport.issues import must_be
from dermreport.letters.settings import LetterSettings
from dermreport.settings import DEFAULTS, Settings

if TYPE_CHECKING:
    from starlette.applications import Starlette

_LETTERS: Final = LetterSettings()
#: Connections that the system holds until they are taken.
_BACKLOG: Final = 128
#: Seconds for which an idle connection is kept.
_KEPT: Final = 5


def http_app(
    *,
    settings: Settings = DEFAULTS,
    letter_settings: LetterSettings = _LETTERS,
    limits: HttpLimits = DEFAULT_HTTP_LIMITS,
) -> Starlette:
    """Return the HTTP door as an ASGI application, to be served or mounted.

    It authenticates nobody, stores nothing, and reads no environment: authentication, encryption and audit are the
    matter of whoever stands before it. Its processes start with the application's lifespan, or with the first request
    where a host mounts it, and end with the lifespan or the program. Its log is the logger ``dermreport.http``: one
    JSON object a record, without anything that was sent.

    Args:
        settings: What the host decides about reviews and reports.
        letter_settings: What it decides about letters.
        limits: How much is taken at once, and how long it may take.

    Raises:
        MissingExtraError: Starlette isn't installed.
        SettingsError: Something of the settings can't be handed to the processes, as a plugin's lambda; the text
            names the plugin and what it adds.
        TypeError: An argument of another kind.
    """
    must_be("http_app: settings", settings, Settings)
    must_be("http_app: letter_settings", letter_settings, LetterSettings)
    must_be("http_app: limits", limits, HttpLimits)
    loaded("starlette")
    from dermreport.http.app import application  # noqa: PLC0415 - needs the extra
    from dermreport.http.messages import Host  # noqa: PLC0415 - loaded on first use

    return application(Host(settings, letter_settings), limits)


def listening(host: str = LOOPBACK, port: int = PORT) -> socket.socket:
    """Return a socket that listens.

    Args:
        host: Address or name; without one this machine alone.
        port: Port; 0 for any that is free.

    Raises:
        OSError: The address or port can't be had.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # Named as TCP, or asyncio doesn't switch off the delay of small packets, and each answer comes 40 ms late.
    made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if os.name == "posix":
            # Elsewhere it would let another program take the same port.
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((host, port))
        made.listen(_BACKLOG)
    except BaseException:
        made.close()
        raise
    return made


def serve(app: Starlette, on: socket.socket, limits: HttpLimits = DEFAULT_HTTP_LIMITS) -> None:
    """Serve the application until the process is told to stop: by SIGTERM or SIGINT.

    Then no connection is taken any more, what was asked is answered, and the processes end.

    Args:
        app: What :func:`http_app` gave.
        on: What :func:`listening` gave; it is closed.
        limits: Those of the application.

    Raises:
        MissingExtraError: uvicorn isn't installed.
    """
    uvicorn = loaded("uvicorn")
    config = uvicorn.Config(
        app,
        access_log=False,
        backlog=_BACKLOG,
        http="h11",
        lifespan="on",
        limit_concurrency=limits.connections,
        log_config=None,
        proxy_headers=False,
        server_header=False,
        timeout_graceful_shutdown=limits.read_seconds + limits.wait_seconds + limits.work_seconds,
        timeout_keep_alive=_KEPT,
        ws="none",
    )
    uvicorn.Server(config).run(sockets=[on])
