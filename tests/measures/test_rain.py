"""What the rain reaches: the feed, and the place where the birds sleep."""

from __future__ import annotations

from tests.measures.measure_cases import missing_keys, run_of


def test_the_feed_is_dry_where_the_keeper_says_so() -> None:
    assert run_of({"feeders.0.under_roof": "yes"}).value("feed_sheltered", 0) is True
    assert run_of({"feeders.0.under_roof": "no"}).value("feed_sheltered", 0) is False


def test_without_any_roof_the_feed_gets_wet_and_nothing_need_be_written() -> None:
    assert run_of({"pen.roof.cover": "0 %"}).value("feed_sheltered", 0) is False
    own = {"pen.roof.cover": "0 %", "feeders.0.under_roof": "yes"}
    assert run_of(own).value("feed_sheltered", 0) is True


def test_a_roof_over_the_pen_does_not_say_where_the_feeder_stands() -> None:
    for cover in ("60 %", "100 %"):
        run = run_of({"pen.roof.cover": cover})
        assert missing_keys(run, "feed_sheltered", 0) == {"feeders.0.under_roof"}


def test_the_dry_floor_is_what_the_roof_covers() -> None:
    assert run_of().value("dry_floor") == 0.6


def test_a_house_or_a_whole_roof_keeps_all_of_them_dry_and_the_other_is_not_asked_for() -> None:
    house = {"care.night_house": "yes"}
    assert run_of(house, without=["pen.roof"]).value("dry_floor") == 1
    assert run_of({"pen.roof.cover": "100 %"}, without=["care"]).value("dry_floor") == 1


def test_what_is_not_written_is_asked_for_where_it_matters() -> None:
    assert missing_keys(run_of(without=["care.night_house"]), "dry_floor") == {"care.night_house"}
    assert missing_keys(run_of(without=["pen.roof"]), "dry_floor") == {"pen.roof.cover"}
