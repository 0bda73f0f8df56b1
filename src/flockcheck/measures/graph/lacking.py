"""All the keys that a measure lacks, not only the first that it met."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flockcheck.measures.graph.arguments import arguments, arguments_on
from flockcheck.measures.graph.inputs import Plan, given_to
from flockcheck.setup.form import general, kind_of, shape_of
from flockcheck.setup.view import Missing

if TYPE_CHECKING:
    from flockcheck.measures.graph.run import Run

# Of one measure; who lacks more has hardly begun to write.
MOST_KEYS = 12


def also_missing(
    run: Run, plan: Plan, item: int | None, first: Missing
) -> tuple[list[str], frozenset[str]]:
    """The keys that a measure would have met, had the first numbers been written, and keys tried.

    A number that is missing rarely decides which others are asked for, so one stands in for it and
    the measure goes on to the next; a missing word or flag does decide, and ends it.
    """
    keys = list(first.keys)
    tried: set[str] = set()
    setup = run.setup
    while keys and len(keys) < MOST_KEYS and _is_number(keys[-1]):
        setup = setup.with_value(keys[-1], 1)
        probe = run.probe(setup)
        before = probe.mark()
        more = [key for key in _lacks(probe, plan, item) if key not in keys]
        tried |= probe.since(before)[0]
        if not more:
            break
        keys += more
    return keys, frozenset(tried)


def _lacks(run: Run, plan: Plan, item: int | None) -> tuple[str, ...]:
    """The keys that a measure asks for in vain on the first day for which it is worked out."""
    try:
        values, shapes, _, missing, _, _ = given_to(plan, item, run)
        if missing is not None:
            return missing.keys
        if plan.daily:
            days = (arguments_on(values, shapes, day) for day in range(len(run.days)))
            args = next((args for args in days if args is not None), None)
        else:
            args = arguments(values, shapes, gathers=plan.gathers)
        if args is not None:
            plan.node.spec.function(*args)
    except Missing as error:
        return error.keys
    except Exception:  # the number that stands in may well be none that it can work with
        return ()
    return ()


def _is_number(key: str) -> bool:
    return kind_of(shape_of(general(key)) or {}) in ("quantity", "integer", "number")
