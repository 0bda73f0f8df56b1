"""Changes tried on a setup: each worked out and checked once, since one serves several findings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from flockcheck.checkup.asking import Sheet, again
from flockcheck.checkup.changes import apply
from flockcheck.checkup.model import Change
from flockcheck.checkup.offers import Doing, Offer, doing
from flockcheck.checkup.proof import Outcome, Which, outcome
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.form import general
from flockcheck.setup.written import Setup

TABLE = "fixing"


class Trials:
    """The tries of changes of one setup.

    `keep` are the keys that the keeper will not change; `base` is the keeper's own setup, where the
    sheet's has changes of a plan already. Everything tried is kept, since one change serves several
    findings. `tried` has the places of the ideas of a finding's rule that were tried, `held` those
    that the keeper will not have or that can't go further, and `wants` the keys for want of which
    one could not be proved; `found` the offers so far.
    """

    def __init__(
        self,
        sheet: Sheet,
        rulebook: Rulebook,
        keep: Sequence[str] = (),
        base: Setup | None = None,
    ) -> None:
        self.sheet = sheet
        self.rulebook = rulebook
        self.keep = tuple(keep)
        self.base = base
        self.tried: dict[Which, set[int]] = {}
        self.held: dict[Which, set[int]] = {}
        self.wants: dict[Which, dict[int, tuple[str, ...]]] = {}
        self.found: dict[Which, list[Offer]] = {}
        self._runs: dict[Doing, Run] = {}
        self._sheets: dict[Doing, Sheet] = {}
        self._outcomes: dict[Doing, Outcome] = {}

    @property
    def able(self) -> bool:
        """Whether the rulebook says how fixes are looked for."""
        return TABLE in self.rulebook.tables

    def figure(self, name: str) -> float:
        """A judgement about fixes; see rules/tables/fixing.yaml."""
        return float(self.rulebook.tables[TABLE]("value", figure=name))

    def run(self, changes: tuple[Change, ...]) -> Run:
        """The measures of the setup with some changes."""
        if not changes:
            return self.sheet.run
        key = doing(changes)
        found = self._runs.get(key)
        if found is None:
            setup = apply(self.sheet.run.setup, changes)
            found = self.sheet.run.changed(setup, [one.path for one in changes])
            self._runs[key] = found
        return found

    def after(self, changes: tuple[Change, ...]) -> Sheet:
        """The setup with some changes, checked as a whole."""
        key = doing(changes)
        found = self._sheets.get(key)
        if found is None:
            paths = [one.path for one in changes]
            found = again(self.sheet, self.rulebook, self.run(changes), paths)
            self._sheets[key] = found
        return found

    def outcome(self, changes: tuple[Change, ...]) -> Outcome:
        """What some changes do to the whole setup."""
        key = doing(changes)
        found = self._outcomes.get(key)
        if found is None:
            found = self._outcomes[key] = outcome(self.sheet, self.after(changes))
        return found

    def may(self, changes: Iterable[Change]) -> bool:
        """Whether the keeper would change these keys."""
        return not any(self.kept(one.path) for one in changes)

    def kept(self, path: str) -> bool:
        """Whether a key is one that the keeper will not change."""
        return any(
            one == kept or one.startswith(f"{kept}.")
            for kept in self.keep
            for one in (path, general(path), general(path).replace(".*", ""))
        )
