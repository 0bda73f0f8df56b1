"""Hollows, slopes and setbacks, held against geometry and published rules."""

from __future__ import annotations

import math

import pytest

from flockcheck.text.quantities import parse_quantity
from tests.outside.cases import changed, grade, report_of, run_of

FOOT = 0.3048


@pytest.mark.parametrize(
    ("side", "radius", "gap"),
    # Chord of a circle, s = R - sqrt(R^2 - L^2/4), in m: sides of 12 and 10 ft.
    [(3.66, 100, 0.016746), (3.66, 33, 0.050780), (3.05, 50, 0.023262)],
)
def test_a_rail_over_a_hollow_has_the_gap_of_the_chord(
    side: float, radius: float, gap: float
) -> None:
    assert radius - math.sqrt(radius**2 - side**2 / 4) == pytest.approx(gap, abs=1e-6)
    # The keeper laid a straightedge as long as the pen, 3 m, over the same hollow; the longer side
    # of the pen is its width.
    straightedge = 3.0
    hollow = radius - math.sqrt(radius**2 - straightedge**2 / 4)
    keys = changed(
        {
            "pen.length": f"{straightedge} m",
            "pen.width": f"{side} m",
            "site.unevenness": f"{1000 * hollow:.4f} mm",
            "mesh.ground_gap": "0 mm",
        }
    )
    # L^2 / 8R in place of the circle is off by less than 0.1 % here.
    assert run_of(keys).value("rail_gap") == pytest.approx(gap, rel=0.002)


@pytest.mark.parametrize(
    ("grade_text", "degrees"),
    # Welsh SI 2001/2682, schedule 3B (read): 14 % or 8 degrees; 21.3 % or 12 degrees. INDG143: 1 in
    # 12, about 5 degrees. Mowers' standard, from memory: 15 degrees, 26.8 %.
    [("14 %", 8), ("21.3 %", 12), ("1 in 12", 5), ("26.8 %", 15)],
)
def test_slopes_in_per_cent_and_in_degrees_are_those_that_laws_put_side_by_side(
    grade_text: str, degrees: int
) -> None:
    slope = parse_quantity(grade_text, "slope").value
    assert math.degrees(math.atan(slope)) == pytest.approx(degrees, abs=0.25)
    assert parse_quantity(f"{degrees} deg", "slope").value == pytest.approx(slope, rel=0.06)


@pytest.mark.parametrize(
    ("rule", "key", "metres", "nearer", "further"),
    [
        # Reduction and Prevention of Agricultural Diffuse Pollution (England) Regulations 2018, and
        # gov.uk (read): 10 m from inland water, 50 m from springs, wells and boreholes.
        ("water-too-near", "site.open_water", 10.0, "mend", "watch"),
        ("well-too-near", "site.well", 50.0, "watch", "nothing"),
    ],
)
def test_english_distances_are_where_the_grades_change(
    rule: str, key: str, metres: float, nearer: str, further: str
) -> None:
    assert grade(report_of(changed({key: f"{0.99 * metres} m"})), rule) == nearer
    assert grade(report_of(changed({key: f"{metres} m"})), rule) == further


@pytest.mark.parametrize(
    ("rule", "key", "feet", "nearer", "further"),
    [
        # 40 CFR 412.4(c)(5) (read at extension.usu.edu): 100 ft from surface water; we round it to
        # 30 m, a foot and a half less. Minnesota Rules 4725.4450, from memory: 50 ft from a well,
        # which we round to 15 m.
        ("water-too-near", "site.open_water", 100, "watch", "nothing"),
        ("well-too-near", "site.well", 50, "mend", "watch"),
    ],
)
def test_american_distances_are_where_the_grades_change(
    rule: str, key: str, feet: float, nearer: str, further: str
) -> None:
    assert grade(report_of(changed({key: f"{feet} ft"})), rule) == further
    assert grade(report_of(changed({key: f"{0.97 * feet} ft"})), rule) == nearer


def test_a_garden_well_at_the_distance_of_some_states_is_watched_and_not_mended() -> None:
    # Southern Nevada Health District (read) and Minnesota Rules 7020.2005 (read): 100 ft.
    assert grade(report_of(changed({"site.well": "100 ft"})), "well-too-near") == "watch"


@pytest.mark.parametrize(
    ("inches", "wanted"),
    # Usual extension advice, from memory: 18 to 24 in above the litter. Fire chiefs of Maine, 2017
    # (read): 3 ft to anything that burns.
    [(17, "stop"), (18, "watch"), (24, "watch"), (35, "watch"), (36, "nothing")],
)
def test_a_lamp_is_judged_by_both_published_distances(inches: int, wanted: str) -> None:
    keys = changed(
        {
            "brooder.heat": "lamp",
            "brooder.lamp_distance": f"{inches} in",
            "brooder.lamp_supports": 2,
        }
    )
    report = report_of(keys)
    assert grade(report, "lamp-hazard") == wanted
    says = " ".join(one.says for one in report.findings if one.rule == "lamp-hazard")
    if wanted != "nothing":
        assert "18 to 24 in" in says
        assert "3 ft" in says
    # A fire notice of Oregon prints 20 feet, plainly for inches: no finding asks for it.
    assert "20 f" not in says


@pytest.mark.parametrize(
    ("days", "wanted"), [(13, "mend"), (14, "watch"), (29, "watch"), (30, "nothing")]
)
def test_newcomers_wait_as_long_as_courses_and_breeders_ask(days: int, wanted: str) -> None:
    # Cooperative Extension's course on small flocks: new birds "isolated in quarantine for 30 days"
    # (read at campus.extension.org). A club of breeders: "a minimum of a two-week quarantine" for
    # birds back from a fair (read at peninsulapoultrybreeders.com).
    late = {
        "kind": "egg chicken",
        "growth": "light",
        "count": 5,
        "hatched": "2027-04-12",
        "out": "2027-05-17",
        "leaves": "2027-06-21",
        "bought_in": "yes",
        "isolated": f"{days} days",
    }
    keys = changed({f"birds.1.{key}": value for key, value in late.items()})
    assert grade(report_of(keys), "newcomers-mixed", "birds.1") == wanted
