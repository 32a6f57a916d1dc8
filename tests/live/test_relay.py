"""Two halls over one PostgreSQL, as two server processes are: what one does, the other has, in order and without a gap."""

import asyncio
import math
import random
import threading
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import event

from app.doors.coaches import change_lifters
from app.doors.pairing import invite, look_at_invitation
from app.elsewhere import Elsewhere
from app.floor.floor import day
from app.floor.judging import record_marks
from app.floor.timing import go
from app.hall.changing import change_roster
from app.hall.devices import Who, name_device, new_session, of_device, send_away, who_is
from app.hall.guessing import TooManyGuesses, WrongSecret
from app.hall.hall import Hall
from app.keep.backups import _our_turn, back_up
from app.keep.health import health
from app.live import relay
from app.live.guesses import MOST_PER_ADDRESS
from app.live.presence import Report
from app.live.servertime import this_machine
from app.planning.worker import Worker
from app.rules.records.marks import mark_plain
from app.server import open_hall
from app.settings import Settings
from app.store import news
from app.store.database import Database
from app.store.devices import put_device, see_device
from app.store.engines import TAKE_TURN
from app.store.kinds import RUNS
from app.store.roster import put_competition, put_everything, read_competition
from app.web.streams import Places
from tests.postgres import needed_cluster
from tests.store.making import a_mark, a_roster, a_run

pytestmark = pytest.mark.slow

PATIENCE_S = 20.0
LANE_1 = Who("tab_1", "lane", 1)


@pytest.fixture
def url() -> str:
    """The address of a store with a competition in it."""
    made = needed_cluster().ready_store()
    database = Database(made)
    database.write(lambda s: put_everything(s, a_roster(), (a_run(),), ()))
    database.close()
    return made


@asynccontextmanager
async def halls(url: str, folder: Path, count: int = 2) -> AsyncIterator[list[Hall]]:
    """So many server processes' halls, all of which hear each other."""
    opened = [open_hall(Settings(data=folder, database_url=url), this_machine()) for _ in range(count)]
    try:
        for hall in opened:
            Elsewhere(hall).open()
        await until(lambda: not any(hall.relay.deaf for hall in opened))
        yield opened
    finally:
        for hall in opened:
            await hall.relay.close()
            hall.database.close()


async def until(held: Callable[[], object]) -> None:
    """Waits for a state."""
    async with asyncio.timeout(PATIENCE_S):
        while not held():  # noqa: ASYNC110  it may be the database that is asked
            await asyncio.sleep(0.005)


def seqs(hall: Hall, sheet: str = "asg_1/1/lane") -> list[int]:
    """The numbers of the marks that a hall's standings are made of."""
    return sorted(mark.seq for mark in hall.projection.sheet_marks(sheet))


def test_marks_sent_to_one_process_stand_on_the_board_of_the_other_and_are_held_there(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            with other.hub.subscribe("board") as board, other.hub.subscribe("lane:1") as lane:
                await record_marks(one, LANE_1, [mark_plain(a_mark(n)) for n in (1, 2)])
                await board.next(PATIENCE_S)
                told = await lane.next(PATIENCE_S)
            assert [mark["seq"] for mark in told["marks"]] == [1, 2]
            assert seqs(other) == [1, 2] and other.ledger.held("tab_1") == {1: 2}
            assert other.projection.sheet_tally("asg_1/1/lane") == one.projection.sheet_tally("asg_1/1/lane")
            receipt = await record_marks(other, LANE_1, [mark_plain(a_mark(n)) for n in (2, 3)])
            assert receipt.held["held"] == {"1": 3}
            await until(lambda: seqs(one) == [1, 2, 3])

    asyncio.run(play())


def test_a_go_pressed_in_one_process_starts_the_lanes_that_are_connected_to_another(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            await change_roster(one, lambda s: RUNS.put(s, a_run(state="stopped", why="false start")))
            await until(lambda: [run.state for run in other.projection.runs] == ["stopped"])
            with other.hub.subscribe("lane:2") as lane, other.hub.subscribe("desk") as desk:
                run = await go(one, "het_1", {})
                told = await lane.next(PATIENCE_S)
                await desk.next(PATIENCE_S)
            assert (told["type"], told["heat"], told["number"]) == ("run", "het_1", 2)
            assert other.projection.runs[-1] == run

    asyncio.run(play())


def test_changes_made_in_turns_by_both_are_the_same_everywhere(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as both:
            chance = random.Random(5)

            async def rename(number: int) -> None:
                hall = both[number % 2]
                roster = hall.projection.roster
                assert roster is not None
                named = roster.competition.model_copy(update={"name": f"Cup {number}"})
                await asyncio.sleep(chance.random() / 20)
                await change_roster(hall, lambda s: put_competition(s, named))

            await asyncio.gather(*(rename(number) for number in range(24)))
            last = both[0].database.read(read_competition)
            await until(lambda: all(hall.projection.roster and hall.projection.roster.competition == last for hall in both))

    asyncio.run(play())


def test_a_device_sent_away_in_one_process_is_refused_in_the_other_and_its_socket_ends(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            device, token = new_session("lane", 1, "Lane 1 tablet", one.time.wall_ms())
            await one.database.awrite(lambda s: put_device(s, device))
            who = await who_is(other, token)
            assert who is not None and other.presence.known(device.token_hash) == who, "it is remembered there"
            ended: list[str] = []
            other.presence.arrived(who, other.time.server_ms(), ended.append)
            await name_device(one, device.id, "Blue tablet")
            await until(lambda: (seen := other.presence.of(device.id)) is not None and seen.device.name == "Blue tablet")
            await send_away(one, device.id, "Ask the desk.")
            await until(lambda: ended == ["Ask the desk."])
            assert await who_is(other, token) is None

    asyncio.run(play())


def test_a_lifter_taken_from_a_coach_in_one_process_is_gone_in_the_other_and_its_line_hears_so(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            device, token = new_session("coach", None, "Petra", one.time.wall_ms())
            await one.database.awrite(lambda s: put_device(s, replace(device, entries=("ent_1", "ent_2"))))
            who = await who_is(other, token)
            assert who is not None and who.entries == ("ent_1", "ent_2") and other.presence.known(device.token_hash) == who
            with other.hub.subscribe(of_device(device.id)) as line:
                await change_lifters(one, device.id, {"lifter-ent_1": "on"})
                assert await line.next(PATIENCE_S) == {"type": "packet"}
            now = await who_is(other, token)
            assert now is not None and now.entries == ("ent_1",)

    asyncio.run(play())


def test_a_process_that_was_stopped_for_a_while_takes_nobody_from_memory_before_it_has_heard_who_was_sent_away(
    url: str, tmp_path: Path
) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            device, token = new_session("lane", 1, "Lane 1 tablet", one.time.wall_ms())
            await one.database.awrite(lambda s: put_device(s, device))
            assert await who_is(other, token) is not None and other.presence.known(device.token_hash) is not None
            assert other.relay._line is not None
            other.relay._line._heard = lambda word: None
            await send_away(one, device.id)
            other.relay._last_beat -= relay.TRUSTED_S  # so long it did nothing; what comes now comes before its next beat
            assert not other.relay.deaf and await who_is(other, token) is None

    asyncio.run(play())


@pytest.mark.parametrize("used_there", [True, False])
def test_a_session_that_is_used_in_another_process_does_not_end_here_for_want_of_use(
    used_there: bool, url: str, tmp_path: Path
) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            _, idle_ms = one.settings.session_ms("desk")
            device, token = new_session("desk", None, "Desk", one.time.wall_ms() - idle_ms - 60_000)
            seen = replace(device, seen_wall_ms=one.time.wall_ms() - idle_ms // 2)
            await one.database.awrite(lambda s: put_device(s, seen))
            assert await who_is(other, token) is not None
            await other.database.awrite(lambda s: None)  # its writer has noted that use, and does not do so after what follows
            other.presence.lives._lives[device.id].last_ms -= idle_ms  # as if that much time had passed since
            last = one.time.wall_ms() - (0 if used_there else idle_ms + 1)
            await one.database.awrite(lambda s: see_device(s, device.id, last, ""))
            assert (await who_is(other, token) is not None) is used_there

    asyncio.run(play())


def test_the_desk_sees_a_tablet_that_is_connected_to_another_process(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path, 3) as (one, other, third):
            bye: list[str] = []
            other.presence.arrived(LANE_1, other.time.server_ms(), bye.append)
            other.presence.heard("tab_1", other.time.server_ms(), Report(outbox=7, heat="het_1", trouble="no-disk"))
            await until(lambda: (seen := one.presence.of("tab_1")) is not None and seen.report.outbox == 7)
            (seen,) = one.presence.everybody()
            assert seen.online(one.time.server_ms()) and (seen.sockets, seen.report.trouble) == (1, "no-disk")
            third.presence.arrived(LANE_1, third.time.server_ms(), bye.append)
            await until(lambda: (seen := one.presence.of("tab_1")) is not None and seen.sockets == 2)
            third.presence.left("tab_1", bye.append)
            await other.relay.close()
            await until(lambda: (seen := one.presence.of("tab_1")) is not None and not seen.online(one.time.server_ms()))

    asyncio.run(play())


def test_a_line_that_is_cut_is_told_of_and_what_was_missed_is_read_when_it_is_whole_again(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            device, token = new_session("lane", 1, "Lane 1 tablet", one.time.wall_ms())
            await one.database.awrite(lambda s: put_device(s, device))
            assert await who_is(other, token) is not None
            assert other.relay._line is not None
            hears, other.relay._line._heard = other.relay._line._heard, lambda word: None  # the network swallows everything
            await record_marks(one, LANE_1, [mark_plain(a_mark(n)) for n in (1, 2)])
            await change_roster(one, lambda s: RUNS.put(s, a_run(state="stopped", why="x")))
            await until(lambda: other.relay.deaf)
            assert (await health(other)).plain() == {"well": False, "stores": True, "hears": False}
            told = day(other, "").needs
            assert any("hears nothing from the database" in need.sentence for need in told) and told[0].urgency == 1
            assert other.presence.known(device.token_hash) is None, "nobody is trusted from memory meanwhile"
            await until(lambda: seqs(other) == [1, 2] and [run.state for run in other.projection.runs] == ["stopped"])
            assert other.relay.deaf, "what it is not told it reads by itself, a beat later"
            await record_marks(one, LANE_1, [mark_plain(a_mark(3))])
            other.relay._line._heard = hears
            await until(lambda: not other.relay.deaf)
            assert (await health(other)).well and not any("hears nothing" in need.sentence for need in day(other, "").needs)
            await until(lambda: seqs(other) == [1, 2, 3])

    asyncio.run(play())


def test_a_connection_that_is_ended_by_the_server_is_made_again(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            listening = (
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE query LIKE 'LISTEN %' AND application_name = '{}'"
            )
            was_deaf: list[bool] = []
            hear = other.relay._ears.deaf  # type: ignore[union-attr]
            other.relay._ears.deaf = lambda deaf: (was_deaf.append(deaf), hear(deaf))[1]  # type: ignore[union-attr, method-assign]
            assert needed_cluster().ask(listening.format(other.database.origin)) == [(True,)]
            await record_marks(one, LANE_1, [mark_plain(a_mark(1))])
            await until(lambda: seqs(other) == [1])
            await until(lambda: was_deaf[-1:] == [False])
            assert was_deaf == [True, False]

    asyncio.run(play())


def test_who_was_deaf_for_longer_than_news_are_kept_reads_everything_again(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            assert other.relay._line is not None
            other.relay._last_beat = math.inf  # and does not know that it is deaf
            gone: list[str] = []
            other.presence.arrived(Who("dev_9", "lane", 2), other.time.server_ms(), gone.append)
            hears, other.relay._line._heard = other.relay._line._heard, lambda word: None
            await record_marks(one, LANE_1, [mark_plain(a_mark(n)) for n in (1, 2, 3)])
            await change_roster(one, lambda s: RUNS.put(s, a_run(state="stopped", why="x")))
            await record_marks(one, LANE_1, [mark_plain(a_mark(4))])
            one.database.write(
                lambda s: s.connection().exec_driver_sql("DELETE FROM news WHERE number < (SELECT max(number) FROM news)")
            )
            other.relay._line._heard = hears
            other.relay._line.renew()
            await until(lambda: seqs(other) == [1, 2, 3, 4])
            assert [run.state for run in other.projection.runs] == ["stopped"] and other.ledger.held("tab_1") == {1: 4}
            assert gone, "a device that is not paired (any more) is sent away"

    asyncio.run(play())


def test_a_page_can_wait_for_what_another_process_has_committed_however_late_its_notice_comes(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def never(found: object) -> None:
        await asyncio.Event().wait()

    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            assert other.relay._line is not None
            other.relay._line._heard = lambda word: None
            await record_marks(one, LANE_1, [mark_plain(a_mark(1))])
            await change_roster(one, lambda s: RUNS.put(s, a_run(state="stopped", why="x")))
            assert await other.relay.caught_up()
            assert seqs(other) == [1] and [run.state for run in other.projection.runs] == ["stopped"]
            assert await one.relay.caught_up()
            assert seqs(one) == [1], "one's own are there without waiting"
            monkeypatch.setattr(relay, "CATCH_UP_S", 0.05)
            monkeypatch.setattr(other.relay._ears, "take_news", never)
            await record_marks(one, LANE_1, [mark_plain(a_mark(2))])
            assert not await other.relay.caught_up() and seqs(other) == [1], "and what did not come is not said to be there"

    asyncio.run(play())


def test_what_is_stored_while_everything_is_read_anew_is_not_lost_from_the_standings(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            ears = other.relay._ears
            assert ears is not None
            whole, reading = ears.take_everything, asyncio.Event()

            async def slowly() -> int:
                """The store is read, and before that is taken over this very process stores a mark and hears of it."""
                database = other.database
                aread = database.aread

                async def and_then(work: Callable[..., object]) -> object:
                    found = await aread(work)
                    if not reading.is_set():
                        reading.set()
                        await record_marks(other, Who("tab_2", "lane", 2), [mark_plain(a_mark(1, "tab_2", sheet="asg_2/1/lane"))])
                        await asyncio.sleep(0.1)
                    return found

                database.aread = and_then  # type: ignore[method-assign, assignment]
                try:
                    return await whole()
                finally:
                    database.aread = aread  # type: ignore[method-assign]

            ears.take_everything = slowly  # type: ignore[method-assign]
            other.relay._anew = True
            await record_marks(one, LANE_1, [mark_plain(a_mark(1))])
            await until(reading.is_set)
            await until(lambda: seqs(other) == [1] and seqs(other, "asg_2/1/lane") == [1])

    asyncio.run(play())


async def wrong_tries(halls_in_turn: list[Hall], count: int) -> list[type[Exception] | None]:
    """Guesses at a pairing code, all at once, each at another process: what became of each."""

    async def one(number: int) -> type[Exception] | None:
        try:
            await look_at_invitation(halls_in_turn[number % len(halls_in_turn)], f"{number:06}", "192.168.1.66", None)
        except (WrongSecret, TooManyGuesses) as refused:
            return type(refused)
        return None

    return await asyncio.gather(*(one(number) for number in range(count)))


def test_guesses_made_at_all_processes_at_once_are_counted_together(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path, 3) as several:
            older = await invite(several[0], "lane", 2)
            became = await wrong_tries(several, 12)
            assert (became.count(WrongSecret), became.count(TooManyGuesses)) == (MOST_PER_ADDRESS, 12 - MOST_PER_ADDRESS)
            with pytest.raises(TooManyGuesses):
                await look_at_invitation(several[1], older.code, "192.168.1.66", None)
            promise = await look_at_invitation(several[1], older.code, "192.168.1.67", None)
            assert promise.lane == 2

    asyncio.run(play())


def test_places_for_streams_are_counted_together(url: str, tmp_path: Path) -> None:
    def cut() -> None:
        """Whoever has to make room."""

    async def play() -> None:
        opened = [open_hall(Settings(data=tmp_path, database_url=url), this_machine()) for _ in range(2)]
        counted = [Places(3, 2), Places(3, 2)]
        for hall, places in zip(opened, counted, strict=True):
            Elsewhere(hall, {"public": places}).open()
        assert counted[0].take("192.168.1.8", False, cut) and counted[0].take("192.168.1.8", False, cut)
        await until(lambda: not counted[1].take("192.168.1.8", False, cut) or counted[1].leave("192.168.1.8", cut))
        assert counted[1].take("192.168.1.9", False, cut) and not counted[1].take("192.168.1.10", False, cut), "three in all"
        await opened[0].relay.close()
        await until(lambda: counted[1].take("192.168.1.8", False, cut))
        await opened[1].relay.close()
        for hall in opened:
            hall.database.close()

    asyncio.run(play())


class Searching(Worker):
    """A search that can only be told that it is enough."""

    def __init__(self, told: Callable[[], None]) -> None:
        self.enough = told  # type: ignore[method-assign]


def test_a_search_for_a_plan_and_a_backup_are_known_to_all(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            one.planner.told = {"stage": "times"}
            one.planner._task = asyncio.create_task(asyncio.sleep(60))
            await until(lambda: other.planner.busy and other.planner.told == {"stage": "times"})
            ended: list[bool] = []
            one.planner._worker = Searching(lambda: ended.append(True))
            other.planner.enough()
            await until(lambda: ended)
            one.planner._task.cancel()
            await until(lambda: not other.planner.busy)
            made = await back_up(one)
            await until(lambda: other.backups.last == made)

    asyncio.run(play())


def test_of_several_processes_one_makes_the_backup_that_is_due(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path, 3) as several:
            turns = [await _our_turn(hall, 300) for hall in several]
            assert turns == [True, False, False]

    asyncio.run(play())


def in_order(url: str, seen: list[int], over: threading.Event) -> None:
    """Reads news by number as a process does, as fast as it can."""
    database = Database(url)
    while True:
        last_time = over.is_set()
        last = seen[-1] if seen else 0
        found = database.read(lambda s, last=last: news.since(s, last)).news
        seen += [one.number for one in found]
        if last_time and not found:
            break
    database.close()


def tell_some(url: str, count: int) -> None:
    """One process's changes, each taking a moment between its number and its commit."""
    database = Database(url)
    chance = random.Random(url)

    def work(session: object) -> None:
        news.tell(session, "records")  # type: ignore[arg-type]
        session.connection().exec_driver_sql(f"SELECT pg_sleep({chance.random() / 100})")  # type: ignore[attr-defined]

    for _ in range(count):
        database.write(work)
    database.close()


def test_whoever_reads_by_number_while_many_write_misses_nothing() -> None:
    url = needed_cluster().ready_store()
    seen: list[int] = []
    over = threading.Event()
    reader = threading.Thread(target=in_order, args=(url, seen, over))
    writers = [threading.Thread(target=tell_some, args=(url, 8)) for _ in range(6)]
    for thread in (reader, *writers):
        thread.start()
    for thread in writers:
        thread.join()
    over.set()
    reader.join()
    assert len(seen) == len(set(seen)) == 6 * 8 and seen == sorted(seen)


def without_turns(database: Database) -> None:
    """Lets a store write beside others, as it would without the lock."""

    def change(_connection: object, _cursor: object, statement: str, parameters: object, *_: object) -> tuple[str, object]:
        return statement.replace(TAKE_TURN, "SELECT 1"), parameters

    event.listen(database._write_engine, "before_cursor_execute", change, retval=True)


@pytest.mark.parametrize("turns", [True, False])
def test_without_turns_a_later_number_would_be_committed_first_and_the_earlier_one_missed(turns: bool) -> None:
    url = needed_cluster().ready_store()
    slow, quick = Database(url), Database(url)
    if not turns:
        without_turns(slow)
        without_turns(quick)
    told, go_on = threading.Event(), threading.Event()

    def slowly(session: object) -> int:
        number = news.tell(session, "records")  # type: ignore[arg-type]
        told.set()
        assert go_on.wait(PATIENCE_S)
        return number

    first = slow.submit(slowly)
    assert told.wait(PATIENCE_S)
    second = quick.submit(lambda session: news.tell(session, "records"))
    if not turns:
        second.result(PATIENCE_S)
    seen = [one.number for one in quick.read(lambda s: news.since(s, 0)).news]
    go_on.set()
    numbers = [first.result(PATIENCE_S), second.result(PATIENCE_S)]
    last = seen[-1] if seen else 0
    seen += [one.number for one in quick.read(lambda s: news.since(s, last)).news]
    slow.close()
    quick.close()
    assert numbers == sorted(numbers)
    assert seen == (numbers if turns else numbers[1:]), "the control misses the first"


def test_on_sqlite_a_process_is_alone_and_says_nothing(tmp_path: Path) -> None:
    async def play() -> None:
        hall = open_hall(Settings(data=tmp_path), this_machine())
        Elsewhere(hall).open()
        assert hall.relay.alone and not hall.relay.deaf and hall.relay.say("beat")
        assert hall.presence.trusts() and hall.relay.hears() and hall.hub.elsewhere is None
        await hall.relay.close()
        hall.database.close()

    asyncio.run(play())


def test_words_are_packed_into_as_few_as_fit(url: str, tmp_path: Path) -> None:
    async def play() -> None:
        async with halls(url, tmp_path) as (one, other):
            bye: list[str] = []
            many = [Who(f"dev_{n}", "lane", n, "Ü" * 40) for n in range(1, 200)]
            for who in many:
                one.presence.arrived(who, one.time.server_ms(), bye.append)
            await until(lambda: all(other.presence.of(who.device_id) for who in many))
            assert not one.relay.say("hub", "x" * 9_000), "what is too long is not said"

    asyncio.run(play())
