"""``serve``: the HTTP door."""

from __future__ import annotations

import argparse
import sys

import dermreport
from dermreport.cli.arguments import Commands, count
from dermreport.cli.codes import DONE
from dermreport.cli.hosts import add_settings, host_settings, letter_settings

_LAST_PORT = 65535


def add(commands: Commands) -> None:
    """Add the command."""
    from dermreport.http.limits import LOOPBACK, PORT  # noqa: PLC0415 - loaded on first use

    served = commands.add_parser(
        "serve",
        help="serve all this over HTTP, for systems that aren't in Python",
        description="Serve FHIR operations over HTTP: report, check, letter, read; /openapi.json describes them. "
        "Nothing is stored. Nobody is authenticated and nothing is encrypted: that, and the audit trail, is the matter "
        "of the gateway before it. So it listens on this machine alone unless another address is given. The log goes "
        "to standard error, one JSON object a line, without anything that was sent. SIGTERM or SIGINT stops it: what "
        "was asked is answered first.",
    )
    served.add_argument("--host", default=LOOPBACK, metavar="ADDRESS", help=f"where to listen; default: {LOOPBACK}")
    served.add_argument("--port", type=_port, default=PORT, metavar="NUMBER", help=f"default: {PORT}; 0: a free one")
    served.add_argument(
        "--workers", type=count, default=None, metavar="NUMBER", help="processes that do the work; default: 2"
    )
    served.add_argument("--letter-settings", metavar="FILE", help="settings of letters as TOML, as of `letter`")
    add_settings(served)
    served.set_defaults(run=_serve)


def _port(text: str) -> int:
    if not (text.isdecimal() and int(text) <= _LAST_PORT):
        raise argparse.ArgumentTypeError(f"a port is a number from 0 to {_LAST_PORT}")
    return int(text)


def _serve(options: argparse.Namespace) -> int:
    import logging  # noqa: PLC0415 - loaded on first use
    import signal  # noqa: PLC0415 - loaded on first use
    from ipaddress import ip_address  # noqa: PLC0415 - loaded on first use

    from dermreport.http.door import http_app, listening, serve  # noqa: PLC0415 - loaded on first use
    from dermreport.http.logs import log, log_to_standard_error  # noqa: PLC0415 - loaded on first use

    limits = dermreport.HttpLimits(**({"workers": options.workers} if options.workers is not None else {}))
    app = http_app(
        settings=host_settings(options), letter_settings=letter_settings(options.letter_settings), limits=limits
    )
    socket = listening(options.host, options.port)
    log_to_standard_error()
    for one in (signal.SIGINT, signal.SIGTERM):
        # The server stops by them first, and then hands them on.
        signal.signal(one, lambda *_: sys.exit(DONE))
    address, port = socket.getsockname()[:2]
    log(logging.INFO, "listening", host=address, port=port)
    if not ip_address(address).is_loopback:
        log(logging.WARNING, "open", says="Nobody is authenticated here: let a gateway alone reach this address.")
    serve(app, socket, limits)
    return DONE
