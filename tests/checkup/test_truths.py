"""Three-valued conditions, held against what they mean."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from flockcheck.checkup.truths import Tri, Truth, every, merged, some
from flockcheck.setup.view import Missing

UNKNOWN = Missing("pen.weight")
TRUTHS = st.sampled_from([True, False, UNKNOWN])
TRIS = TRUTHS | st.lists(TRUTHS, min_size=3, max_size=3)


def _words(truth: Truth) -> str:
    return "unknown" if isinstance(truth, Missing) else "true" if truth else "false"


def _by_day(tri: Tri) -> list[str]:
    return [_words(one) for one in (tri if isinstance(tri, list) else [tri] * 3)]


@given(st.lists(TRIS, min_size=1, max_size=4))
def test_all_must_hold_and_any_will_do_day_by_day(parts: list[Tri]) -> None:
    days = list(zip(*(_by_day(part) for part in parts), strict=True))
    wanted_all = [
        "false" if "false" in day else "unknown" if "unknown" in day else "true" for day in days
    ]
    wanted_any = [
        "true" if "true" in day else "unknown" if "unknown" in day else "false" for day in days
    ]
    assert _by_day(every(parts)) == wanted_all
    assert _by_day(some(parts)) == wanted_any


def test_of_nothing_all_hold_and_none_does() -> None:
    assert every([]) is True
    assert some([]) is False


def test_what_several_unknowns_lack_is_named_together_each_key_once() -> None:
    both = every([Missing("pen.weight", "site.slope"), Missing("site.slope", why="no table")])
    assert isinstance(both, Missing)
    assert (both.keys, both.why) == (("pen.weight", "site.slope"), "no table")
    assert merged([Missing("a"), Missing("b")]).keys == ("a", "b")
