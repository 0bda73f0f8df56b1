"""What a club gives to a member's setup, what it asks of it, and how the report tells."""

from __future__ import annotations

import pytest

from flockcheck.checkup.model import Acceptance
from flockcheck.reports.jsonform import setup_data
from flockcheck.reports.text import write
from flockcheck.setup.written import Setup
from tests.club.club_cases import judged, member
from tests.little_cases import birds, found, little, may, rules_found

LAMP = ("lamp_supports: 2", "lamp_supports: 1")
PERIOD = "{from: 2027-05-20, to: 2027-05-25, day_high: 33 C, gust: 25 m/s}"


def told(setup: Setup) -> tuple[str, ...]:
    assert setup.club is not None
    return setup.club.told


def accepting(until: str, rule: str = "tight") -> tuple[str, str]:
    return ("care:", f"accepted: [{{rule: {rule}, because: so it is, until: {until}}}]\ncare:")


# --- what it gives


def test_weather_that_is_left_out_comes_from_the_club_and_the_members_own_wins() -> None:
    setup = member("weather: {night_low: -5 C, gust: 20 m/s, snow: 3 cm}")
    assert setup.values["weather.night_low"].value == 12
    assert setup.values["weather.gust"].value == 20
    assert told(setup) == ("weather.gust", "weather.snow")
    assert setup.is_written("weather.gust")
    assert setup.club is not None
    assert "weather" not in setup.club.given


def test_a_member_without_weather_gets_the_clubs() -> None:
    own = "weather: {night_low: 12 C, day_high: 20 C, rain: yes}\n"
    setup = member("weather: {gust: 20 m/s}", (own, ""))
    assert setup.club is not None
    assert setup.club.given == {"weather", "weather.gust"}
    assert setup.place("weather.rain") == ("weather", setup.marks["weather"])


def test_a_period_of_the_club_lacks_what_the_member_wrote_for_the_whole_stay() -> None:
    setup = member(f"weather:\n  periods:\n    - {PERIOD}")
    assert setup.lists["weather.periods"] == 1
    assert setup.values["weather.periods.0.gust"].value == 25
    assert "weather.periods.0.day_high" not in setup.values
    assert told(setup) == ("weather.periods.0.gust",)


def test_a_period_with_nothing_left_is_left_out_and_the_others_move_up() -> None:
    hot = "{from: 2027-05-10, to: 2027-05-11, day_high: 33 C}"
    setup = member(f"weather:\n  periods:\n    - {hot}\n    - {PERIOD}")
    assert setup.lists["weather.periods"] == 1
    assert setup.values["weather.periods.0.from"].text == "2027-05-20"
    assert "weather.periods" not in member(f"weather: {{periods: [{hot}]}}").lists


def test_a_member_with_periods_keeps_their_own_alone() -> None:
    own = ("rain: yes}", "rain: yes, periods: [{from: 2027-05-02, to: 2027-05-03, snow: 1 cm}]}")
    setup = member(f"weather:\n  periods:\n    - {PERIOD}", own)
    assert setup.lists["weather.periods"] == 1
    assert told(setup) == ()


def test_predators_are_added_to_the_members_each_once() -> None:
    setup = member("predators: [mink, hawk, crow]")
    assert setup.values["predators"].value == ("fox", "mink", "hawk", "crow")
    assert told(setup) == ("predators.hawk", "predators.crow")
    assert setup.club is not None
    assert setup.club.given == {"predators.2", "predators.3"}
    assert setup.marks["predators.2"].line == 2


def test_a_member_who_names_no_predator_gets_the_clubs() -> None:
    for own in ("predators: []\n", ""):
        setup = member("predators: [hawk]", ("predators: [fox, mink]\n", own))
        assert setup.values["predators"].value == ("hawk",)


def test_a_merged_setup_is_the_members_own_where_the_club_gives_nothing() -> None:
    setup, alone = member(""), member("least: stop")
    assert setup._replace(club=None) == alone._replace(club=None)
    assert told(setup) == ()


def test_a_finding_about_what_the_club_gave_points_into_the_clubs_file() -> None:
    report = judged("name: x\npredators: [weasel]", ("opening: 20 mm", "opening: 60 mm"))
    (weasel,) = [one for one in report.findings if one.about == "predators.2"]
    assert (weasel.place.club, weasel.place.line) == (True, 3)
    data = setup_data(report)
    (same,) = [one for one in data["findings"] if one["about"] == "predators.2"]
    assert (same["place"]["file"], same["place"]["line"]) == ("club.yaml", 3)
    assert (data["club"], data["from_club"]) == ("club.yaml", ["predators.weasel"])
    text = write([report], little(), ())
    assert "club.yaml:3" in text
    assert "From the club: predators.weasel." in text


def test_the_standards_of_the_club_are_judged_beside_the_members() -> None:
    report = judged("standards: [little-hall]")
    assert [one.name for one in report.standards] == ["little-hall"]
    assert report.from_club == ("standards.little-hall",)
    own = ("flockcheck: 1", "flockcheck: 1\nstandards: [little-perch]")
    both = judged("standards: [little-hall, little-perch]", own)
    assert [one.name for one in both.standards] == ["little-hall", "little-perch"]
    assert both.from_club == ("standards.little-hall",)


# --- what it asks


@pytest.mark.parametrize(
    ("keys", "lacks"),
    [
        ("pen.weight", ()),
        ("pen.height, mesh.wire", ("pen.height", "mesh.wire")),
        ("drinkers.holds, drinkers.lip", ("drinkers.lip",)),
        ("guardians.voltage", ("guardians.voltage",)),
        ("pets", ("pets",)),
        ("weather.gust", ("weather.gust",)),
    ],
)
def test_a_key_that_the_club_requires_is_missed_where_the_member_left_it_out(
    keys: str, lacks: tuple[str, ...]
) -> None:
    """The club's own gust is no answer of the member's."""
    report = judged(f"weather: {{gust: 5 m/s}}\nrequires: [{keys}]")
    assert report.required == lacks
    assert report.verdict == "ready"
    assert setup_data(report)["required"] == list(lacks)
    text = write([report], little(), ())
    assert ("Required by the club, and not written" in text) == bool(lacks)


def test_a_risk_is_accepted_no_longer_than_the_club_lets_it() -> None:
    """The mend begins on 2 May as a watch; ten days later is the 12th."""
    report = judged("accepting: {longest: 10 days}", birds(100), accepting("2027-05-31"))
    tight = found(report, "tight")
    assert tight.accepted == Acceptance("so it is", may(12), "club")
    assert tight.open_from == may(13)
    assert "no longer as the club has set" in " ".join(write([report], little(), ()).split())
    (data,) = setup_data(report)["findings"]
    assert data["accepted"] == {"because": "so it is", "until": "2027-05-12", "cut": "club"}


def test_what_has_no_days_is_accepted_from_the_day_the_birds_move_out() -> None:
    simple = ("latches: two-step", "latches: simple")
    report = judged("accepting: {longest: 1 week}", simple, accepting("2027-05-31", "words"))
    assert found(report, "words").accepted == Acceptance("so it is", may(8), "club")


def test_the_shorter_of_the_clubs_time_and_the_cautious_one_holds() -> None:
    long = judged("accepting: {longest: 200 days}", LAMP, accepting("2028-05-31", "lamp-loose"))
    assert found(long, "lamp-loose").accepted == Acceptance("so it is", may(31), "caution")
    short = judged("accepting: {longest: 5 days}", LAMP, accepting("2028-05-31", "lamp-loose"))
    assert found(short, "lamp-loose").accepted == Acceptance("so it is", may(6), "club")
    within = judged("accepting: {longest: 90 days}", birds(100), accepting("2027-05-31"))
    assert found(within, "tight").accepted == Acceptance("so it is", may(31))


def test_a_rule_that_may_not_be_accepted_counts_and_the_member_is_told() -> None:
    report = judged("accepting: {never: [tight]}", birds(100), accepting("2027-05-31"))
    tight = found(report, "tight")
    assert (tight.accepted, tight.counts) == (None, True)
    refused = found(report, "accepted-refused")
    assert refused.grade == "tip"
    assert refused.says == "The club does not let `tight` be accepted; what it finds counts."
    assert "accepted-nothing" not in rules_found(report)
