"""What of a plan is written into the keeper's file, and what has to be done in the pen first.

A choice (a date, a number of birds, a rhythm) is true once the keeper says so, and is written. Work
is true when it is done: it is written where the keeper names it as done. What is written must leave
the setup no worse than it was, also without the work that is still to come.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from flockcheck.checkup.asking import Sheet, sheet_of
from flockcheck.checkup.model import Change, Fix, Plan
from flockcheck.checkup.proof import outcome
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import GRADES
from flockcheck.setup.reader import SetupError
from flockcheck.setup.rewrite import RewriteError, rewritten
from flockcheck.setup.written import Setup
from flockcheck.text.records import NamedTuple

_MEND = GRADES.index("mend")


class Mending(NamedTuple):
    """A setup's new text, without byte-order marks, and how it came to be.

    `written` are the fixes that are in it, `waits` the choices that would do harm before the work
    is done, and `work` what is to be done and not named as done. `cannot` tells, fix by fix, why
    one could not be written.
    """

    text: str
    written: tuple[Fix, ...]
    waits: tuple[Fix, ...]
    work: tuple[Fix, ...]
    cannot: tuple[tuple[Fix, str], ...]

    @property
    def changes(self) -> tuple[Change, ...]:
        """What was written, each key once."""
        return _changes(self.written)


def is_done(fix: Fix, done: Collection[str]) -> bool:
    """Whether a fix is work that the keeper named as done, by a rule that it is for."""
    return fix.kind == "work" and any(rule in done for rule in (*fix.clears, *fix.remains))


def mending(
    setup: Setup,
    plan: Plan,
    done: Collection[str],
    rulebook: Rulebook,
    read: Callable[[str], Setup],
    standards: tuple[str, ...] = (),
) -> Mending:
    """What a plan's choices, and the work named as done, make of a setup's text.

    `read` makes a setup of a new text, as the old one was made; `standards` are asked for besides
    the setup's own. Raises nothing.
    """
    work = tuple(one for one in plan.fixes if one.kind == "work")
    named = [one for one in work if is_done(one, done)]
    choices = [one for one in plan.fixes if one.kind != "work"]
    trial = _Trial(setup, rulebook, read, standards)
    if not trial.take([*named, *choices]):
        # One by one, those of the pen as it is first: choices may rest on work or on each other.
        for fix in (*named, *choices):
            trial.take([fix])
        for fix in [one for one in choices if one in trial.refused]:
            trial.take([fix])
    left = [one for one in (*named, *choices) if one not in trial.taken]
    cannot = tuple((one, trial.refused[one]) for one in left if trial.refused.get(one))
    return Mending(
        text=trial.text,
        written=tuple(one for one in plan.fixes if one in trial.taken),
        waits=tuple(one for one in left if not trial.refused.get(one)),
        work=tuple(one for one in work if one not in named),
        cannot=cannot,
    )


class _Trial:
    """A text to which fixes are added as long as the setup is none the worse for them."""

    def __init__(
        self,
        setup: Setup,
        rulebook: Rulebook,
        read: Callable[[str], Setup],
        standards: tuple[str, ...],
    ) -> None:
        self.setup = setup
        self.standards = standards
        self.rulebook = rulebook
        self.read = read
        self.text = setup.text
        self.taken: list[Fix] = []
        # Why a fix was refused; nothing where it would only make things worse.
        self.refused: dict[Fix, str] = {}
        self._sheet: Sheet | None = None

    @property
    def sheet(self) -> Sheet:
        """The setup as it was, with every answer to it."""
        if self._sheet is None:
            self._sheet = sheet_of(self.setup, self.rulebook, self.standards)
        return self._sheet

    def take(self, fixes: Sequence[Fix]) -> bool:
        """Add fixes to those taken; False, and all as before, where they can't be."""
        if not fixes:
            return True
        every = [*self.taken, *fixes]
        said = ""
        try:
            text = rewritten(self.setup.text, _changes(every))
            good = self.none_the_worse(self.read(text))
        except RewriteError as error:
            said, good, text = str(error), False, ""
        except SetupError as error:
            said, good, text = error.faults[0].says, False, ""
        if good:
            self.text, self.taken = text, every
            for fix in fixes:
                self.refused.pop(fix, None)
        elif len(fixes) == 1:
            self.refused[fixes[0]] = said
        return good

    def none_the_worse(self, after: Setup) -> bool:
        """Whether nothing that stops or wants mending is new or worse, and all is still checked."""
        found = outcome(self.sheet, sheet_of(after, self.rulebook, self.standards))
        bad = max((*found.brings.values(), *found.worse.values()), default=0)
        return not found.spoils and bad < _MEND


def _changes(fixes: Sequence[Fix]) -> tuple[Change, ...]:
    """Every change of some fixes; where two change one key, the later holds."""
    return tuple({change.path: change for fix in fixes for change in fix.changes}.values())
