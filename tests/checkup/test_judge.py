"""Which limits fail on which days, and what a question lacks."""

from __future__ import annotations

from datetime import date

import pytest

from flockcheck.checkup.model import Span
from tests.little_cases import birds, found, may, report, rules_found

CROWDED = birds(100)


def test_the_base_setup_finds_nothing_and_leaves_nothing_open() -> None:
    quiet = report()
    assert (quiet.findings, quiet.not_checked, quiet.partly_checked) == ((), (), ())
    assert quiet.asked == quiet.checked == 15


def test_each_day_takes_the_worst_limit_so_a_mend_before_a_stop_is_not_lost() -> None:
    """100 birds weigh 15 kg/m2 on 1 May, 20 on the 11th, 25 on the 21st; equality passes."""
    tight = found(report(CROWDED), "tight")
    assert tight.spans == (
        Span(may(2), may(11), "watch"),
        Span(may(12), may(21), "mend"),
        Span(may(22), may(31), "stop"),
    )
    assert (tight.grade, tight.first) == ("stop", may(2))


def test_the_worst_day_is_the_one_that_misses_by_the_most() -> None:
    tight = found(report(CROWDED), "tight")
    assert tight.worst == (may(31), pytest.approx(30))
    assert tight.measured is not None
    assert tight.limit is not None
    assert (tight.measured.shown, tight.limit.shown) == ("30 kg/m2", "25 kg/m2")


def test_of_days_that_miss_alike_the_first_is_the_worst() -> None:
    cold = found(report(("night_low: 12 C", "night_low: -2 C")), "cold-nights")
    assert cold.worst == (may(1), -2)
    flat = report(("day_high: 20 C", "day_high: 31 C"), birds(80), ("leaves: 2027-05-31", ""))
    assert found(flat, "hot-and-tight").worst == (date(2027, 6, 26), pytest.approx(34.4))


@pytest.mark.parametrize(
    ("count", "width", "kept"),
    [(60, "2.5 m", "2.5 m"), (60, "8.202099737532808 ft", "8 ft 2.425196850393 in")],
)
def test_numbers_that_equal_a_limit_pass_it_in_any_units(count: int, width: str, kept: str) -> None:
    """60 birds of 50 days weigh 15 kg/m2 on 21 May, in metres and in feet alike."""
    for wide in (width, kept):
        tight = found(report(birds(count), ("width: 2.5 m", f"width: {wide}")), "tight")
        assert tight.first == may(22)


def test_a_hair_past_a_limit_fails_it() -> None:
    tight = found(report(birds(60), ("width: 2.5 m", "width: 2.4999999 m")), "tight")
    assert tight.first == may(21)


def test_a_condition_that_holds_on_some_days_masks_the_others() -> None:
    """Birds under 6 weeks are asked about cold: those of 1 to 12 May (30 to 41 days)."""
    cold = found(report(("night_low: 12 C", "night_low: 0 C")), "cold-nights")
    assert cold.spans == (Span(may(1), may(12), "stop"),)


def test_a_line_through_points_is_straight_between_them_and_flat_outside() -> None:
    """10.5 C is wanted at 30 days, half a degree less each day; 8 C passes from 35 days on."""
    cold = found(report(("night_low: 12 C", "night_low: 8 C")), "cold-nights")
    assert cold.spans == (Span(may(1), may(5), "stop"),)
    assert cold.limit is not None
    assert cold.limit.value == pytest.approx(10.5)
    young = report(("night_low: 12 C", "night_low: 14 C"), ("out: 2027-05-01", "out: 2027-04-11"))
    assert found(young, "cold-nights").limit.value == 15  # type: ignore[union-attr]  # it has one


def test_a_rule_of_each_group_speaks_of_each_by_its_own_age() -> None:
    both = report(
        (
            "    bought_in: no",
            "    bought_in: no\n  - {kind: meat chicken, growth: slow, count: 3,"
            " hatched: 2027-05-01, out: 2027-05-10, leaves: 2027-05-31, purpose: meat}",
        )
    )
    young = found(both, "moves-young")
    assert (young.about, young.spans) == ("birds.1", (Span(may(10), may(10), "mend"),))
    assert young.says.startswith("Group 2 (meat chickens) move out at 9 days on 10 May")


def test_a_rule_on_the_last_day_is_not_checked_while_no_day_is_written() -> None:
    open_end = report(("    leaves: 2027-05-31\n", ""))
    (one,) = [one for one in open_end.not_checked if one.rule == "leaves-old"]
    assert (one.about, one.needs) == ("birds.0", ("birds.0.leaves",))
    late = report(("leaves: 2027-05-31", "leaves: 2027-07-25"))
    assert [span.first for span in found(late, "leaves-old").spans] == [date(2027, 7, 25)]


def test_a_rule_about_the_brooding_has_no_days() -> None:
    lamp = found(report(("lamp_supports: 2", "lamp_supports: 1")), "lamp-loose")
    assert (lamp.spans, lamp.first, lamp.worst) == ((), None, None)


def test_what_changes_by_day_and_what_does_not_are_judged_together() -> None:
    """The stop begins on the first hot day; the mend was there all the time."""
    hot = report(
        ("rain: yes}", "rain: yes, periods: [{from: 2027-05-20, to: 2027-05-22, day_high: 33 C}]}"),
        ("cover: 60 %", "cover: 40 %"),
    )
    roof = found(hot, "roof-scant")
    assert roof.spans == (Span(may(1), may(19), "mend"), Span(may(23), may(31), "mend"))


def test_a_watch_without_days_does_not_make_a_dated_stop_hold_all_the_time() -> None:
    """The trough is under twice its lip all the time, and too short for the birds from 13 May."""
    short = report(("length: 1 m, sides: 2, lip: 5 cm", "length: 39 cm, sides: 2, lip: 1 m"))
    low = found(short, "rim-low")
    assert low.spans == (Span(may(1), may(12), "watch"), Span(may(13), may(31), "mend"))


def test_a_limit_without_its_value_is_passed_over_alone() -> None:
    less = report(("latches: two-step", "latches: simple"), ("footwear: dedicated", ""))
    assert found(less, "words").says == "The latches are simple, not two-step."
    (one,) = less.partly_checked
    assert (one.rule, one.needs) == ("words", ("care.footwear",))


def test_every_key_that_a_question_lacks_is_named_at_once() -> None:
    bare = report(("freeboard: 20 mm, ", ""), ("site: {slope: 2 %, ", "site: {"))
    (spills,) = [one for one in bare.not_checked if one.rule == "outlet-spills"]
    assert (spills.about, spills.needs) == ("drinkers.0", ("site.slope", "drinkers.0.freeboard"))


def test_a_list_that_is_not_written_is_one_open_question() -> None:
    start, end = "drinkers:\n", "covered: yes}\n"
    text = "drinkers:\n  - {form: trough, supply: tank, count: 1, holds: 20 l, length: 40 cm, "
    text += "sides: 1, run: 40 cm, depth: 20 mm, freeboard: 20 mm, fill: vacuum, outlet: uphill, "
    assert text.startswith(start)
    none = report((text + end, ""))
    (one,) = [one for one in none.not_checked if one.rule == "outlet-spills"]
    assert (one.about, one.needs) == (None, ("drinkers",))


def test_an_unknown_condition_is_not_checked_and_names_its_keys() -> None:
    unknown = report(("rain: yes", "gust: 9 m/s"), ("soil_wet: no", "shade: 5 %"))
    (low,) = [one for one in unknown.not_checked if one.rule == "rim-low"]
    assert low.needs == ("weather.rain", "site.soil_wet")


def test_a_condition_unknown_on_some_days_still_names_its_key() -> None:
    """Whether it is hot is known for three days only; what a limit needs on the others is named."""
    some = report(
        (
            "day_high: 20 C, rain: yes}",
            "rain: yes, periods: [{from: 2027-05-20, to: 2027-05-22, day_high: 33 C}]}",
        )
    )
    (hot,) = [one for one in some.not_checked if one.rule == "hot-and-tight"]
    assert hot.needs == ("weather.day_high",)


def test_a_limit_whose_condition_is_unknown_by_day_is_not_silently_passed() -> None:
    """Only birds of some age count, and whether they are vaccinated is not written."""
    bought = report(("bought_in: no", "bought_in: yes"))
    (shots,) = [one for one in bought.not_checked if one.rule == "shots-missing"]
    assert (shots.about, shots.needs) == ("birds.0", ("birds.0.vaccinated",))


def test_a_false_condition_is_not_asked_whatever_else_is_unknown() -> None:
    dry = report(("rain: yes", "rain: no"))
    assert dry.asked == report().asked - 1
    other = report(("form: trough, count: 2", "form: tube, count: 2"), ("rain: yes", "gust: 9 m/s"))
    assert "rim-low" not in {one.rule for one in (*other.not_checked, *other.partly_checked)}


def test_limits_for_other_birds_leave_a_question_unasked() -> None:
    assert report(("outlet: uphill", "outlet: downhill")).asked == report().asked - 1


def test_where_no_limit_can_be_judged_the_first_fitting_alternative_is() -> None:
    steep = report(("freeboard: 20 mm, ", ""), ("slope: 2 %", "slope: 6 %"))
    spills = found(steep, "outlet-spills")
    assert (spills.grade, spills.says) == ("mend", "The drinker stands on 6 %.")
    (one,) = [one for one in steep.partly_checked if one.rule == "outlet-spills"]
    assert one.needs == ("drinkers.0.freeboard",)


def test_an_alternative_is_passed_over_where_it_lacks_a_value_itself() -> None:
    bare = report(
        ("fill: vacuum, outlet: uphill, covered: yes", "outlet: uphill"),
        ("freeboard: 20 mm, ", ""),
        ("slope: 2 %", "slope: 6 %"),
    )
    assert found(bare, "outlet-spills").says == "The drinker stands on 6 %."


def test_an_alternative_of_a_key_is_judged_as_it_is_written() -> None:
    bare = report(("fill: vacuum, outlet: uphill, covered: yes", "outlet: uphill, covered: no"))
    assert found(bare, "outlet-spills").says == "The drinker is open and trough."


def test_several_kinds_of_birds_are_summed_each_at_its_own_need() -> None:
    """10 hens fill 15 cm each and 40 meat birds 5 cm: 3.5 m of perch."""
    hens = (
        "    bought_in: no",
        "    bought_in: no\n  - {kind: egg chicken, growth: light, count: 10,"
        " hatched: 2026-04-01, out: 2027-05-01, leaves: 2027-05-31}",
    )
    enough = report(hens, ("perches: 6 m", "perches: 3.5 m"))
    assert "perch-short" not in rules_found(enough)
    short = found(report(hens, ("perches: 6 m", "perches: 3.49 m")), "perch-short")
    assert short.limit is not None
    assert (short.grade, short.limit.value) == ("watch", pytest.approx(3.5))


def test_a_table_that_says_nothing_of_these_birds_is_told_as_the_reason() -> None:
    turkeys = report(
        ("kind: meat chicken\n    growth: medium", "kind: turkey"),
    )
    (one,) = [one for one in turkeys.not_checked if one.rule == "tight"]
    assert one.needs == ()
    assert one.why == "the table growth_fit has nothing for group.kind turkey"


@pytest.mark.parametrize(
    ("change", "rule", "grade", "says"),
    [
        (("latches: two-step", "latches: simple"), "words", "mend",
         "The latches are simple, not two-step."),
        (("lid_fastened: yes", "lid_fastened: no"), "words", "mend", "Fastened: no."),
        (("footwear: dedicated", "footwear: shared"), "words", "tip",
         "The boots are shared; dedicated and disinfected would do."),
        (("source: mains", "source: surface"), "words", "watch", "The water is from the surface."),
        (("store: sealed", "store: bag"), "words", "tip", "The feed is kept bag."),
        (("visits_per_day: 2", "visits_per_day: 0.5"), "words", "mend",
         "Someone comes 0.5 times a day."),
        (("step: 4 m", "step: 3.9 m"), "words", "watch", "The pen moves 3.9 m, less than 4 m."),
        (("cover: 60 %", "cover: 49.9 %"), "roof-scant", "mend",
         "49.9 % of the floor lies under the roof, and 50 % is wanted."),
        (("length: 1 m, sides: 2", "length: 10 m, sides: 2"), "rim-low", "tip",
         "The feeder has 40 m of rim, against 30 m."),
        (("guardians:", "pets: [dog, cat]\nguardians:"), "pets-loose", "watch",
         "Loose by the pen: dog and cat."),
        (("heat_off: 2027-04-24", "heat_off: 2027-05-02"), "heat-off-late", "mend",
         "The heat is off on 2 May, and the meat chickens move out on 1 May."),
        (("opening: 20 mm", "opening: 24 mm"), "gets-in", "watch",
         "A mink meets 24 mm, and 22.9 mm keeps it out."),
    ],
)  # fmt: skip
def test_every_comparator_finds_what_it_is_for(
    change: tuple[str, str], rule: str, grade: str, says: str
) -> None:
    one = found(report(change), rule)
    assert (one.grade, one.says) == (grade, says)


def test_a_measure_of_each_predator_is_held_against_its_own_row() -> None:
    wide = report(("opening: 20 mm", "opening: 40 mm"))
    assert found(wide, "gets-in").about == "predators.1"
    wider = report(("opening: 20 mm", "opening: 60 mm"), ("fox, mink", "fox, mink, bear"))
    about = [one.about for one in wider.findings if one.rule == "gets-in"]
    assert about == ["predators.0", "predators.1"]


def test_a_list_in_a_condition_is_met_by_any_of_its_names() -> None:
    """Bought-in birds are asked about where a cat or a dog is about, or a fox."""
    bought = ("bought_in: no", "bought_in: yes\n    vaccinated: [newcastle]")
    shots = found(report(bought), "shots-missing")
    assert shots.spans == (Span(may(1), may(26), "watch"),)
    nobody = report(bought, ("fox, mink", "mink"))
    assert "shots-missing" not in rules_found(nobody)
    cat = report(bought, ("fox, mink", "mink"), ("guardians:", "pets: [cat]\nguardians:"))
    assert "shots-missing" in rules_found(cat)
    vaccinated = ("bought_in: no", "bought_in: yes\n    vaccinated: [newcastle, coccidiosis]")
    assert "shots-missing" not in rules_found(report(vaccinated))


def test_written_asks_whether_a_key_stands_in_the_file() -> None:
    unweighed = report(("  weight: 60 kg\n", ""), ("latches: two-step", "latches: simple"))
    assert "words" not in rules_found(unweighed)


def test_an_item_word_means_any_of_its_items() -> None:
    """The rule is asked unless every guardian is a person."""
    person = ("{kind: dog, count: 1, role: yard, distance: 20 m}", "{kind: person, count: 1}")
    alone = report(person, ("latches: two-step", "latches: simple"))
    assert "words" not in rules_found(alone)
    both = (person[0], "{kind: person, count: 1}\n  - {kind: dog, count: 1}")
    assert "words" in rules_found(report(both, ("latches: two-step", "latches: simple")))


def test_guardians_are_asked_one_by_one_as_far_as_it_makes_sense() -> None:
    """A dog has no voltage, a net of 3 kV bites, and one that was never measured is not checked."""
    nets = "{kind: electric net, count: 1, voltage: %s}"
    some = "\n  - ".join(["{kind: dog, count: 1}", nets % "2 kV", nets % "3 kV"])
    three = report(("{kind: dog, count: 1, role: yard, distance: 20 m}", some))
    weak = found(three, "net-weak")
    assert (weak.about, weak.place.path) == ("guardians.1", "guardians.1.voltage")
    assert weak.says == "Guardian 2 has 2 kV; 3 kV is felt through feathers and fur."
    assert three.asked == report().asked + 2


def test_a_limits_own_caution_stands_in_place_of_the_rules() -> None:
    over = found(report(("freeboard: 20 mm", "freeboard: 2 mm")), "outlet-spills")
    assert over.caution == "Wet ground is slippery."
    near = found(report(("freeboard: 20 mm", "freeboard: 9 mm")), "outlet-spills")
    assert (near.grade, near.caution) == ("watch", "Lift a full tank with two people.")


def test_a_finding_cites_the_worst_limit_first_and_each_source_once() -> None:
    cites = found(report(CROWDED), "tight").cites
    assert [cite.get("id", "common") for cite in cites] == [
        "little-paper",
        "common",
        "little-sheet",
    ]
