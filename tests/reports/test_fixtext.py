"""Fixes, plans and what-ifs in words: what is told once, and what each leaves and brings."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from flockcheck.checkup.model import Change, Finding, Fix, Place, Plan, WhatIf
from flockcheck.reports.fixtext import FixText

WORDS = FixText({"heavy": "The pen is too heavy", "wet": "They sleep wet"}, ("mink", "rat"))


def fix(says: str, **more: Any) -> Fix:
    change = Change(says, None, None, "", "1")
    plain = Fix(says, "work", 1, (change,), ("cold",), (), (), ())
    return plain._replace(**more)


def finding(*fixes: Fix, about: str = "birds.0") -> Finding:
    return Finding(
        rule="cold",
        topic="weather",
        grade="stop",
        title="Cold",
        says="It is cold.",
        why="They freeze.",
        about=about,
        place=Place("birds", 1, 1),
        measured=None,
        comparator="",
        limit=None,
        first=None,
        worst=None,
        spans=(),
        cites=(),
        caution="",
        advice=(),
        accepted=None,
        open_from=None,
        fixes=fixes,
    )


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({}, "clears it and brings nothing new"),
        ({"clears": ("cold", "wet")},
         "clears it and brings nothing new; also clears: they sleep wet (wet)"),
        ({"clears": ("cold", "wet", "dark", "low")},
         "clears it and brings nothing new; also clears 3 more: wet, dark and low"),
        ({"remains": ("cold",)}, "leaves it milder and brings nothing new"),
        ({"brings": ("heavy",)}, "clears it; brings: the pen is too heavy (heavy)"),
        ({"clears": ("cold", "wet"), "remains": ("wet",)},
         "clears it and brings nothing new; makes milder: they sleep wet (wet)"),
        ({"not_proved_for": ("pen.weight",)},
         "clears it and brings nothing new; not proved for pen.weight"),
    ],
)  # fmt: skip
def test_one_fix_tells_what_it_does(more: dict[str, Any], says: str) -> None:
    told, orders = WORDS.fixes([finding(fix("roof it", **more))])
    assert orders == ()
    assert told == f"roof it. Tried on this setup: {says}."


def test_several_fixes_are_one_order() -> None:
    told, orders = WORDS.fixes([finding(fix("roof it"), fix("heat it"), fix("go"))])
    assert told == "roof it, heat it, or go. Each was tried on this setup."
    assert orders == ()


def test_fixes_that_do_more_stand_one_below_the_other() -> None:
    told, orders = WORDS.fixes([finding(fix("roof it"), fix("heat it", brings=("heavy",)))])
    assert told == "one of these; each was tried on this setup."
    assert orders == ("roof it", "heat it; brings: the pen is too heavy (heavy)")


def test_findings_together_are_told_what_helps_them_all() -> None:
    both = [finding(fix("roof it"), fix("go")), finding(fix("roof it"), about="birds.1")]
    assert WORDS.fixes(both)[0].startswith("roof it. Tried")


def test_findings_together_that_nothing_helps_at_once_are_told_apart() -> None:
    apart = [finding(fix("roof it")), finding(about="birds.1"), finding(fix("go"), about="birds.2")]
    told, _ = WORDS.fixes(apart)
    assert told.startswith("For group 1: roof it. Tried")
    assert "For group 3: go. Tried" in told
    assert "group 2" not in told
    assert WORDS.fixes([finding()]) == ("", ())


READY = Plan((fix("roof it"),), 5, True, "ready", None, (), ())


@pytest.mark.parametrize(
    ("plan", "lines"),
    [
        (READY, ["With all of this the setup is ready.", "- roof it (clears cold)",
                 "Effort 5. No set of fixes with less was found."]),
        (READY._replace(least=False), ["Effort 5. Not shown to be the least."]),
        (READY._replace(verdict="ready until", ready_until=date(2027, 6, 1)),
         ["With all of this the setup is ready until 1 June 2027."]),
        (READY._replace(verdict="cannot say"),
         ["With all of this nothing stops or wants mending as far as it was checked."]),
        (READY._replace(fixes=()), ["Nothing has to be done first."]),
        (READY._replace(verdict="not ready", remains=("wet", "dark"), advice=(("wet", "Dry it."),)),
         ["All of this together mends what a number can mend; what is left stands below it.",
          "Beside it, as advice that can't be proved here (wet): Dry it.", "Not mended: dark."]),
        (READY._replace(fixes=(), remains=("dark",)),
         ["No change of a number was found that helps.", "Not mended: dark."]),
    ],
)  # fmt: skip
def test_a_plan_is_told_as_what_it_comes_to(plan: Plan, lines: list[str]) -> None:
    told = WORDS.plan(plan)
    assert [line for line in told if line in lines] == lines


def test_a_what_if_tells_what_changed_and_what_did_not() -> None:
    changes = (
        Change("a.b", 1, 2, "1", "2"),
        Change("c", None, 1, "", "x"),
        Change("d", 1, None, "1", ""),
    )
    plain = WhatIf(changes, "ready", None, {}, (), (), ())
    assert WORDS.what_if(plain, "ready", None) == [
        "What if: a.b is 2 in place of 1; c is x, and was not written; d is left out in place of "
        "1. The verdict stays ready.",
        "No finding comes, goes or changes its grade.",
    ]
    other = plain._replace(
        gone=(("cold", "birds.0", "stop"), ("gap", "predators.0", "stop")),
        predators=("rat",),
        new=(("wet", None, "tip"),),
        graded=(("dark", None, "watch", "mend"),),
    )
    assert WORDS.what_if(other, "ready until", date(2027, 6, 1))[1:] == [
        "Gone: cold, stop, group 1; gap, stop, the rat.",
        "New: they sleep wet (wet, tip).",
        "Graded differently: dark, mend, was watch.",
    ]
