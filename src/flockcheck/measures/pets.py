"""Cats and dogs of the house that roam near the pen, and birds small enough for them."""

from __future__ import annotations

from flockcheck.measures.barriers import Defence
from flockcheck.measures.graph.spec import measure
from flockcheck.measures.guarding import least_closed, ways
from flockcheck.setup.sections import Whole
from flockcheck.tables import Table

# A pet knows the people, the dogs and the time of day: neither company nor a house at night keeps
# it off. It is let off the digging, which rules about the ground ask of predators.
AT_HOME = ("company", "night")
WAYS = ("over", "through", "reach")


def kept_off(pet: str, here: Defence) -> float | None:
    """How far a pet is kept off the birds; None where none roams."""
    if pet not in here.setup.pets:
        return None
    found = ways(here, leave_out=AT_HOME)
    return least_closed([found[way] for way in WAYS if way in found])


@measure("number")
def loose_cat_kept_off(
    setup: Whole, ways_in: Table, barriers: Table, gets_through: Table, figures: Table
) -> float | None:
    """The number, 0 to 1, that says how far the pen keeps off a cat that roams by day.

    1: over the top, through the mesh and by reaching through it meets a full barrier or two partial
    ones; 0.5: one of those ways has a single partial one; 0: none. None where no cat roams. A cat
    at a pen that lies open above:

    >>> from types import SimpleNamespace as Of
    >>> pen = Of(roof=Of(cover=0.0, over_rest="open"))
    >>> setup = Of(pets=("cat",), pen=pen, guardians=())
    >>> comes_over = lambda column, predator: column == "over"
    >>> roof_only = lambda column, predator: 1.0 if column == "roof" else 0.0
    >>> loose_cat_kept_off(setup, comes_over, roof_only, None, None)
    0.0
    """
    return kept_off("cat", Defence("cat", setup, ways_in, barriers, gets_through, figures))


@measure("number")
def loose_dog_kept_off(
    setup: Whole, ways_in: Table, barriers: Table, gets_through: Table, figures: Table
) -> float | None:
    """The number, 0 to 1, that says how far the pen keeps off a dog that roams by day.

    As for `loose_cat_kept_off`; None where no dog roams. A dog at a pen under a whole roof:

    >>> from types import SimpleNamespace as Of
    >>> pen = Of(roof=Of(cover=1.0, over_rest="open"))
    >>> setup = Of(pets=("dog",), pen=pen, guardians=())
    >>> comes_over = lambda column, predator: column == "over"
    >>> roof_only = lambda column, predator: 1.0 if column == "roof" else 0.0
    >>> loose_dog_kept_off(setup, comes_over, roof_only, None, None)
    1.0
    """
    return kept_off("dog", Defence("dog", setup, ways_in, barriers, gets_through, figures))


@measure("mass", each="day", gather="group")
def lightest_weight(live_weight: list[float]) -> float:
    """The live weight of the lightest birds in the pen, in kg. None while there are none.

    >>> lightest_weight([0.9, 0.4])
    0.4
    """
    return min(live_weight)
