"""The pure check under a process pool and under a distributed engine, on two hundred setups.

The worker is the one that the page docs/many-machines.md shows. `tests/bench/beyond.py` does the
same with ten thousand.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from importlib import import_module
from multiprocessing import get_context
from typing import Any

import pytest
from distributed import Client, LocalCluster, wait

from tests.bench.members import member
from tests.club.worker_cases import put_worker

COUNT = 200
MOST_SECONDS = 240
Worker = Callable[[str], dict[str, Any]]


@pytest.fixture(scope="module")
def worker(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Worker]:
    folder = tmp_path_factory.mktemp("worker")
    put_worker(folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(folder)
        # For the processes of the cluster, which are started afresh.
        path = [str(folder), *sys.path]
        patch.setenv("PYTHONPATH", os.pathsep.join(filter(None, path)))
        yield import_module("judged").judged
        del sys.modules["judged"]


@pytest.fixture(scope="module")
def texts() -> list[str]:
    return [member(number) for number in range(COUNT)]


@pytest.fixture(scope="module")
def one_by_one(texts: list[str], worker: Worker) -> list[dict[str, Any]]:
    return [worker(text) for text in texts]


@pytest.fixture
def cluster(worker: Worker) -> Iterator[Client]:
    with (
        LocalCluster(  # type: ignore[no-untyped-call]
            n_workers=2, threads_per_worker=2, processes=True, dashboard_address=None
        ) as local,
        Client(local) as client,  # type: ignore[no-untyped-call]
    ):
        yield client


def test_the_members_are_of_many_kinds(one_by_one: list[dict[str, Any]]) -> None:
    verdicts = [answer["verdict"] for answer in one_by_one]
    assert {"ready", "ready until", "not ready", "cannot say", "unreadable"} == set(verdicts)
    assert verdicts.count("unreadable") < COUNT / 10


@pytest.mark.parametrize("method", ["spawn", "fork"])
def test_a_pool_of_processes_says_the_same(
    method: str, texts: list[str], worker: Worker, one_by_one: list[dict[str, Any]]
) -> None:
    if method == "fork" and not hasattr(os, "fork"):
        pytest.skip("processes can't be forked here")
    with ProcessPoolExecutor(2, mp_context=get_context(method)) as pool:
        assert list(pool.map(worker, texts, chunksize=20)) == one_by_one


def test_a_distributed_engine_says_the_same(
    cluster: Client, texts: list[str], worker: Worker, one_by_one: list[dict[str, Any]]
) -> None:
    asked = cluster.map(worker, texts, pure=True)
    # A worker that is gone is not waited for without end.
    wait(asked, timeout=MOST_SECONDS)  # type: ignore[no-untyped-call]
    assert cluster.gather(asked) == one_by_one  # type: ignore[no-untyped-call]
