"""Which fixes are told: few, the least effort first, none that is silly; and what they come to."""

from __future__ import annotations

from math import inf

from flockcheck.checkup.asking import Sheet
from flockcheck.checkup.model import Finding, Fix
from flockcheck.checkup.offers import Doing, Offer, order
from flockcheck.checkup.proof import Outcome, Which, allowed
from flockcheck.checkup.search import Search
from flockcheck.checkup.trials import Trials
from flockcheck.checkup.wording import listed

TRIED = "Tried here, and no fix by itself"


class Finder(Trials):
    """Looks for the fixes of one setup's findings, each once."""

    def offers(self, finding: Finding) -> list[Offer]:
        """Every fix that ends a finding by the levers of its rule, the least effort first."""
        which = (finding.rule, finding.about)
        found = self.found.get(which)
        if found is None:
            able = self.able and finding.counts and finding.rule in self.rulebook.rules
            found = self.found[which] = Search(self, finding).offers() if able else []
        return found


def fix_of(offer: Offer, finding: Finding, sheet: Sheet) -> Fix:
    """A fix as it is offered for one finding."""
    found, which = offer.outcome, (finding.rule, finding.about)
    others = [rule for rule in cleared_rules(found, sheet) if rule != finding.rule]
    clears = (finding.rule, *others)
    eased = {rule for rule, _ in found.eases if rule in others or which in found.eases}
    brings = {rule for rule, _ in (*found.brings, *found.worse)} - set(clears)
    unproved = [key for part in offer.parts for key in part.move.unproved]
    return Fix(
        says=", and ".join(part.says for part in offer.parts),
        kind=kind_of_parts(offer),
        effort=round(offer.effort, 2),
        changes=offer.changes,
        clears=clears,
        remains=tuple(sorted(eased & set(clears))),
        brings=tuple(sorted(brings)),
        not_proved_for=tuple(dict.fromkeys((*unproved, *found.open_keys))),
    )


def kind_of_parts(offer: Offer) -> str:
    """Choice or work: what takes work in any part is work."""
    kinds = {part.lane.lever.kind for part in offer.parts}
    return "work" if "work" in kinds else "choice"


def cleared_rules(found: Outcome, sheet: Sheet) -> list[str]:
    """The rules of which every finding is ended, or is a stop or mend no more."""
    done = found.ends | found.eases
    rules = dict.fromkeys(one.rule for one in sheet.findings if (one.rule, one.about) in done)
    return [
        rule
        for rule in rules
        if all((one.rule, one.about) in done for one in sheet.findings if one.rule == rule)
    ]


def choose(finder: Finder, found: dict[Which, list[Offer]]) -> dict[Which, list[Offer]]:
    """Of all offers for each finding those that are told."""
    spread, most = finder.figure("effort_spread"), int(finder.figure("most_fixes"))
    grades = {(one.rule, one.about): one.grade for one in finder.sheet.findings}
    chosen: dict[Which, list[Offer]] = {}
    for which, offers in found.items():
        shared: dict[Doing, Offer] = {}
        for offer in offers:
            better = _shared(finder, offer, which, grades[which], found)
            shared.setdefault(better.doing, better)
        told = sorted(shared.values(), key=order)
        least = min((one.effort for one in told), default=inf)
        told = [one for one in told if one.effort <= spread * least]
        few = told[:most]
        widest = max(told, key=lambda one: len(one.outcome.ends), default=None)
        if widest is not None and not any(
            len(one.outcome.ends) >= len(widest.outcome.ends) for one in few
        ):
            few[-1] = widest
        chosen[which] = few
    return chosen


def _shared(
    finder: Finder, own: Offer, which: Which, grade: str, found: dict[Which, list[Offer]]
) -> Offer:
    """An offer by the same levers that ends more findings of the rule, if it costs little more.

    A mesh against mink and one against rats is one mesh.
    """
    most = finder.figure("shared_effort") * own.effort
    best = own
    for other, offers in found.items():
        if other[0] != which[0] or other == which:
            continue
        for offer in offers:
            wider = len(offer.outcome.ends) > len(best.outcome.ends)
            fits = offer.levers == own.levers and wider and offer.effort <= most
            if fits and allowed(offer.outcome, which, grade):
                best = offer
    return best


def with_fixes(sheet: Sheet, finder: Finder) -> tuple[Finding, ...]:
    """The findings of a sheet with the fixes offered for each."""
    if not finder.able:
        return sheet.findings
    offers = {(one.rule, one.about): finder.offers(one) for one in sheet.findings if one.counts}
    chosen = choose(finder, offers)
    return tuple(
        _fixed(one, chosen[one.rule, one.about], finder) if one.counts else one
        for one in sheet.findings
    )


def _fixed(finding: Finding, offers: list[Offer], finder: Finder) -> Finding:
    """A finding with its fixes, and the advice that is left beside them."""
    fixes = tuple(fix_of(offer, finding, finder.sheet) for offer in offers)
    advice = advice_of(finding, finder, fixed=bool(fixes))
    return finding._replace(fixes=fixes, advice=advice)


def advice_of(finding: Finding, finder: Finder, *, fixed: bool) -> tuple[str, ...]:
    """The advice that stays of a finding for which fixes were looked for.

    Where some were found it is what no lever stands behind. Where none was, levers that were tried
    are said to be no fix, and those that could not be proved stay, with the keys that lack.
    """
    rule, which = finder.rulebook.rules.get(finding.rule), (finding.rule, finding.about)
    if rule is None:
        return finding.advice
    tried, wants = finder.tried.get(which, set()), finder.wants.get(which, {})
    advice: list[str] = []
    vain: list[str] = []
    for place, (idea, words) in enumerate(zip(rule.fixes, finding.advice, strict=True)):
        if not idea.lever:
            advice.append(words)
        elif fixed:
            continue
        elif place in wants:
            advice.append(f"{words} (not proved here for want of {listed(list(wants[place]))})")
        elif place in tried:
            vain.append(words)
        elif place not in finder.held.get(which, ()):
            advice.append(words)
    if vain:
        advice.append(f"{TRIED}: {'; '.join(vain)}.")
    return tuple(advice)
