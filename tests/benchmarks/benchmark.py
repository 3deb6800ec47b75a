"""Speed and memory, as ratios within one run: a script, never a timed test.

    python tests/benchmarks/benchmark.py [--stream 100000]

Each row compares two things measured in turn in this run; the aim stands beside it. The machine's own speed cancels
out, what else runs on it doesn't: run it on a quiet one.
"""

from __future__ import annotations

import argparse
import itertools
import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import dermreport
from dermreport.examination.reader import write_json

ROOT = Path(__file__).parent.parent.parent
EXAMPLE = ROOT / "examples" / "usual.json"
ROUNDS = 15


def best(run: Callable[[], object], seconds: float = 0.4) -> float:
    """Return the shortest time of one call in seconds, over as many calls as fit."""
    shortest = float("inf")
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        start = time.perf_counter()
        run()
        shortest = min(shortest, time.perf_counter() - start)
    return shortest


def whole_process(code: str, rounds: int = ROUNDS) -> float:
    """Return the median time of a fresh interpreter that runs this code, byte code being cached."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, "-c", code]
    times = []
    for _ in range(rounds + 1):
        start = time.perf_counter()
        subprocess.run(command, check=True, cwd=ROOT, env=environment, stdout=subprocess.DEVNULL)
        times.append(time.perf_counter() - start)
    return statistics.median(times[1:])


def whole_path(text: bytes, release: str = "R4") -> str:
    examination = dermreport.Examination.from_json(text)
    return dermreport.to_fhir(dermreport.review(examination), release=release).bundle("transaction").to_json()


def whole_path_xml(text: bytes) -> str:
    examination = dermreport.Examination.from_json(text)
    return dermreport.to_fhir(dermreport.review(examination)).bundle("transaction").to_xml()


def row(what: str, ours: float, other: float, aim: str, *, ours_first: bool = True) -> None:
    ratio = other / ours if ours_first else ours / other
    print(f"{what:<58} {ours * 1e3:>9.3f} {other * 1e3:>9.3f} {ratio:>7.2f}  {aim}")


def paths() -> None:
    from fhir.resources.R4B.bundle import Bundle

    text = EXAMPLE.read_bytes()
    finished = dermreport.to_fhir(dermreport.review(dermreport.Examination.from_json(text))).bundle("transaction")
    bundle = finished.to_dict()
    loaded = json.loads(finished.to_json())
    json_path = best(lambda: whole_path(text))
    validating = best(lambda: Bundle.model_validate(loaded).model_dump_json(), 2)
    row("whole path, fhir.resources validating and dumping", json_path, validating, "at least 40 times faster")
    floor = best(lambda: (dermreport.Examination.from_json(text), write_json(bundle)))
    row("whole path, floor (exact reading, dicts to JSON text)", json_path, floor, "aim 5, at most 7", ours_first=False)
    row("XML path, JSON path", best(lambda: whole_path_xml(text)), json_path, "at most 4", ours_first=False)
    print(f"  the bundle: {len(bundle['entry'])} entries, {len(finished.to_json())} characters")


def reading() -> None:
    """Read a bundle back, beside what ``fhir.resources`` takes to validate it; then how that grows with its size."""
    from fhir.resources.R4B.bundle import Bundle

    text = whole_path(EXAMPLE.read_bytes())
    loaded = json.loads(text)
    theirs = best(lambda: Bundle.model_validate(loaded), 2)
    ours = best(lambda: dermreport.from_fhir(text))
    row("reading a bundle, fhir.resources validating it", ours, theirs, "at least 8")
    few, many = crowded(250), crowded(2_500)
    row(
        "reading 2,500 findings, ten times 250 findings",
        best(lambda: dermreport.from_fhir(many), 1),
        10 * best(lambda: dermreport.from_fhir(few), 1),
        "about 1: linear",
        ours_first=False,
    )


def crowded(count: int) -> str:
    """Return a bundle with so many findings, of one structure over and over, as nobody honest sends."""
    bundle = json.loads(whole_path(EXAMPLE.read_bytes()))
    report = next(one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == "DiagnosticReport")
    finding = next(
        one for one in bundle["entry"] if "/finding/" in json.dumps(one["resource"].get("identifier", "")).lower()
    )
    for number in range(count):
        copy = json.loads(json.dumps(finding))
        copy["fullUrl"] = f"urn:uuid:00000000-0000-4000-8000-{number:012d}"
        copy["resource"]["identifier"][0]["value"] += f"/{number}"
        bundle["entry"].append(copy)
        report["result"].append({"reference": copy["fullUrl"]})
    return json.dumps(bundle)


def cold_starts() -> None:
    model = "import pydantic\nclass One(pydantic.BaseModel):\n    name: str\n"
    row(
        "import dermreport, import pydantic and define one model",
        whole_process("import dermreport"),
        whole_process(model),
        "at most 1.5",
        ours_first=False,
    )
    ours = (
        "import dermreport, pathlib\n"
        f"exam = dermreport.Examination.from_json(pathlib.Path({str(EXAMPLE)!r}).read_bytes())\n"
        "print(dermreport.to_fhir(dermreport.review(exam)).bundle('transaction').to_json())\n"
    )
    finished = whole_path(EXAMPLE.read_bytes())
    theirs = (
        "import json, sys\nfrom fhir.resources.R4B.bundle import Bundle\n"
        f"Bundle.model_validate(json.loads({finished!r}))\n"
    )
    row(
        "first report from a cold start, fhir.resources' first validation",
        whole_process(ours),
        whole_process(theirs, 5),
        "under 0.5",
        ours_first=False,
    )


def letters() -> None:
    """Write the usual letter as text, and as PDF, no two of them alike, for typst remembers what it set."""
    examination = dermreport.Examination.from_json(EXAMPLE.read_bytes())
    review = dermreport.review(examination)
    report = best(lambda: dermreport.to_fhir(review).bundle("transaction").to_json())
    text = best(lambda: dermreport.letter(review))
    row("letter as text, report as JSON", text, report, "at most 2", ours_first=False)
    numbers = itertools.count()

    def another() -> float:
        entry = json.loads(EXAMPLE.read_bytes())
        entry["identifier"]["value"] = f"2026-{next(numbers)}"
        other = dermreport.review(dermreport.Examination.model_validate(entry))
        recipient = dermreport.Party(name=f"Clinic {next(numbers)}")
        start = time.perf_counter()
        dermreport.letter(other, format="pdf", settings=dermreport.LetterSettings(recipient=recipient))
        return time.perf_counter() - start

    first, *others = (another() for _ in range(ROUNDS))
    row("letter as PDF after the first, the first", min(others), first, "under 50 ms")


def stream(count: int) -> None:
    """Stream this many examinations as lines through the command line and watch its memory."""
    line = json.dumps(json.loads(EXAMPLE.read_text(encoding="utf-8"))).encode() + b"\n"
    command = [sys.executable, "-m", "dermreport.cli", "report", "--lines"]
    process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT)
    assert process.stdin is not None
    assert process.stdout is not None
    status = Path(f"/proc/{process.pid}/status")
    start = time.perf_counter()
    memory = {}
    for number in range(1, count + 1):
        process.stdin.write(line)
        process.stdin.flush()
        process.stdout.readline()
        if number in (count // 10, count):
            resident = next(row for row in status.read_text().splitlines() if row.startswith("VmRSS"))
            memory[number] = int(resident.split()[1]) / 1024
    process.stdin.close()
    process.wait()
    seconds = time.perf_counter() - start
    early, late = memory.values()
    print(
        f"{count} examinations as lines: {early:.1f} MiB after a tenth, {late:.1f} MiB at the end, {late / early:.3f}"
    )
    print(f"  {count / seconds:.0f} a second, one process")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--stream", type=int, default=100_000, help="examinations to stream; 0: none")
    options = parser.parse_args()
    print(f"{'what':<58} {'ours ms':>9} {'other ms':>9} {'ratio':>7}  aim")
    paths()
    reading()
    cold_starts()
    letters()
    if options.stream:
        stream(options.stream)


if __name__ == "__main__":
    main()
