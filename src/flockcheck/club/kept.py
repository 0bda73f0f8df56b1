"""Reports that are kept, so that a setup which nobody changed is not checked again.

One file in the user's cache folder holds the reports of one kind of run: the same rules, measures,
club settings, options and program. In it they go by the setup's bytes alone, without a path. Each
stands under a sum of its own, so that whatever is spoiled, cut short or somebody else's garbage
counts as absent; nothing in it is ever run. A report that can't be kept is no trouble.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
from collections.abc import Callable
from typing import Any

from flockcheck.rulebook.book import new_hash

# The most that one file holds, and all of them together.
MOST_BYTES = 64_000_000
MOST_IN_ALL = 192_000_000
FOLDER = "reports"
ENDING = ".kept"
# So much is gathered before it is written.
_BATCH = 256_000
_BLOCK = 1 << 20
_KEY, _SUM = 16, 8
# A record begins with its key, its sum and its length.
_HEAD = re.compile(rb"\n@([0-9a-f]{32}) ([0-9a-f]{16}) ([0-9]{1,9})\n")
_LONGEST_HEAD = 3 + 2 * (_KEY + _SUM) + 2 + 9


class Kept:
    """The kept reports of one kind of run; `kind` is a name that no other kind has.

    `still` is asked before anything is written: whether the run is of this kind to that moment, or
    something that its reports rest on was changed meanwhile, and nothing is to be kept. Nothing
    here raises OSError: what can't be read is absent, and what can't be written is lost.
    """

    def __init__(self, folder: str, kind: str, still: Callable[[], bool] = lambda: True) -> None:
        self.folder = folder
        self.path = os.path.join(folder, kind + ENDING)
        self._file = _opened(self.path)
        self._places: dict[bytes, tuple[bytes, int, int]] = {}
        self._used: set[bytes] = set()
        self._batch: list[bytes] = []
        self._waiting = 0
        self._still = still
        self._asked = False
        self._lost = False
        self._wrote = False
        if self._file >= 0:
            with contextlib.suppress(OSError):
                self._look_through()

    def get(self, data: bytes) -> bytes | None:
        """What is kept for a setup's bytes; None where there is nothing, or nothing whole."""
        key = _key(data)
        place = self._places.get(key)
        if place is None:
            return None
        total, start, length = place
        found = _read(self._file, start, length)
        if len(found) != length or _sum(key, found) != total:
            del self._places[key]
            return None
        self._used.add(key)
        return found

    def put(self, data: bytes, found: bytes) -> None:
        """Keep something for a setup's bytes."""
        if self._lost or len(found) > MOST_BYTES // 4:
            return
        key = _key(data)
        self._batch.append(b"\n@%b %b %d\n%b" % (key, _sum(key, found), len(found), found))
        self._waiting += len(found)
        if self._waiting > _BATCH:
            self._write()

    def refuse(self) -> None:
        """Keep nothing more: what comes may not be what the name says."""
        self._lost = True
        self._batch = []

    def close(self) -> None:
        """Write what waits, and see that not too much is kept."""
        self._write()
        with contextlib.suppress(OSError):
            if self._wrote and os.path.getsize(self.path) > MOST_BYTES:
                self._thin_out()
            if self._wrote:
                _drop_oldest(self.folder, self.path)
            elif self._used:
                # What is used is not the oldest.
                os.utime(self.path)
        if self._file >= 0:
            os.close(self._file)
            self._file = -1

    def _look_through(self) -> None:
        """Note where each record stands, without keeping any in memory."""
        before, at = b"", 0
        size = os.fstat(self._file).st_size
        while True:
            block = _read(self._file, at, _BLOCK)
            text = before + block
            start = at - len(before)
            for head in _HEAD.finditer(text):
                place, length = start + head.end(), int(head[3])
                if place + length <= size:
                    self._places[head[1]] = (head[2], place, length)
            if not block:
                return
            at += len(block)
            before = text[-_LONGEST_HEAD:]

    def _write(self) -> None:
        """Add what waits to the file in one piece, so that two runs don't mix theirs."""
        if self._batch and not self._asked:
            self._asked, self._lost = True, not self._still()
        if not self._batch or self._lost:
            return
        text = b"".join(self._batch)
        self._batch, self._waiting = [], 0
        try:
            os.makedirs(self.folder, mode=0o700, exist_ok=True)
            flags = os.O_WRONLY | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)
            handle = os.open(self.path, flags | getattr(os, "O_NOFOLLOW", 0), 0o600)
            try:
                written = os.write(handle, text)
            finally:
                os.close(handle)
            self._wrote = True
            self._lost = written < len(text)
        except OSError:
            self._lost = True

    def _thin_out(self) -> None:
        """Write the file anew with what this run used, then the newest, up to half of the most."""
        handle = _opened(self.path)
        if handle < 0:
            return
        if self._file >= 0:
            os.close(self._file)
        self._file, self._places = handle, {}
        self._look_through()
        newest = sorted(self._places, key=lambda key: -self._places[key][1])
        order = sorted(newest, key=lambda key: key not in self._used)
        part = f"{self.path}.{os.getpid()}.part"
        room = MOST_BYTES // 2
        try:
            with open(part, "xb") as file:
                for key in order:
                    total, start, length = self._places[key]
                    room -= length + _LONGEST_HEAD
                    if room < 0:
                        break
                    found = _read(self._file, start, length)
                    file.write(b"\n@%b %b %d\n%b" % (key, total, length, found))
            os.replace(part, self.path)
        except OSError:
            with contextlib.suppress(OSError):
                os.unlink(part)


def _opened(path: str) -> int:
    """A file of the user's own, opened to be read; -1 where there is none."""
    try:
        flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        handle = os.open(path, flags | getattr(os, "O_NOFOLLOW", 0))
    except OSError:
        return -1
    found = os.fstat(handle)
    if stat.S_ISREG(found.st_mode) and (not hasattr(os, "getuid") or found.st_uid == os.getuid()):
        return handle
    os.close(handle)
    return -1


def _read(handle: int, start: int, length: int) -> bytes:
    try:
        os.lseek(handle, start, os.SEEK_SET)
        return os.read(handle, length)
    except OSError:
        return b""


def _hex(digest: Any) -> bytes:
    return str(digest.hexdigest()).encode()


def _key(data: bytes) -> bytes:
    """What a setup's bytes go by."""
    digest = new_hash(_KEY)
    digest.update(data)
    return _hex(digest)


def _sum(key: bytes, found: bytes) -> bytes:
    """By what a record is known to be whole, and to be the one for its key."""
    digest = new_hash(_SUM)
    digest.update(key)
    digest.update(found)
    return _hex(digest)


def _drop_oldest(folder: str, own: str) -> None:
    """Remove the files that were not used for the longest, until what is left is not too much."""
    with os.scandir(folder) as entries:
        files = [
            (entry.stat(follow_symlinks=False), entry.path)
            for entry in entries
            if entry.is_file(follow_symlinks=False) and entry.name.endswith((ENDING, ".part"))
        ]
    total = sum(found.st_size for found, _ in files)
    for found, path in sorted(files, key=lambda one: one[0].st_mtime_ns):
        if total <= MOST_IN_ALL:
            return
        if path != own:
            with contextlib.suppress(OSError):
                os.unlink(path)
                total -= found.st_size
