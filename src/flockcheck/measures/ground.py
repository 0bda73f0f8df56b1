"""The ground under the pen: which patch it stands on when, what falls there, and how much it takes.

Moves are counted from the first day of the stay. The pen comes to a patch, stands there for as long
as the rhythm of its moves says, and goes on; a new rhythm begins with a move. A pen that stands
empty stays where it is, and the next birds begin on fresh ground.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from datetime import date, timedelta
from math import ceil

from flockcheck.measures.compare import at_most
from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.moves import time_on_patch
from flockcheck.measures.stretches import alike, summed
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Group, Pen, Rhythm, Site

# Square metres in a hectare.
HECTARE = 10000.0
# An hour, in days: the format takes no shorter stay on a patch.
LEAST_STAY = timedelta(hours=1) / timedelta(days=1)


@measure("date", gather="group")
def first_out(group: list[Group]) -> date:
    """The date on which the first birds move out.

    >>> from types import SimpleNamespace as Of
    >>> first_out([Of(out=date(2027, 5, 4)), Of(out=date(2027, 4, 22))])
    datetime.date(2027, 4, 22)
    """
    return min(one.out for one in group)


@measure("count", each="day", gather="group")
def birds_staying(birds_overnight: list[int]) -> int:
    """The number of all birds that stay the night. None while there are none.

    >>> birds_staying([36, 4])
    40
    """
    return sum(birds_overnight)


@at_once(birds_staying)
def birds_staying_by_day(birds_overnight: list[list[int]]) -> list[int]:
    """`birds_staying` of many days."""
    return summed(birds_overnight)


@measure("time", gather="day")
def patch_begins(day: list[date], birds_staying: list[int | None], pen: Pen) -> tuple[float, ...]:
    """The days of the stay, counted from 0, on which the pen comes to a patch: one for each patch.

    None are added while the pen is empty. Moved every third day, and daily from the sixth day on;
    from the ninth it is empty:

    >>> from types import SimpleNamespace as Of
    >>> days = [date(2027, 5, on) for on in range(1, 11)]
    >>> daily = Of(from_=date(2027, 5, 6), every=1.0)
    >>> pen = Of(moves=Of(every=3.0, later=(daily,)))
    >>> patch_begins(days, [30] * 8 + [None] * 2, pen)
    (0, 3.0, 5, 6.0, 7.0)
    """
    begins: list[float] = []
    later: tuple[Rhythm, ...] = value_or(pen.moves, "later", ())
    changes = [(one.from_ - day[0]).days for one in later]
    at: float = 0
    for start, end in _stretches(birds_staying):
        at = change = start
        while at < end:
            begins.append(at)
            if at >= change:
                # No rhythm is quicker than the format takes, whoever asked "what if".
                stays = max(LEAST_STAY, time_on_patch(day[int(at)], pen))
                change = min((one for one in changes if one > at), default=end)
            at += stays
            if at > change:
                # A new rhythm begins with a move on its own day.
                at = change
    return tuple(begins)


def _stretches(birds: list[int | None]) -> list[tuple[int, int]]:
    """The stretches of days with birds: the first day of each, and the day after its last."""
    if None not in birds:
        return [(0, len(birds))]
    found: list[tuple[int, int]] = []
    for at, here in enumerate(birds):
        if here is None:
            continue
        if found and found[-1][1] == at:
            found[-1] = (found[-1][0], at + 1)
        else:
            found.append((at, at + 1))
    return found


@measure("spread", each="day")
def patch_droppings(
    day: date,
    first_out: date,
    patch_begins: tuple[float, ...],
    nitrogen_so_far: list[float],
    floor_area: float,
) -> float | None:
    """The nitrogen in kg/ha that falls on the patch of a day while the pen stands there.

    The whole time counts, days to come too. None before the first birds stay a night. Birds that
    drop 0.1 kg a day in a pen of 10 m2, on a patch of three days and then on one of a day:

    >>> first, four = date(2027, 5, 1), [0.1, 0.2, 0.3, 0.4]
    >>> for on in (2, 4):
    ...     print(round(patch_droppings(date(2027, 5, on), first, (0, 3), four, 10.0)))
    300
    100
    """
    patch = bisect_right(patch_begins, (day - first_out).days)
    return _fallen(patch, patch_begins, nitrogen_so_far, floor_area) if patch else None


def _fallen(
    patch: int, patch_begins: tuple[float, ...], nitrogen_so_far: list[float], floor_area: float
) -> float:
    """The nitrogen in kg/ha that falls on a patch, counted from 1."""
    begins = patch_begins[patch - 1]
    ends = patch_begins[patch] if patch < len(patch_begins) else len(nitrogen_so_far)
    dropped = _until(nitrogen_so_far, ends) - _until(nitrogen_so_far, begins)
    return dropped / floor_area * HECTARE


@at_once(patch_droppings)
def patch_droppings_by_day(
    day: list[date],
    first_out: date,
    patch_begins: tuple[float, ...],
    nitrogen_so_far: list[float],
    floor_area: float,
) -> list[float | None]:
    """`patch_droppings` of many days that follow one another: once for each patch."""
    at = (day[0] - first_out).days
    end = at + len(day)
    found: list[float | None] = []
    while at < end:
        patch = bisect_right(patch_begins, at)
        # The days on which the pen has come to no later patch when they begin.
        stays = ceil(patch_begins[patch]) if patch < len(patch_begins) else end
        here = _fallen(patch, patch_begins, nitrogen_so_far, floor_area) if patch else None
        found += [here] * (min(stays, end) - at)
        at = stays
    return found


def _until(so_far: list[float], at: float) -> float:
    """What was dropped by a time in days: evenly over each day."""
    whole = int(at)
    before = so_far[whole - 1] if whole else 0.0
    part = at - whole
    return before + part * (so_far[whole] - before) if part else before


@measure("spread", each="day")
def patch_nitrogen(patch_droppings: float, site: Site) -> float:
    """The nitrogen in kg/ha on the patch of a day: what falls there, and what was spread before.

    None before the first birds stay a night.

    >>> from types import SimpleNamespace as Of
    >>> patch_nitrogen(130.0, Of(nitrogen_used=40.0))
    170.0
    """
    return patch_droppings + site.nitrogen_used


@at_once(patch_nitrogen)
def patch_nitrogen_by_day(patch_droppings: list[float], site: Site) -> list[float]:
    """`patch_nitrogen` of many days."""
    before = site.nitrogen_used
    return [fallen + before for fallen in patch_droppings]


@measure("count", each="day")
def patches_used(day: date, first_out: date, patch_begins: tuple[float, ...]) -> int | None:
    """The number of patches the pen has come to by the end of a day, none of them twice.

    None before the first birds stay a night.

    >>> [patches_used(date(2027, 5, on), date(2027, 5, 1), (0, 3, 3.5)) for on in (1, 3, 4)]
    [1, 1, 3]
    """
    return bisect_left(patch_begins, (day - first_out).days + 1) or None


@at_once(patches_used)
def patches_used_by_day(
    day: list[date], first_out: date, patch_begins: tuple[float, ...]
) -> list[int | None]:
    """`patches_used` of many days that follow one another."""
    first = (day[0] - first_out).days + 1
    return [bisect_left(patch_begins, at) or None for at in range(first, first + len(day))]


@measure("area", each="day")
def ground_covered(patches_used: int, floor_area: float) -> float:
    """The area in m2 of all patches by the end of a day: one pen for each, none used twice.

    None before the first birds stay a night.

    >>> ground_covered(35, 8.64)
    302.40000000000003
    """
    return patches_used * floor_area


@at_once(ground_covered)
def ground_covered_by_day(patches_used: list[int], floor_area: float) -> list[float]:
    """`ground_covered` of many days."""
    return [patches * floor_area for patches in patches_used]


@measure("area", each="day")
def ground_used(
    patches_used: int,
    ground_covered: float,
    patch_begins: tuple[float, ...],
    floor_area: float,
    site: Site,
) -> float:
    """The area in m2 that the pen takes up by the end of a day, on fresh ground while there is any.

    Once all of `site.ground` is used, a patch that has lain for `site.rest` is taken again; what is
    asked beyond that is not there. None before the first birds stay a night. Moved daily in a pen
    of 10 m2 on 30 m2 of ground that rests four days, the fifth patch is one too many, and so is
    every later one (five are in use or rest at any time):

    >>> from types import SimpleNamespace as Of
    >>> site, daily = Of(ground=30.0, rest=4.0), tuple(range(9))
    >>> [ground_used(n, 10.0 * n, daily, 10.0, site) for n in (3, 5, 9)]
    [30.0, 50.0, 50.0]
    """
    if at_most(ground_covered, site.ground):
        return ground_covered
    latest = patch_begins[patches_used - 1]
    # A patch is left when the next begins, and is free again once it has rested.
    free = bisect_right(patch_begins, latest - site.rest, 1, patches_used) - 1
    return (patches_used - free) * floor_area


@at_once(ground_used)
def ground_used_by_day(
    patches_used: list[int],
    ground_covered: list[float],
    patch_begins: tuple[float, ...],
    floor_area: float,
    site: Site,
) -> list[float]:
    """`ground_used` of many days; looked at one by one where not all is fresh ground."""
    if at_most(max(ground_covered), site.ground):
        return ground_covered
    return alike(
        lambda patches, covered: ground_used(patches, covered, patch_begins, floor_area, site),
        patches_used,
        ground_covered,
    )


@measure("share", each="day")
def ground_share(ground_used: float, site: Site) -> float:
    """The share of the ground taken up by the end of a day that there is; 1 is all of it.

    None before the first birds stay a night.

    >>> from types import SimpleNamespace as Of
    >>> ground_share(400.0, Of(ground=300.0))
    0.75
    """
    return site.ground / ground_used


@at_once(ground_share)
def ground_share_by_day(ground_used: list[float], site: Site) -> list[float]:
    """`ground_share` of many days."""
    ground = site.ground
    return [ground / used for used in ground_used]


@measure("flag", each="day")
def ground_comes_round(ground_covered: float, site: Site) -> bool:
    """Whether the pen has come back to ground of this same stay, there being no more fresh.

    None before the first birds stay a night.

    >>> from types import SimpleNamespace as Of
    >>> [ground_comes_round(covered, Of(ground=300.0)) for covered in (300.0, 310.0)]
    [False, True]
    """
    return not at_most(ground_covered, site.ground)


@measure("time", gather="group")
def crop_wait(group: list[Group], site: Site) -> int:
    """The days from when the last birds leave to the harvest; below zero where it comes first.

    Not known while a group has no `leaves`.

    >>> from types import SimpleNamespace as Of
    >>> crop_wait([Of(leaves=date(2027, 6, 10))], Of(food_crop=date(2027, 9, 1)))
    83
    """
    return (site.food_crop - max(one.leaves for one in group)).days


@measure("flag")
def crop_after_birds(first_out: date, site: Site) -> bool:
    """Whether the crop is harvested after the first birds came; before, it has nothing of them.

    >>> from types import SimpleNamespace as Of
    >>> crop_after_birds(date(2027, 4, 22), Of(food_crop=date(2027, 9, 1)))
    True
    """
    return site.food_crop > first_out
