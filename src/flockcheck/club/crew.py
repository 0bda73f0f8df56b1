"""Processes that check setups side by side, one small bundle after another.

Each has a pipe of its own, so that one that dies takes nothing along but its bundle, and is known
by it; and one whose parent is gone reads the end of its pipe and goes as well.
"""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import signal
import sys
from collections import deque
from multiprocessing.connection import Connection, wait
from typing import Any

from flockcheck.club.record import Record, packed
from flockcheck.club.work import Work, mistake_words
from flockcheck.text.records import NamedTuple

# A setup's bytes and its name.
Task = tuple[bytes, str]
# After so many have died, something is wrong that no new one will mend.
MOST_DEATHS = 20


class Checked(NamedTuple):
    """A report as it comes from another process, and the measures and rules that failed on it.

    Without a record, `mistake` says what went wrong in the program itself.
    """

    record: Record | None
    failures: tuple[str, ...] = ()
    mistake: str = ""


class _Member(NamedTuple):
    process: Any
    pipe: Connection


class Crew:
    """Some processes; what is handed in as a bundle is handed out under the same number."""

    def __init__(self, size: int, work: Work, method: str = "") -> None:
        self._context: Any = multiprocessing.get_context(method or _method())
        self._forks = self._context.get_start_method() == "fork"
        self._work = work if self._forks else work.fresh()
        self._waiting: deque[tuple[int, list[Task]]] = deque()
        self._busy: dict[Connection, tuple[int, _Member]] = {}
        self._idle: list[_Member] = []
        self._deaths = 0
        # Loaded before any fork, so that all have it; and what is wrong with it shows here.
        _ = work.rulebook
        for _ in range(size):
            self._hire()

    @property
    def pending(self) -> int:
        """How many bundles nobody has begun on."""
        return len(self._waiting)

    def hand_in(self, number: int, tasks: list[Task]) -> None:
        """Have a bundle checked."""
        self._waiting.append((number, tasks))
        self._assign()

    def hand_out(self) -> list[tuple[int, list[Checked] | None]]:
        """Bundles that are done, at least one; None for one whose process died over it."""
        done: list[tuple[int, list[Checked] | None]] = []
        if not self._busy:
            # Nobody is left to do them.
            done = [(number, None) for number, _ in self._waiting]
            self._waiting.clear()
            return done
        for pipe in wait(list(self._busy)):
            assert isinstance(pipe, Connection)
            number, member = self._busy.pop(pipe)
            try:
                done.append((number, pipe.recv()))
                self._idle.append(member)
            except (EOFError, OSError):
                done.append((number, None))
                self._bury(member)
        self._assign()
        return done

    def close(self) -> None:
        """Send everyone home; nothing is waited for."""
        members = [*self._idle, *(member for _, member in self._busy.values())]
        for member in members:
            with contextlib.suppress(OSError):
                member.pipe.close()
            member.process.terminate()
        for member in members:
            member.process.join()
        self._idle, self._busy = [], {}
        self._waiting.clear()

    def _assign(self) -> None:
        while self._waiting and self._idle:
            member = self._idle.pop()
            number, tasks = self._waiting.popleft()
            try:
                member.pipe.send(tasks)
            except OSError:
                # It died while it had nothing to do; the bundle is not to blame.
                self._waiting.appendleft((number, tasks))
                self._bury(member)
                continue
            self._busy[member.pipe] = (number, member)

    def _bury(self, member: _Member) -> None:
        member.pipe.close()
        member.process.join(1)
        self._deaths += 1
        if self._deaths < MOST_DEATHS:
            self._hire()

    def _hire(self) -> None:
        ours, theirs = self._context.Pipe()
        others = [ours]
        if self._forks:
            # What a fork would inherit: pipes of the others, and text that is not yet written.
            others += [*self._busy, *(member.pipe for member in self._idle)]
            for stream in (sys.stdout, sys.stderr):
                with contextlib.suppress(OSError, ValueError, AttributeError):
                    stream.flush()
        inherited = others if self._forks else []
        process = self._context.Process(
            target=_serve, args=(theirs, inherited, self._work), daemon=True
        )
        process.start()
        theirs.close()
        self._idle.append(_Member(process, ours))


def _method() -> str:
    """Forking is quick where it is safe; elsewhere each process starts from nothing."""
    forks = "fork" in multiprocessing.get_all_start_methods() and sys.platform != "darwin"
    return "fork" if forks else "spawn"


def _serve(pipe: Connection, inherited: list[Connection], work: Work) -> None:
    """Check bundles until the pipe ends."""
    # What was there before the fork is never searched for circles; what each check leaves is, often
    # enough that a process needs no more for its thousandth setup than for its tenth.
    gc.freeze()
    gc.set_threshold(50_000, 20, 20)
    # An interrupt is for the parent, which then closes the pipe.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for other in inherited:
        other.close()
    with contextlib.suppress(EOFError, OSError):
        while True:
            tasks: list[Task] = pipe.recv()
            pipe.send([_checked(work, *task) for task in tasks])


def _checked(work: Work, data: bytes, file: str) -> Checked:
    try:
        report = work.report(data, file)
        return Checked(packed(report), report.failures)
    except Exception as error:  # one setup must not end the others' check
        return Checked(None, (), mistake_words(error))
