"""Kept reports: whatever happens to the file, what is there is right or absent."""

from __future__ import annotations

import os
import random
import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from flockcheck.club import kept as store
from flockcheck.club.kept import Kept

SETUPS = [f"setup {number}".encode() for number in range(50)]


def answer(setup: bytes) -> bytes:
    """What is kept for a setup: of some length, with line ends and what looks like a record."""
    noise = random.Random(setup).randbytes(200)
    return b"of " + setup + b"\n@" + b"0" * 32 + b" " + b"0" * 16 + b" 5\n" + noise


def fill(folder: Path, kind: str = "one", setups: list[bytes] = SETUPS) -> Path:
    kept = Kept(str(folder), kind)
    for setup in setups:
        kept.put(setup, answer(setup))
    kept.close()
    return folder / f"{kind}.kept"


def hits(folder: Path, kind: str = "one") -> int:
    """How many of the setups have their answer; any other answer is a failure."""
    kept = Kept(str(folder), kind)
    found = 0
    for setup in SETUPS:
        got = kept.get(setup)
        assert got in (None, answer(setup))
        found += got is not None
    kept.close()
    return found


def test_what_is_kept_is_found_again_and_only_for_the_same_bytes_and_kind(tmp_path: Path) -> None:
    fill(tmp_path)
    assert hits(tmp_path) == len(SETUPS)
    assert hits(tmp_path, "another") == 0
    kept = Kept(str(tmp_path), "one")
    assert kept.get(b"setup 1 ") is None
    kept.close()


def test_only_its_owner_may_read_it_and_no_path_stands_in_it(tmp_path: Path) -> None:
    path = fill(tmp_path / "deep" / "er")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert str(tmp_path).encode() not in path.read_bytes()


def test_cut_short_anywhere_the_rest_is_whole(tmp_path: Path) -> None:
    path = fill(tmp_path)
    whole = path.read_bytes()
    luck = random.Random(1)
    for _ in range(40):
        path.write_bytes(whole[: luck.randrange(len(whole))])
        before = hits(tmp_path)
        assert before < len(SETUPS)
        # What is added after the cut is found, whatever the cut left open.
        fill(tmp_path)
        assert hits(tmp_path) == len(SETUPS)


def test_spoiled_bytes_cost_their_record_and_no_other(tmp_path: Path) -> None:
    path = fill(tmp_path)
    whole = path.read_bytes()
    luck = random.Random(2)
    for _ in range(60):
        spoiled = bytearray(whole)
        at = luck.randrange(len(spoiled))
        spoiled[at] ^= 1 << luck.randrange(8)
        path.write_bytes(spoiled)
        assert hits(tmp_path) >= len(SETUPS) - 1
        piece = luck.randbytes(luck.randrange(500))
        path.write_bytes(whole[:at] + piece + whole[at:])
        assert hits(tmp_path) >= len(SETUPS) - 1


@pytest.mark.parametrize(
    "garbage",
    [
        b"", b"\n", b"\n@", b"\0" * 10_000, b"\n@" + b"a" * 32 + b" " + b"b" * 16 + b" 999999999\n",
        b"@" * 3_000_000, b"\n@" * 100_000, os.urandom(100_000),
        b"import os; os.system('touch ran')\n", b"\x80\x04\x95cposix\nsystem\n",
    ],
)  # fmt: skip
def test_garbage_is_nothing_and_room_for_more(tmp_path: Path, garbage: bytes) -> None:
    (tmp_path / "one.kept").write_bytes(garbage)
    assert hits(tmp_path) == 0
    fill(tmp_path)
    assert hits(tmp_path) == len(SETUPS)
    assert not (tmp_path / "ran").exists()


def test_records_of_others_under_a_known_key_are_not_believed(tmp_path: Path) -> None:
    """A sum covers the key too."""
    path = fill(tmp_path, setups=SETUPS[:2])
    first, second = (b"@" + part for part in path.read_bytes().split(b"\n@")[1::2])
    swapped = first[:33] + second[33:]
    path.write_bytes(b"\n" + swapped)
    assert hits(tmp_path) == 0


@pytest.mark.skipif(os.name != "posix", reason="links of another kind here")
def test_a_link_a_pipe_or_a_folder_in_its_place_is_left_alone(tmp_path: Path) -> None:
    victim = tmp_path / "victim"
    victim.write_text("mine")
    (tmp_path / "one.kept").symlink_to(victim)
    fill(tmp_path)
    assert victim.read_text() == "mine"
    (tmp_path / "one.kept").unlink()
    os.mkfifo(tmp_path / "one.kept")
    assert hits(tmp_path) == 0
    (tmp_path / "one.kept").unlink()
    (tmp_path / "one.kept").mkdir()
    fill(tmp_path)
    assert hits(tmp_path) == 0


@pytest.mark.parametrize("code", [28, 30, 13, 5, 122])
def test_a_full_disk_or_one_that_can_not_be_written_is_no_trouble(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    fill(tmp_path, setups=SETUPS[:10])

    def refuse(*args: object, **options: object) -> int:
        raise OSError(code, os.strerror(code))

    with monkeypatch.context() as full:
        full.setattr(os, "write", refuse)
        fill(tmp_path, setups=SETUPS[10:])
    assert hits(tmp_path) == 10
    with monkeypatch.context() as full:
        full.setattr(os, "makedirs", refuse)
        fill(tmp_path / "elsewhere")
    assert not (tmp_path / "elsewhere").exists()


def test_a_disk_that_fills_up_within_a_write_costs_the_last_record(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: write(handle, data[: len(data) // 2]))
    fill(tmp_path)
    monkeypatch.undo()
    assert 10 < hits(tmp_path) < len(SETUPS)
    fill(tmp_path)
    assert hits(tmp_path) == len(SETUPS)


def test_a_folder_that_is_a_file_is_no_trouble(tmp_path: Path) -> None:
    (tmp_path / "reports").write_text("x")
    fill(tmp_path / "reports")
    assert hits(tmp_path / "reports") == 0


def test_two_that_write_at_once_lose_nothing(tmp_path: Path) -> None:
    """Each of four writes a quarter, in many small pieces."""

    def part(start: int) -> None:
        for setup in SETUPS[start::4]:
            fill(tmp_path, setups=[setup])

    threads = [threading.Thread(target=part, args=(start,)) for start in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert hits(tmp_path) == len(SETUPS)


def test_a_writer_killed_at_any_moment_leaves_only_whole_records(tmp_path: Path) -> None:
    code = (
        "import sys; from flockcheck.club import kept; from tests.club.test_kept import *\n"
        "kept._BATCH = 100\n"
        "print('go', flush=True)\n"
        "while True: fill(Path(sys.argv[1]))\n"
    )
    root = Path(__file__).parents[2]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(root / "src"), str(root)])}
    luck = random.Random(3)
    for _ in range(5):
        writer = subprocess.Popen(
            [sys.executable, "-c", code, str(tmp_path)], env=env, stdout=subprocess.PIPE
        )
        assert writer.stdout is not None
        writer.stdout.readline()
        threading.Event().wait(luck.random() / 20)
        writer.kill()
        writer.communicate()
        hits(tmp_path)
    fill(tmp_path)
    assert hits(tmp_path) == len(SETUPS)


def test_a_file_grown_too_big_keeps_what_is_used_and_the_newest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = fill(tmp_path)
    size = path.stat().st_size
    monkeypatch.setattr(store, "MOST_BYTES", size)
    kept = Kept(str(tmp_path), "one")
    assert kept.get(SETUPS[0]) == answer(SETUPS[0])
    kept.put(b"new", answer(b"new"))
    kept.close()
    assert path.stat().st_size <= size // 2 + 100
    kept = Kept(str(tmp_path), "one")
    there = [setup for setup in (*SETUPS, b"new") if kept.get(setup)]
    kept.close()
    assert there[0] == SETUPS[0]
    assert there[-1] == b"new"
    assert 10 < len(there) < 30
    assert SETUPS[1] not in there
    assert [one.name for one in tmp_path.iterdir()] == ["one.kept"]


def test_of_many_files_the_ones_used_longest_ago_go(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sizes = {kind: fill(tmp_path, kind).stat().st_size for kind in ("a", "b", "c")}
    for age, kind in enumerate(("b", "c", "a")):
        os.utime(tmp_path / f"{kind}.kept", (1000 - age, 1000 - age))
    (tmp_path / "other.txt").write_text("not ours")
    # What is used is young again.
    assert hits(tmp_path, "a") == len(SETUPS)
    monkeypatch.setattr(store, "MOST_IN_ALL", sum(sizes.values()))
    fill(tmp_path, "d")
    assert sorted(one.name for one in tmp_path.iterdir()) == [
        "a.kept", "b.kept", "d.kept", "other.txt",
    ]  # fmt: skip


def test_nothing_is_kept_where_what_reports_rest_on_changed_meanwhile(tmp_path: Path) -> None:
    """It is asked once, when everything that is loaded was loaded."""
    asked: list[bool] = []
    for answered in (False, True):

        def still(answered: bool = answered) -> bool:
            asked.append(answered)
            return answered

        kept = Kept(str(tmp_path), "one", still)
        assert asked == [False][:answered]
        for setup in SETUPS:
            kept.put(setup, answer(setup))
        kept.close()
        assert hits(tmp_path) == (len(SETUPS) if answered else 0)
    assert asked == [False, True]


def test_what_is_too_big_to_keep_is_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "MOST_BYTES", 100)
    fill(tmp_path)
    assert hits(tmp_path) == 0
    assert list(tmp_path.iterdir()) == []
