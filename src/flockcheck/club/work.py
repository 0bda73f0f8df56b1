"""The work on one setup of a run: its bytes in, its report out. It can be done in any process."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

from flockcheck.checkup.model import Report, unreadable
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.reader import SetupError, read_setup_bytes
from flockcheck.setup.written import Setup
from flockcheck.text.records import NamedTuple

if TYPE_CHECKING:
    from flockcheck.club.settings import Settings


def mistake_words(error: BaseException) -> str:
    """What is said of a setup over which the program itself stumbled."""
    says = " ".join(f"{type(error).__name__}: {error}".split())[:300]
    says = f"flockcheck has made a mistake of its own over it ({says})"
    return f"{says}. Please report it, with the setup if you can"


class Wishes(NamedTuple):
    """What was asked of a run besides its setups; see the options of `flockcheck check`."""

    standards: tuple[str, ...] = ()
    units: str = "written"
    on: date | None = None
    fixes: bool = False
    keep: tuple[str, ...] = ()
    plan: bool = False


class Work:
    """What every setup of a run is held against.

    `load` gives the rulebook; it is called when the first setup has to be checked, which may be
    never. Where processes share nothing, each calls it for itself.
    """

    def __init__(
        self, load: Callable[[], Rulebook], wishes: Wishes, club: Settings | None = None
    ) -> None:
        self.load = load
        self.wishes = wishes
        self.club = club

    @cached_property
    def rulebook(self) -> Rulebook:
        """The rulebook. Raises what loading it raises."""
        return self.load()

    def fresh(self) -> Work:
        """The same work without a rulebook that was loaded, to be sent to another process."""
        return Work(self.load, self.wishes, self.club)

    def report(self, data: bytes, file: str) -> Report:
        """The report on a setup by its bytes; `file` is its name in reports."""
        try:
            setup = self.read(data, file)
        except SetupError as error:
            return unreadable(error.file, error.faults)
        return self.judge(setup)

    def read(self, data: bytes, file: str) -> Setup:
        """A setup by its bytes, with what its club gives. Raises SetupError."""
        return self.given(read_setup_bytes(data, file))

    def given(self, setup: Setup) -> Setup:
        """A keeper's own setup with what the club gives."""
        if self.club is None:
            return setup
        from flockcheck.club.merge import with_club

        return with_club(setup, self.club)

    def judge(self, setup: Setup, *, plainly: bool = False) -> Report:
        """The report on a setup; `plainly` without fixes or a plan."""
        # Imported when something is to be checked: a run with every report kept never needs it.
        wishes = self.wishes
        if plainly or not (wishes.fixes or wishes.plan):
            from flockcheck.checkup.check import check

            return check(
                setup, self.rulebook, standards=wishes.standards, units=wishes.units, on=wishes.on
            )
        from flockcheck.checkup.solve import solve

        return solve(
            setup,
            self.rulebook,
            standards=wishes.standards,
            units=wishes.units,
            on=wishes.on,
            keep=wishes.keep,
            plan=wishes.plan,
        )
