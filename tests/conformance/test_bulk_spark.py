"""The example of a bulk job on Spark, which is some 450 MB: its output is that of one process, byte for byte."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from bulk.single import NAMES, single
from bulk.work import Job
from conformance import building
from hosts.bulk_lines import write

ROOT = Path(__file__).parent.parent.parent
SPARK = Path(__file__).parent / "spark"


@pytest.mark.parametrize("workers", ["1", "2"])
def test_spark_gives_what_one_process_gives(tmp_path: Path, workers: str) -> None:
    site = building.pip(SPARK)
    source, output = tmp_path / "in.ndjson", tmp_path / "spark"
    write(source, 200)
    whole = single(Job(), source, tmp_path / "single")
    paths = (ROOT, ROOT / "examples" / "hosts", site)
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(map(str, paths)),
        # It would listen, and look for a name, on other addresses of this machine.
        "SPARK_LOCAL_IP": "127.0.0.1",
    }
    options = ("--partition-bytes", "50000", "--workers", workers)
    done = subprocess.run(
        [sys.executable, "-m", "bulk", "spark", str(source), str(output), *options],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1, done.stderr
    assert json.loads(done.stdout)["bundles"] == whole.bundles > 0
    assert {name: (output / name).read_bytes() for name in NAMES} == {
        name: (tmp_path / "single" / name).read_bytes() for name in NAMES
    }
    assert len(list((output / "parts").glob("*.done.json"))) > 10
