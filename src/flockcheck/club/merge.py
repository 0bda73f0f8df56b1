"""A member's setup with what the club gives: a pure function, and every value given is told."""

from __future__ import annotations

from flockcheck.club.settings import Settings
from flockcheck.setup.reader import Part
from flockcheck.setup.written import FromClub, Setup, Written
from flockcheck.text.document import Mark

_PERIODS = "weather.periods"


def with_club(setup: Setup, club: Settings) -> Setup:
    """A setup as the club judges it.

    The district's weather fills in what the member left out, its predators and standards are added
    to the member's, and the setup says which is which. A member's own keys win: also over the same
    key of a period that the club gives.
    """
    lacks = tuple(key.replace(".*", "") for key in club.requires if not _written(setup, key))
    work = _Merging(setup, club)
    work.weather()
    work.words("predators", _given_words(club.given, "predators"))
    work.words("standards", {name: Mark(line, 1, 0) for name, line in club.standards.items()})
    return setup._replace(
        values=work.values,
        lists=work.lists,
        marks=work.marks,
        club=FromClub(
            file=club.file,
            given=frozenset(work.given),
            told=tuple(work.told),
            lacks=lacks,
            longest=club.longest,
            never=frozenset(club.never),
        ),
    )


class _Merging:
    """What becomes of a setup's parts; `given` and `told` are as in FromClub."""

    def __init__(self, setup: Setup, club: Settings) -> None:
        self.setup = setup
        self.part = club.given
        self.values = dict(setup.values)
        self.lists = dict(setup.lists)
        self.marks = dict(setup.marks)
        self.given: set[str] = set()
        self.told: list[str] = []

    def weather(self) -> None:
        """The weather that the member left out, and the periods where the member has none."""
        for path, written in self.part.values.items():
            if path.startswith("weather.") and not path.startswith(_PERIODS):
                self._give(path, written)
        if _PERIODS not in self.setup.marks:
            self._periods()
        if self.given:
            self._mark("weather", self.part.marks["weather"])

    def _periods(self) -> None:
        count = 0
        for at in range(self.part.lists.get(_PERIODS, 0)):
            below = f"{_PERIODS}.{at}."
            own = {
                path.removeprefix(below): written
                for path, written in self.part.values.items()
                if path.startswith(below)
            }
            left = {
                key: written
                for key, written in own.items()
                if key in ("from", "to") or f"weather.{key}" not in self.setup.values
            }
            if left.keys() <= {"from", "to"}:
                continue
            for key, written in left.items():
                self._give(f"{_PERIODS}.{count}.{key}", written, tell=key not in ("from", "to"))
            self._mark(f"{_PERIODS}.{count}", self.part.marks[f"{_PERIODS}.{at}"])
            count += 1
        if count:
            self.lists[_PERIODS] = count
            self._mark(_PERIODS, self.part.marks[_PERIODS])

    def words(self, key: str, added: dict[str, Mark]) -> None:
        """A list of words with those of the club after the member's."""
        old = self.setup.values.get(key)
        own: tuple[str, ...] = old.value if old is not None else ()
        new = {word: mark for word, mark in added.items() if word not in own}
        if not new:
            return
        words = (*own, *new)
        first = next(iter(new.values()))
        for at, (word, mark) in enumerate(new.items(), len(own)):
            self._mark(f"{key}.{at}", mark)
            self.told.append(f"{key}.{word}")
        if old is None:
            self._mark(key, first)
        start, end = (old.start, old.end) if old is not None else (first, first)
        self.values[key] = Written(words, ", ".join(words), start, end)

    def _give(self, path: str, written: Written, *, tell: bool = True) -> None:
        if path not in self.setup.values:
            self.values[path] = written
            self.given.add(path)
            if tell:
                self.told.append(path)

    def _mark(self, path: str, mark: Mark) -> None:
        if path not in self.setup.marks:
            self.marks[path] = mark
            self.given.add(path)


def _given_words(part: Part, key: str) -> dict[str, Mark]:
    written = part.values.get(key)
    words = written.value if written is not None else ()
    return {word: part.marks[f"{key}.{at}"] for at, word in enumerate(words)}


def _written(setup: Setup, key: str) -> bool:
    """Whether a member wrote a key; with `*`, whether every entry of the list has it."""
    of, star, rest = key.partition(".*.")
    if not star:
        return setup.is_written(key)
    count = setup.lists.get(of, 0)
    return count > 0 and all(_written(setup, f"{of}.{at}.{rest}") for at in range(count))
