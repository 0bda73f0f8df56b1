"""A run over many setups: reports in the order of the files, as many at a time as there are cores.

What is read is handed on at once, so a run needs no more memory for ten thousand setups than for a
hundred. A setup that can't be read, or whose check ends its process, is told, and the run goes on.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from flockcheck.checkup.model import Problem, Report
from flockcheck.club.jobs import Job, read_job
from flockcheck.club.work import Work, mistake_words
from flockcheck.files import os_words
from flockcheck.reports.standing import Standing, not_read, standing_of

# Records are imported where there is one: a run of a few setups keeps and sends none.
if TYPE_CHECKING:
    from flockcheck.club.crew import Checked, Crew
    from flockcheck.club.kept import Kept
    from flockcheck.club.record import Record

# More processes than this wait for the one that hands out.
MOST_CORES = 16
# So many setups are checked here first; for so few more, starting processes would take longer.
FEW = 10
# Setups in a bundle, and bundles that wait for each process.
BUNDLE = 4
AHEAD = 2
# Reports that wait for an earlier one.
WINDOW = 400
_DIED = "the check of it ended its process, most likely for want of memory. Please report it"


class Outcome:
    """What came of one setup: a report, or why its file could not be read."""

    def __init__(self, job: Job, club: str) -> None:
        self.job = job
        self.club = club
        self.problem: Problem | None = None
        self.failures: tuple[str, ...] = ()
        self._report: Report | None = None
        self._record: Record | None = None
        self._again: Callable[[], Report] | None = None

    @property
    def file(self) -> str:
        """The setup's name in reports."""
        return self.job.file

    @property
    def done(self) -> bool:
        """Whether it is known."""
        return bool(self.problem or self._report or self._record)

    def spoil(self, why: str) -> None:
        """It could not be read or checked."""
        about = "standard input" if self.job.path == "-" else self.job.file
        self.problem = Problem(about, why)

    def settle(self, report: Report) -> None:
        """It was checked here."""
        self._report, self.failures = report, report.failures

    def take(self, record: Record, failures: tuple[str, ...], again: Callable[[], Report]) -> bool:
        """It was checked before or elsewhere; False where that is no use."""
        from flockcheck.club.record import Unfit, standing_in

        try:
            self.__dict__["standing"] = standing_in(record, self.job.file)
        except Unfit:
            return False
        self._record, self.failures, self._again = record, failures, again
        return True

    @cached_property
    def standing(self) -> Standing:
        """How the setup stands."""
        if self.problem is not None:
            return not_read(self.job.file, self.problem.says)
        return standing_of(self.report)

    @property
    def report(self) -> Report:
        """The whole report, where the file could be read."""
        if self._report is None:
            assert self._record is not None and self._again is not None
            from flockcheck.club.record import Unfit, report_in

            try:
                self._report = report_in(self._record, self.job.file, self.club)
            except Unfit:
                self._report = self._again()
        return self._report

    @property
    def line(self) -> str:
        """The line of the jsonl report, without its end."""
        if self._report is None and self._record is not None:
            from flockcheck.club.record import Unfit, line_in

            try:
                return line_in(self._record, self.job.file, self.club)
            except Unfit:
                pass
        from flockcheck.reports.jsonform import setup_line

        return setup_line(self.report)


def cores() -> int:
    """How many cores this run may use."""
    try:
        own = len(os.sched_getaffinity(0))
    except AttributeError:
        own = os.cpu_count() or 1
    return min(own, MOST_CORES)


def run(
    jobs: Sequence[Job],
    work: Work,
    kept: Kept | None = None,
    *,
    size: int | None = None,
    method: str = "",
    few: int = FEW,
) -> Iterator[Outcome]:
    """What comes of each setup, in the order given.

    `size` is the number of processes (as many as there are cores), `method` how they are started.
    Ending the iteration early ends them.
    """
    runner = _Runner(work, kept, cores() if size is None else size, method, few)
    try:
        for at, job in enumerate(jobs):
            runner.begin(job, left=len(jobs) - at)
            yield from runner.ready()
        yield from runner.rest()
    finally:
        runner.close()


class _Runner:
    def __init__(self, work: Work, kept: Kept | None, size: int, method: str, few: int) -> None:
        self.work = work
        self.kept = kept
        self.size = size
        self.method = method
        self.few = few
        self.here = 0
        self.crew: Crew | None = None
        self.row: deque[Outcome] = deque()
        self.bundle: list[tuple[Outcome, bytes]] = []
        self.out: dict[int, list[tuple[Outcome, bytes]]] = {}
        self.number = 0

    def begin(self, job: Job, left: int) -> None:
        """Read a setup and see that it gets checked, unless its report is kept."""
        club = self.work.club.file if self.work.club is not None else ""
        outcome = Outcome(job, club)
        self.row.append(outcome)
        try:
            data = read_job(job)
        except OSError as error:
            outcome.spoil(os_words(error))
            return
        if self.kept is not None and self._is_kept(outcome, data):
            return
        if self.crew is None and self.size > 1 and self.here >= self.few and left > self.few:
            from flockcheck.club.crew import Crew

            self.crew = Crew(self.size, self.work, self.method)
        if self.crew is None:
            self.here += 1
            self._check_here(outcome, data)
            return
        self.bundle.append((outcome, data))
        if len(self.bundle) == BUNDLE:
            self._hand_in(self.bundle)
            self.bundle = []

    def ready(self) -> Iterator[Outcome]:
        """What is known and has nothing unknown before it; waits where too much would gather."""
        while self.crew is not None and (
            self.crew.pending > AHEAD * self.size or len(self.row) > WINDOW
        ):
            if not self.out and self.bundle:
                self._hand_in(self.bundle)
                self.bundle = []
            self._collect()
            yield from self._known()
        yield from self._known()

    def rest(self) -> Iterator[Outcome]:
        """All the others."""
        if self.bundle:
            self._hand_in(self.bundle)
            self.bundle = []
        while self.out:
            self._collect()
            yield from self._known()
        yield from self._known()

    def close(self) -> None:
        """End what was started, and keep what was found."""
        if self.crew is not None:
            self.crew.close()
        if self.kept is not None:
            self.kept.close()

    def _known(self) -> Iterator[Outcome]:
        while self.row and self.row[0].done:
            yield self.row.popleft()

    def _is_kept(self, outcome: Outcome, data: bytes) -> bool:
        assert self.kept is not None
        found = self.kept.get(data)
        if found is None:
            return False
        from flockcheck.club.record import Unfit, record_of

        try:
            record = record_of(found)
        except Unfit:
            return False
        return outcome.take(record, (), self._again(outcome, data))

    def _again(self, outcome: Outcome, data: bytes) -> Callable[[], Report]:
        # Of the outcome itself it may hold nothing: a circle would stay in memory.
        work, file = self.work, outcome.job.file
        return lambda: work.report(data, file)

    def _check_here(self, outcome: Outcome, data: bytes) -> None:
        _ = self.work.rulebook
        try:
            report = self.work.report(data, outcome.job.file)
        except Exception as error:  # one setup must not end the others' check
            outcome.spoil(mistake_words(error))
            return
        outcome.settle(report)
        if self.kept is not None and not report.failures:
            from flockcheck.club.record import packed

            self.kept.put(data, packed(report).data)

    def _hand_in(self, bundle: list[tuple[Outcome, bytes]]) -> None:
        assert self.crew is not None
        self.number += 1
        self.out[self.number] = bundle
        self.crew.hand_in(self.number, [(data, outcome.job.file) for outcome, data in bundle])

    def _collect(self) -> None:
        assert self.crew is not None
        for number, checked in self.crew.hand_out():
            bundle = self.out.pop(number)
            if checked is not None:
                for (outcome, data), one in zip(bundle, checked, strict=True):
                    self._take(outcome, data, one)
            elif len(bundle) == 1:
                bundle[0][0].spoil(_DIED)
            else:
                # One of them is to blame; which, shows when each is checked by itself.
                for pair in bundle:
                    self._hand_in([pair])

    def _take(self, outcome: Outcome, data: bytes, one: Checked) -> None:
        if one.record is None:
            outcome.spoil(one.mistake)
        elif not outcome.take(one.record, one.failures, self._again(outcome, data)):
            self._check_here(outcome, data)
        elif self.kept is not None and not one.failures:
            self.kept.put(data, one.record.data)
