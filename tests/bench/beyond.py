"""Thousands of setups through a distributed engine, held against one process: the same answers?

    python tests/bench/beyond.py [--count 10000] [--workers 2]

Run it from the project's folder with the environment in which flockcheck and its tests' needs are
installed. It prints whether every verdict, last good day and count came out the same, and what the
cluster took beside one process, as a ratio of one run.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections import Counter
from importlib import import_module
from pathlib import Path
from typing import Any

from distributed import Client, LocalCluster

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from tests.bench.members import member
from tests.club.worker_cases import put_worker


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--workers", type=int, default=2)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        put_worker(Path(folder))
        sys.path.insert(0, folder)
        os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, sys.path))
        return compared(import_module("judged").judged, options)


def compared(judged: Any, options: argparse.Namespace) -> int:
    texts = [member(number) for number in range(options.count)]
    begun = time.perf_counter()
    alone = [judged(text) for text in texts]
    one = time.perf_counter() - begun
    with (
        LocalCluster(  # type: ignore[no-untyped-call]
            n_workers=options.workers, threads_per_worker=1, dashboard_address=None
        ) as cluster,
        Client(cluster) as client,  # type: ignore[no-untyped-call]
    ):
        begun = time.perf_counter()
        spread = client.gather(client.map(judged, texts, batch_size=500))
        many = time.perf_counter() - begun
    other = sum(here != there for here, there in zip(alone, spread, strict=True))
    said = Counter(answer["verdict"] for answer in alone)
    print(", ".join(f"{count} {what}" for what, count in sorted(said.items())))
    print(f"{other} of {options.count} came out otherwise on {options.workers} workers")
    print(f"one process takes {one / many:.2f} times as long as the cluster")
    return 1 if other else 0


if __name__ == "__main__":
    sys.exit(main())
