"""Setups whose reports show everything that a report can say."""

from __future__ import annotations

from functools import cache

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Problem, Report, unreadable
from flockcheck.setup.reader import SetupError, read_setup_text
from tests.little_cases import BASE, birds, changed, little, may

BARE = """flockcheck: 1
pen: {length: 4 m, width: 2.5 m}
birds: [{kind: meat chicken, growth: medium, count: 40, hatched: 2027-04-01, out: 2027-05-01}]
"""
BROKEN = """flockcheck: 1
name: Written in a hurry
pen:
  length: 12
  width: 8 ft
  hieght: 30 in
birds:
  - kind: meat chicken
    growth: quick
    count: 25
    hatched: 2027-02-30
    out: 2027-05-03
"""
SECOND = "bought_in: no\n  - {kind: meat chicken, growth: medium, count: 40, "
ACCEPTED = (
    "accepted:\n"
    "  - {rule: lamp-loose, because: the new chains come on Monday., until: 2027-12-31}\n"
    "  - {rule: tight, because: half of them go to a neighbour, until: 2027-05-15}\n"
    "  - {rule: mesh-wide, because: just in case, until: 2027-05-15}\n"
)
# What is changed in the base setup.
CHANGES: dict[str, list[tuple[str, str]]] = {
    "ready": [],
    "mild": [birds(60), ("store: sealed", "store: open"), ("footwear: dedicated", "")],
    "ready until": [birds(100)],
    "not ready": [
        birds(60),
        ("rain: yes}", "rain: yes, periods: [{from: 2027-05-20, to: 2027-05-25, day_high: 33 C}]}"),
        ("night_low: 12 C", "night_low: 8 C"),
        ("lamp_supports: 2", "lamp_supports: 1"),
        ("freeboard: 20 mm", "freeboard: 2 mm"),
        ("opening: 20 mm", "opening: 60 mm"),
        ("store: sealed", "store: open"),
        ("guardians:", "pets: [dog]\nguardians:"),
        ("bought_in: no", SECOND + "hatched: 2027-04-01, out: 2027-05-01, leaves: 2027-05-31}"),
    ],
    "accepted": [
        birds(100),
        ("lamp_supports: 2", "lamp_supports: 1"),
        ("care:", ACCEPTED + "care:"),
    ],
    "feet": [
        birds(100),
        ("length: 4 m", "length: 13 ft"),
        ("width: 2.5 m", "width: 8 ft 2 in"),
        ("perches: 6 m", "perches: 12 ft"),
        ("weight: 60 kg", "weight: 130 lb"),
        ("step: 4 m", "step: 12 ft"),
        ("length: 1 m, sides: 2, lip: 5 cm", "length: 4 ft, sides: 2, lip: 2 in"),
        ("opening: 20 mm", "opening: 1 in"),
        ("skirt: 30 cm", "skirt: 1 ft"),
    ],
}  # fmt: skip
PROBLEMS = (
    Problem("plugin bees", "ImportError: no module. It is left out of this run"),
    Problem("../hives", "it may not be read or written by you"),
)


@cache
def reports() -> dict[str, Report]:
    """The reports by what they show."""
    found = {
        name: check(
            read_setup_text(changed(BASE, *changes), f"{name.replace(' ', '-')}.flock.yaml"),
            little(),
            standards=("little-hall", "little-perch") if name == "ready until" else (),
        )
        for name, changes in CHANGES.items()
    }
    found["cannot say"] = check(read_setup_text(BARE, "bare.flock.yaml"), little())
    found["over"] = check(read_setup_text(BASE, "-"), little(), on=may(31).replace(month=7))
    try:
        read_setup_text(BROKEN, "broken.flock.yaml")
    except SetupError as error:
        found["unreadable"] = unreadable(error.file, error.faults)
    wrong = changed(BASE, ("flockcheck: 1", "flockcheck: 1\nstandards: [little-hal]"))
    found["wrong standard"] = check(read_setup_text(wrong, "wrong.flock.yaml"), little())
    return found
