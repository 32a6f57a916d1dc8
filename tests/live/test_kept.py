"""A dear answer: made once however many ask, never for what people have decided otherwise since, seldom for the sake of marks."""

import asyncio

import pytest

from app.live import kept
from app.live.kept import REST, Kept, MadeOnce


class Kitchen:
    """Makes values that say what they were made for, and counts."""

    def __init__(self, takes_s: float = 0.02) -> None:
        self.kept, self.made, self.takes_s = Kept[tuple[str, int]](), 0, takes_s

    async def ask(self, decided: str, version: int, exact: bool = False) -> tuple[str, int]:
        """One who asks."""

        async def make() -> tuple[str, int]:
            self.made += 1
            await asyncio.sleep(self.takes_s)
            if decided == "burnt":
                raise ValueError("burnt")
            return decided, version

        return await self.kept.newest(decided, version, make, exact=exact)


def test_however_many_ask_it_is_made_once_until_something_changes() -> None:
    async def played() -> None:
        kitchen = Kitchen()
        assert set(await asyncio.gather(*(kitchen.ask("a", 1) for _ in range(50)))) == {("a", 1)}
        assert (await kitchen.ask("a", 1), await kitchen.ask("a", 0), kitchen.made) == (("a", 1), ("a", 1), 1)

    asyncio.run(played())


def test_nobody_is_given_one_that_was_made_before_somebody_decided() -> None:
    async def played() -> None:
        kitchen = Kitchen()
        first = asyncio.create_task(kitchen.ask("a", 1))
        await asyncio.sleep(0)
        said = await asyncio.gather(*(kitchen.ask(which, 1) for which in "abab"), first)
        assert [one[0] for one in said] == ["a", "b", "a", "b", "a"]

    asyncio.run(played())


def test_while_marks_come_it_is_made_for_a_fifth_of_the_time_and_the_one_before_is_given(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "SOON_S", 0.0)

    async def played() -> None:
        kitchen, clock = Kitchen(takes_s=0.01), asyncio.get_running_loop().time
        await kitchen.ask("a", 0)
        begun, version = clock(), 0
        while kitchen.made < 4:
            version += 1
            given = await kitchen.ask("a", version)
            assert given[0] == "a" and given[1] <= version
            await asyncio.sleep(0.001)
        assert clock() - begun >= 3 * REST * kitchen.takes_s, "after each it rests"

    asyncio.run(played())


def test_what_is_to_be_exact_waits_for_no_rest() -> None:
    async def played() -> None:
        kitchen = Kitchen()
        said = [await kitchen.ask("a", version, exact=True) for version in range(5)]
        assert said == [("a", version) for version in range(5)]

    asyncio.run(played())


def test_when_it_has_rested_the_newest_is_given(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "REST", 0)
    monkeypatch.setattr(kept, "SOON_S", 30)

    async def played() -> None:
        kitchen = Kitchen()
        await kitchen.ask("a", 1)
        assert await kitchen.ask("a", 2) == ("a", 2)

    asyncio.run(played())


def test_what_can_not_be_made_is_told_to_each_and_tried_again() -> None:
    async def played() -> None:
        kitchen = Kitchen()
        told = await asyncio.gather(*(kitchen.ask("burnt", 1) for _ in range(3)), return_exceptions=True)
        assert all(isinstance(one, ValueError) for one in told)
        assert await kitchen.ask("a", 1) == ("a", 1)

    asyncio.run(played())


def test_of_what_never_changes_something_is_made_once_and_so_many_are_kept() -> None:
    made, kept = list[str](), MadeOnce[str](2)
    for name in ("a", "b", "a", "c", "a", "b"):
        assert kept.of(name, lambda name=name: made.append(name) or name * 2) == name * 2  # type: ignore[misc, func-returns-value]
    assert made == ["a", "b", "c", "b"]
