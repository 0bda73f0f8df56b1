"""The pure check under a process pool and under a distributed engine, on two hundred setups.

`tests/bench/beyond.py` does the same with ten thousand.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import pytest
from distributed import Client, LocalCluster

from tests.bench.members import member
from tests.club.pool_cases import verdict

COUNT = 200


@pytest.fixture(scope="module")
def texts() -> list[str]:
    return [member(number) for number in range(COUNT)]


@pytest.fixture(scope="module")
def one_by_one(texts: list[str]) -> list[object]:
    return [verdict(text) for text in texts]


@pytest.fixture
def cluster() -> Iterator[Client]:
    with (
        LocalCluster(  # type: ignore[no-untyped-call]
            n_workers=2, threads_per_worker=2, processes=True, dashboard_address=None
        ) as local,
        Client(local) as client,  # type: ignore[no-untyped-call]
    ):
        yield client


def test_the_members_are_of_many_kinds(one_by_one: list[tuple[str, object, object]]) -> None:
    verdicts = [said for said, _, _ in one_by_one]
    assert {"ready", "ready until", "not ready", "cannot say", "unreadable"} == set(verdicts)
    assert verdicts.count("unreadable") < COUNT / 10


@pytest.mark.parametrize("method", ["spawn", "fork"])
def test_a_pool_of_processes_says_the_same(
    method: str, texts: list[str], one_by_one: list[object]
) -> None:
    with ProcessPoolExecutor(2, mp_context=get_context(method)) as pool:
        assert list(pool.map(verdict, texts, chunksize=20)) == one_by_one


def test_a_distributed_engine_says_the_same(
    cluster: Client, texts: list[str], one_by_one: list[object]
) -> None:
    assert cluster.gather(cluster.map(verdict, texts, pure=True)) == one_by_one
