"""The HTTP door against its own description: calls made up from OpenAPI by schemathesis, good ones and bad ones.

Each answer must have a status, headers, a media type and a body that the description knows, and never be a 500.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import GenerationMode
from schemathesis.specs.openapi.checks import negative_data_rejection, positive_data_acceptance

from dermreport.http.routes import OPENAPI, ROUTES

ROOT = Path(__file__).parent.parent
FEW = settings(
    max_examples=40,
    derandomize=True,
    database=None,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
)
#: A resource of FHIR has no schema here, and of a record that isn't as described what can be held is held: so what the
#: description allows may be refused, and what it doesn't allow be taken.
NOT_HELD_TO = [positive_data_acceptance, negative_data_rejection]


def takes_anything(operation: Any) -> bool:
    return bool(operation.body) or any(operation.iter_parameters())


@contextmanager
def served(log: list[dict[str, Any]]) -> Iterator[str]:
    command = [sys.executable, "-m", "dermreport", "serve", "--port", "0", "--workers", "1"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, cwd=ROOT)
    assert process.stderr is not None
    first = json.loads(next(line for line in process.stderr if '"listening"' in line))
    reader = threading.Thread(target=lambda: log.extend(map(json.loads, process.stderr or ())))
    reader.start()
    try:
        yield f"http://127.0.0.1:{first['port']}"
    finally:
        process.terminate()
        process.wait(30)
        reader.join()
        process.stderr.close()


@pytest.mark.parametrize("mode", list(GenerationMode))
def test_the_door_does_what_its_description_says(mode: GenerationMode) -> None:
    log: list[dict[str, Any]] = []
    asked: Counter[str] = Counter()

    def called(case: Any) -> None:
        asked[case.operation.path] += 1
        case.call_and_validate(timeout=60, excluded_checks=NOT_HELD_TO)

    with served(log) as base:
        schema = schemathesis.openapi.from_url(f"{base}/openapi.json")
        for found in schema.get_all_operations():
            if mode is GenerationMode.NEGATIVE and not takes_anything(found.ok()):
                asked[found.ok().path] += 0
                continue
            FEW(given(case=found.ok().as_strategy(generation_mode=mode))(called))()
    # The description itself is where it starts.
    assert asked.keys() | {OPENAPI.path} == {one.path for one in ROUTES}
    requests = [one for one in log if one.get("event") == "request"]
    statuses = Counter(one["status"] for one in requests)
    assert 500 not in statuses
    # It got through, and wasn't only refused.
    assert statuses[200] > 50 if mode is GenerationMode.POSITIVE else statuses[200] > 0
    assert sum(asked.values()) > 100
