"""Who gets a place, who makes room, who is cut: without a network, on a clock that the test turns."""

import sys
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.listening.doorkeeper import NEVER, SPARE_FILES, Doorkeeper, Limits, Line, open_files

FEW = Limits(connections=6, reserve=0, per_address=3, known_per_address=2, new_per_second=1000, new_at_once=1000)


class Hall:
    """A doorkeeper, and the names of those it cut."""

    def __init__(self, limits: Limits = FEW) -> None:
        self.keeper, self.cut, self.now = Doorkeeper(limits), list[str](), 100.0

    def comes(self, name: str, address: str = "a", own: bool = False) -> Line | None:
        self.now += 0.001
        return self.keeper.admit(address, own, self.now, lambda: self.cut.append(name))

    def is_in(self, name: str, address: str = "a", own: bool = False) -> Line:
        line = self.comes(name, address, own)
        assert line is not None
        return line


def test_an_address_has_so_many_places_and_gets_them_back() -> None:
    hall = Hall()
    lines = [hall.is_in(name) for name in ("one", "two", "three")]
    assert hall.comes("four") is None and hall.comes("other", "b") is not None
    hall.keeper.leave(lines[0])
    hall.keeper.leave(lines[0])
    assert hall.comes("four") is not None and hall.comes("five") is None


def test_this_computer_is_not_counted_by_address() -> None:
    hall = Hall()
    assert all(hall.comes(str(n), "me", own=True) for n in range(5))


def test_known_ones_are_counted_apart_and_are_not_endless_either() -> None:
    hall = Hall()
    for name in ("one", "two", "three"):
        hall.is_in(name).vouch()
    assert [line.known for line in sorted(hall.keeper.lines, key=lambda line: line.since)] == [True, True, False]
    assert hall.comes("four") and hall.comes("five") and hall.comes("six") is None


def test_a_full_house_makes_room_by_the_stranger_who_has_rested_longest() -> None:
    hall = Hall()
    judge, busy, answered, *_ = (hall.is_in(str(n), f"address {n}") for n in range(6))
    judge.vouch()
    busy.works(True)
    answered.works(True)
    answered.works(False)  # so it has rested for less long than those that have asked nothing at all
    hall.now += FEW.rest_seconds + 1
    for name in ("7", "8", "9", "10"):
        assert hall.comes(name, f"address {name}")
    assert hall.cut == ["3", "4", "5", "2"], "never the judge or the one being answered"


def test_who_has_just_come_is_not_pushed_out_by_the_next() -> None:
    hall = Hall()
    for n in range(6):
        hall.is_in(str(n), f"address {n}")
    assert hall.comes("7", "b") is None and hall.cut == []


def test_where_only_judges_and_streams_are_nobody_makes_room() -> None:
    hall = Hall()
    for n in range(6):
        line = hall.is_in(str(n), f"address {n}")
        line.vouch() if n % 2 else line.works(True)
    hall.now += FEW.rest_seconds + 1
    assert hall.comes("7", "b") is None and hall.cut == []


def test_some_places_are_kept_for_where_judges_come_from_and_for_this_computer() -> None:
    hall = Hall(replace(FEW, reserve=2))
    judge = hall.is_in("judge", "a")
    judge.vouch()
    hall.keeper.leave(judge)
    assert [hall.comes(str(n), f"address {n}") is not None for n in range(5)] == [True] * 4 + [False]
    assert hall.comes("judge again", "a") and hall.comes("laptop", "me", own=True) and hall.comes("one more", "a") is None


def test_new_ones_come_at_a_pace() -> None:
    hall = Hall(replace(FEW, per_address=1000, connections=1000, new_per_second=10, new_at_once=5))
    hall.now = 50.0
    assert sum(hall.comes(str(n)) is not None for n in range(20)) == 5
    hall.now += 1
    assert sum(hall.comes(str(n)) is not None for n in range(20)) in (5, 6)


def test_who_has_had_its_time_is_cut_and_who_works_is_not() -> None:
    hall = Hall()
    slow, working = hall.is_in("slow"), hall.is_in("working")
    working.until = NEVER
    assert slow.until == slow.since + FEW.head_seconds
    assert hall.keeper.cut_overdue(slow.until) == 0 and hall.keeper.cut_overdue(slow.until + 0.01) == 1
    assert hall.cut == ["slow"]


def test_a_reader_is_cut_when_it_reads_too_little_and_not_for_having_much_to_read() -> None:
    hall = Hall()
    reader, left = hall.is_in("reader"), [5_000_000]
    reader.until, reader.waiting = NEVER, lambda: left[0]
    reader.must_read(hall.now, FEW)
    for _ in range(5):
        hall.now += FEW.unread_seconds + 0.1
        left[0] -= FEW.unread_bytes
        assert hall.keeper.cut_overdue(hall.now) == 0
    left[0] -= FEW.unread_bytes - 1
    assert hall.keeper.cut_overdue(hall.now + FEW.unread_seconds + 0.1) == 1


def test_addresses_that_are_gone_are_forgotten() -> None:
    hall = Hall(replace(FEW, connections=10_000))
    for n in range(100):
        hall.keeper.leave(hall.is_in("x", f"address {n}"))
    stays = hall.is_in("stays", "there")
    stays.until = NEVER
    hall.keeper.cut_overdue(hall.now + 1000)
    assert list(hall.keeper._addresses) == ["there"]


@pytest.mark.skipif(sys.platform == "win32", reason="there sockets are not files")
def test_there_are_never_more_places_than_open_files(monkeypatch: pytest.MonkeyPatch) -> None:
    import resource

    asked: list[tuple[int, int]] = []
    monkeypatch.setattr(resource, "getrlimit", lambda which: (256, 4096))
    monkeypatch.setattr(resource, "setrlimit", lambda which, limits: asked.append(limits))
    assert open_files(50) == 50 and asked == []
    assert open_files(1000) == 1000 and asked == [(1000 + SPARE_FILES, 4096)]
    assert open_files(20_000) == 4096 - SPARE_FILES


@given(st.lists(st.tuples(st.sampled_from("abcd"), st.sampled_from(("come", "leave", "vouch", "busy", "rest")))))
def test_whatever_happens_the_counts_hold(story: list[tuple[str, str]]) -> None:
    hall, inside = Hall(), list[Line]()
    for address, what in story:
        hall.now += 0.3
        inside = [line for line in inside if line in hall.keeper.lines]
        if what == "come":
            if line := hall.comes("x", address):
                inside.append(line)
        elif inside:
            line = inside[len(story) % len(inside)]
            if what == "leave":
                hall.keeper.leave(line)
            elif what == "vouch":
                line.vouch()
            else:
                line.works(what == "busy")
        lines = hall.keeper.lines
        assert len(lines) <= FEW.connections and all(line in lines and not line.known for line in hall.keeper.idle)
        for name, here in hall.keeper._addresses.items():
            mine = [line for line in lines if line.address == name]
            assert here.known == sum(line.known for line in mine) and here.strangers == len(mine) - here.known
            assert here.strangers <= FEW.per_address and here.known <= FEW.known_per_address
