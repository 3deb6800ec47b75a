"""The same partitions, given to an engine: each does one whole partition as one task, and sends back its counts."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import Final

from bulk.partitions import Partition, do
from bulk.work import Counts, Job

Done = tuple[int, Counts]


def tasks(job: Job, source: Path, output: Path, parts: Iterable[Partition]) -> Iterator[Done]:
    """Do the partitions of a task; its arguments and results are all that goes between processes."""
    for part in parts:
        yield part.number, do(job, source, output, part)


def with_dask(job: Job, source: Path, output: Path, parts: list[Partition], workers: int) -> list[Done]:
    """Do it with Dask's processes on this machine; with a ``distributed.Client`` the same goes over many machines."""
    import dask.bag  # noqa: PLC0415 - only who asks for it has it

    # By default a bag puts a hundred items into one partition: then a few processes would do all the work.
    bag = dask.bag.from_sequence(parts, partition_size=1)  # type: ignore[no-untyped-call]
    work = bag.map_partitions(lambda some: list(tasks(job, source, output, some)))
    found: list[Done] = work.compute(scheduler="processes", num_workers=workers)
    return found


def with_spark(job: Job, source: Path, output: Path, parts: list[Partition], workers: int) -> list[Done]:
    """Do it with Spark: on this machine, or where ``spark-submit --master`` says."""
    # Spark starts its workers with whatever `python3` is, unless it is told; on a cluster, where the environment lies.
    os.environ.setdefault("PYSPARK_PYTHON", sys.executable)
    from pyspark.sql import SparkSession  # noqa: PLC0415 - only who asks for it has it

    builder = SparkSession.builder.appName("dermreport")
    with builder.master(f"local[{workers}]").config("spark.ui.enabled", "false").getOrCreate() as session:
        # One slice each: as many tasks as partitions, each of which can be tried again alone.
        slices = session.sparkContext.parallelize(parts, len(parts))
        found: list[Done] = slices.mapPartitions(partial(tasks, job, source, output)).collect()
        return found


ENGINES: Final = MappingProxyType[str, Callable[[Job, Path, Path, list[Partition], int], list[Done]]](
    {"dask": with_dask, "spark": with_spark}
)
