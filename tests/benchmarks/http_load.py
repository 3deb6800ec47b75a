"""The HTTP door under load on loopback: ratios against an application of the same framework that echoes, and a soak.

    python tests/benchmarks/http_load.py                    # ratios and percentiles
    python tests/benchmarks/http_load.py --soak 30          # minutes at a modest rate with bursts; memory over time

Both are served by the same server in a process of its own, one after the other, and asked by the same client. The
machine's own speed cancels out of the ratio, what else runs on it doesn't.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import re
import signal
import statistics
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

import httpx2

ROOT = Path(__file__).parent.parent.parent
EXAMPLE = ROOT / "examples" / "usual.json"
ECHO = """
import socket, sys, uvicorn
from starlette.applications import Starlette
from starlette.responses import Response
from starlette.routing import Route

async def echo(request):
    return Response(await request.body(), media_type="application/json")

on = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
on.bind(("127.0.0.1", 0))
on.listen()
print('{"port":%d}' % on.getsockname()[1], file=sys.stderr, flush=True)
app = Starlette(routes=[Route("/{path:path}", echo, methods=["POST"])])
uvicorn.Server(uvicorn.Config(app, access_log=False, log_config=None, http="h11", ws="none")).run(sockets=[on])
"""
JSON = {"Content-Type": "application/json"}


@contextmanager
def served(command: list[str]) -> Iterator[tuple[str, int]]:
    """Serve in a process of its own, and give its address and process id."""
    process = subprocess.Popen(command, stderr=subprocess.PIPE, cwd=ROOT)
    try:
        assert process.stderr is not None
        port = port_of(process.stderr)
        # The log must be read, or the pipe fills.
        drain = subprocess.Popen(["cat"], stdin=process.stderr, stdout=subprocess.DEVNULL)
        yield f"http://127.0.0.1:{port}", process.pid
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(60)
        drain.wait(10)


def port_of(log: IO[bytes]) -> int:
    for line in log:
        if found := re.search(rb'"port":(\d+)', line):
            return int(found[1])
    raise RuntimeError("it doesn't listen")


def door(workers: int = 1) -> list[str]:
    return [sys.executable, "-m", "dermreport", "serve", "--port", "0", "--workers", str(workers)]


async def asked(base: str, path: str, body: bytes, clients: int, seconds: float) -> list[float]:
    """Ask without a pause and return how long each answer took, in seconds."""
    times: list[float] = []
    end = time.perf_counter() + seconds

    async def client() -> None:
        async with httpx2.AsyncClient(base_url=base, timeout=30) as one:
            while time.perf_counter() < end:
                start = time.perf_counter()
                answer = await one.post(path, content=body, headers=JSON)
                times.append(time.perf_counter() - start)
                if answer.status_code != 200:
                    raise RuntimeError(f"status {answer.status_code}")

    await asyncio.gather(*(client() for _ in range(clients)))
    return times


def shown(name: str, times: list[float], seconds: float, echo: float | None) -> float:
    cuts = statistics.quantiles(times, n=100)
    rate = len(times) / seconds
    ratio = "" if echo is None else f"  {echo / rate:5.2f} times fewer than the echo"
    print(
        f"{name:<34} {rate:8.1f} a second  ms: median {cuts[49] * 1e3:7.2f}  p95 {cuts[94] * 1e3:7.2f}"
        f"  p99 {cuts[98] * 1e3:7.2f}{ratio}",
        flush=True,
    )
    return rate


def ratios(seconds: float) -> None:
    entry = EXAMPLE.read_bytes()
    # What a report is as large as: the echo sends as much back as the door does.
    large = b" " * 130_000
    for clients in (1, 4):
        print(f"{clients} at once")
        with served([sys.executable, "-c", ECHO]) as (base, _):
            asyncio.run(asked(base, "/x", entry, clients, 1))
            small = shown("echo, 2 kB", asyncio.run(asked(base, "/x", entry, clients, seconds)), seconds, None)
            big = shown("echo, 130 kB", asyncio.run(asked(base, "/x", large, clients, seconds)), seconds, None)
        with served(door()) as (base, _):
            paths = {
                "check": ("/fhir/r4/$dermoscopy-check", small),
                "report": ("/fhir/r4/$dermoscopy-report", big),
                "letter as text": ("/fhir/r4/$dermoscopy-letter", small),
            }
            for name, (path, echo) in paths.items():
                asyncio.run(asked(base, path, entry, clients, 1))
                shown(name, asyncio.run(asked(base, path, entry, clients, seconds)), seconds, echo)


# Soak


def memory(process: int) -> dict[str, int]:
    """Return the memory of a process and of those that it started, in KiB."""
    children = Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()
    return {name: resident(int(one)) for name, one in (("door", process), *((f"work {c}", c) for c in children))}


def resident(process: int | str) -> int:
    status = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    return int(re.search(r"VmRSS:\s+(\d+)", status)[1])


def files(process: int) -> int:
    return len(os.listdir(f"/proc/{process}/fd"))  # noqa: PTH208 - names are enough


def soaked(base: str, process: int, minutes: float, rate: float) -> None:
    entries = [path.read_bytes() for path in sorted((ROOT / "examples").glob("*.json"))]
    with httpx2.Client(base_url=base, timeout=60) as client:
        bundle = client.post("/fhir/r5/$dermoscopy-report?bundle=collection", content=entries[0], headers=JSON).content
    fhir = {"Content-Type": "application/fhir+json"}
    asks = [
        ("/fhir/r4/$dermoscopy-report", JSON, None),
        ("/fhir/r5/$dermoscopy-report", {**JSON, "Accept": "application/fhir+xml"}, None),
        ("/fhir/r4/$dermoscopy-check", JSON, None),
        ("/fhir/r4b/$dermoscopy-letter", {**JSON, "Accept": "text/html"}, None),
        ("/fhir/r4/$dermoscopy-letter?kind=patient", {**JSON, "Accept": "application/pdf"}, None),
        ("/fhir/r5/$dermoscopy-read", fhir, bundle),
        ("/fhir/r4/$dermoscopy-check", JSON, b'{"broken'),
        ("/fhir/r4/$dermoscopy-check", {"Content-Type": "text/csv"}, b"a,b"),
    ]
    statuses: Counter[int] = Counter()
    times: list[float] = []

    async def one(client: httpx2.AsyncClient, number: int) -> None:
        path, headers, body = asks[number % len(asks)]
        start = time.perf_counter()
        answer = await client.post(path, content=body or entries[number % len(entries)], headers=headers)
        times.append(time.perf_counter() - start)
        statuses[answer.status_code] += 1

    async def run() -> None:
        number, end, told = 0, time.monotonic() + minutes * 60, time.monotonic()
        async with httpx2.AsyncClient(base_url=base, timeout=60) as client:
            while time.monotonic() < end:
                # A burst every so often: more at once than there are places.
                burst = 30 if number % 600 < rate else 1
                await asyncio.gather(*(one(client, number + more) for more in range(burst)))
                number += burst
                await asyncio.sleep(1 / rate)
                if time.monotonic() - told >= 60 or number <= burst:
                    told = time.monotonic()
                    left = round((end - told) / 60, 1)
                    told_now = {"minutes_left": left, "asked": number, "KiB": memory(process), "files": files(process)}
                    print(json.dumps(told_now), flush=True)

    asyncio.run(run())
    cuts = statistics.quantiles(times, n=100)
    print(
        f"statuses {dict(statuses)}; ms: median {cuts[49] * 1e3:.1f} p95 {cuts[94] * 1e3:.1f} p99 {cuts[98] * 1e3:.1f}"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--soak", type=float, metavar="MINUTES")
    parser.add_argument("--rate", type=float, default=5, help="requests a second of the soak")
    parser.add_argument("--seconds", type=float, default=5, help="of each row of the ratios")
    options = parser.parse_args()
    if options.soak is None:
        ratios(options.seconds)
        return
    with served(door()) as (base, process):
        soaked(base, process, options.soak, options.rate)


if __name__ == "__main__":
    main()
