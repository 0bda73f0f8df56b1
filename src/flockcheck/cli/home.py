"""One setup as its club judges it, for the commands that take one: `why`, `days` and `round`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flockcheck.cli.check import load_tools
from flockcheck.cli.members import club_of, code_told, tools_of
from flockcheck.cli.output import tell
from flockcheck.cli.reading import read_one
from flockcheck.setup.written import Setup

if TYPE_CHECKING:
    from flockcheck.club.settings import Settings


class Home:
    """What a setup is held against: its club's settings, and the rulebook with the club's own.

    Making one says on standard error what is wrong with plugins and with the club's rulebooks.
    Raises Trouble where a club's file or a rulebook is no use.
    """

    def __init__(self, path: str | None, rulebooks: tuple[str, ...]) -> None:
        self.club: Settings | None = club_of((path,)) if path is not None else None
        kit = tools_of(self.club, rulebooks, load_tools)
        self.rulebook = kit.rulebook
        told = code_told(self.club) if self.club is not None else []
        self.problems = (*kit.problems, *told)
        tell(self.problems)

    def read(self, path: str) -> Setup:
        """A setup with what the club gives. Raises Trouble with what is wrong in it."""
        setup = read_one(path)
        if self.club is None:
            return setup
        from flockcheck.club.merge import with_club

        return with_club(setup, self.club)
