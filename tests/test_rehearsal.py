"""The rehearsal and the drill, as an organiser runs them; and backups on the command line."""

import asyncio
import io
import json
import os
import re
import signal
import sys
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from app.listening.ports import listen_on
from app.rehearsal.clock import OwnClock
from app.rehearsal.drill import run_drill
from app.rehearsal.phone import invite_a_phone
from app.rehearsal.rehearse import SILENT_MS, Rehearsed, Upset, rehearse, words
from app.rehearsal.serving import COMMAND, ServerGone, ServerProcess, free_port
from app.rehearsal.watcher import Watcher
from app.rehearsal.wire import Wire
from app.store.copies.backup import AT_THE_DESK, backups_in
from app.store.database import Database
from tests.builders.halls import STORE
from tests.faults.ground import Ground, Held, Lane, in_file
from tests.faults.hearing import Said
from tests.faults.table import TellOf
from tests.test_cli import Command, command, slate_day

pytestmark = [pytest.mark.paced, pytest.mark.apart]

__all__ = ["command", "slate_day"]  # fixtures


def is_drilled_as_told(teller: TellOf, said: str, server: str) -> None:
    """Holds each line of a drill against what its server was."""
    lines = [Said("drill", 0, line, 0) for line in said.splitlines()]
    teller(f"drill: {server}", Ground(lambda: Held([]), besides=frozenset({server}))).listen(lambda: lines)


@pytest.mark.slow
def test_the_drill_loses_a_laptop_twice_and_nothing_else(command: Command, tell_of: TellOf) -> None:
    drilled = command("drill", "--lanes", "3")
    is_drilled_as_told(tell_of, drilled.out, "a whole server")
    assert drilled.code == 0, drilled.out
    assert "Nothing was lost and nothing was duplicated." in drilled.out
    assert "180 of 180 marks: 0 lost, 0 doubled" in drilled.out and "270 of 270 marks: 0 lost, 0 doubled" in drilled.out
    assert drilled.out.count("60 marks that the old one had acknowledged were sent again. Lanes that add up: 3 of 3.") == 2


LIES = 100_000  # what a bent server makes of its own is numbered from here on


def is_told_as_it_is(teller: TellOf, found: Rehearsed, data: Path, *hurt: str) -> None:
    """Holds each line of a rehearsal against the store's own file: what the tablets made is there, or is said to be missing."""

    def holds() -> Held:
        named = ((row, "made" if row.seq <= LIES else "nobody's") for row in in_file(data / STORE).rows)
        return Held([replace(row, sheet=sheet, win=None) for row, sheet in named])

    ground = Ground(holds, {1: Lane(Counter({("made", None): found.marks}))}, besides=frozenset(hurt))
    said = [Said("rehearsal", 0, " ".join(line.split()), 0) for line in words(found).splitlines()]
    teller(f"rehearse: {' '.join(hurt) or 'nothing wrong'}", ground).listen(lambda: said)


@pytest.mark.slow
def test_a_rehearsal_says_what_laptop_and_network_held(tmp_path: Path, tell_of: TellOf) -> None:
    found = rehearse(tmp_path, lanes=3, minutes=0.2)
    is_told_as_it_is(tell_of, found, tmp_path)
    assert found.held and found.kept is not None and found.kept.wrong == 0 and found.marks == found.kept.there >= 6
    assert 0 < found.ack_p50 <= found.ack_p99 and 0 < found.board_p50 <= found.board_p99
    assert 0 < found.clock_p99 < found.bound_p50 + 50 and found.clock_outside == 0
    said = words(found)
    assert f"{found.marks:,} made on 3 lanes in 0.2 min; read back from the file: 0 lost, 0 doubled" in said
    assert "Everything that was looked at held." in said
    assert found.phone == "" and "no phone was seen, so it is not proven" in said


def test_a_phone_is_invited_by_a_code_where_the_terminal_can_draw_one() -> None:
    drawn, plain = io.TextIOWrapper(io.BytesIO(), encoding="utf-8"), io.TextIOWrapper(io.BytesIO(), encoding="cp1252")
    for terminal in (drawn, plain):
        invite_a_phone("192.0.2.7", "http://192.0.2.7:8765/board", terminal)
        terminal.seek(0)
    whole, words_alone = drawn.read(), plain.read()
    assert "http://192.0.2.7:8765/board" in words_alone and "█" not in words_alone
    rows = [line for line in whole.splitlines() if "█" in line]
    assert len(rows) >= 14 and len({len(row) for row in rows}) == 1  # 21 modules and the quiet zone, two to a row
    assert whole.startswith(words_alone)


# A server that acknowledges what it was sent, and then does something else with it.
BENT = """
import sys
from dataclasses import replace
from app.store import markrows
whole = markrows._insert
def bent(connection, received):
    kept = [pair for pair in received if {keep}]
    whole(connection, kept + [(replace(mark, id=mark.id[::-1], seq=mark.seq + {lies}), at) for mark, at in received if {again}])
    return len(received)
markrows._insert = bent
from app.cli import main
sys.exit(main())
"""


def bent(keep: str = "True", again: str = "False") -> tuple[str, ...]:
    return (sys.executable, "-c", BENT.format(keep=keep, again=again, lies=LIES))


async def stopped(server: ServerProcess) -> None:
    """The process gets no time for longer than anybody would wait, as when a laptop's lid is closed."""
    await asyncio.sleep(2.9)
    os.kill(server.pid, signal.SIGSTOP)
    await asyncio.sleep(SILENT_MS / 1000 + 1)
    os.kill(server.pid, signal.SIGCONT)


async def killed(server: ServerProcess) -> None:
    await asyncio.sleep(4.5)
    os.kill(server.pid, signal.SIGKILL)


FAULTS: dict[str, tuple[tuple[str, ...], Upset | None, str]] = {
    "a server that loses": (bent(keep="pair[0].seq % 2"), None, "does not hold what was judged: [1-9][0-9]* lost, 0 doubled"),
    "a server that doubles": (bent(again="mark.seq % 2 == 0"), None, "0 lost, 0 doubled, [1-9][0-9]* that no tablet made"),
    "the server stopped": (COMMAND, stopped, r"The server was silent for \d\.\d s"),
    "the server killed": (COMMAND, killed, "The server ended by itself in the middle"),
}


@pytest.mark.slow
def test_a_rehearsal_finds_out_a_server_that_says_more_than_it_does(tmp_path: Path, tell_of: TellOf) -> None:
    def run(name: str) -> tuple[str, Rehearsed, float]:
        command, upset, _ = FAULTS[name]
        begun = time.perf_counter()
        found = rehearse(tmp_path / name, lanes=2, minutes=0.15, command=command, upset=upset)
        return name, found, time.perf_counter() - begun

    Database(f"sqlite:///{tmp_path / 'first.sqlite3'}").close()  # the schema is made once, and by one thread
    with ThreadPoolExecutor(len(FAULTS)) as together:
        for name, found, seconds in together.map(run, FAULTS):
            said = words(found)
            assert not found.held and re.search(FAULTS[name][2], said), (name, said)
            assert said.endswith("Not everything held; see above.") and seconds < 60, (name, seconds)
            is_told_as_it_is(tell_of, found, tmp_path / name, name)


@pytest.mark.slow
def test_a_drill_finds_out_a_server_that_loses_what_it_acknowledged(capsys: pytest.CaptureFixture[str], tell_of: TellOf) -> None:
    assert run_drill(2, bent(keep="pair[0].seq % 9")) == 1
    said = capsys.readouterr().out
    is_drilled_as_told(tell_of, said, "a server that loses")
    assert "things are wrong" in said or "were acknowledged by a laptop that was not lost" in said


@pytest.mark.parametrize(("lanes", "minutes"), [("0", "1"), ("61", "1"), ("4", "0.1")])
def test_a_rehearsal_that_can_not_be_is_refused(command: Command, lanes: str, minutes: str) -> None:
    refused = command("rehearse", "--lanes", lanes, "--minutes", minutes)
    assert refused.code == 1 and "1 to 60 lanes" in refused.err
    assert command("drill", "--lanes", "0").code == 1


def a_line(lane: int, total: str) -> bytes:
    html = f'<li id="lane-asg_{lane}"><span class="lane-total number"><span>total </span>{total}</span></li>'
    return b"data: " + json.dumps({"html": html}).encode()


def test_the_stopwatch_before_the_board_measures_what_was_shown_and_no_more() -> None:
    watcher = Watcher(Wire("127.0.0.1", 1))
    for total in ("1", "1", "2", "3"):
        watcher.tapped("asg_1", total)
    watcher.tapped("asg_2", "1")
    watcher._saw(a_line(1, "2"))
    assert len(watcher.shown) == 2 and watcher.unseen == 2
    watcher._saw(a_line(1, "7"))
    assert watcher.unseen == 2, "a total that nobody tapped shows nothing of ours"
    watcher._saw(a_line(1, "3"))
    watcher.tapped("asg_1", "4")
    watcher.tapped("asg_1", "3")
    assert watcher.unseen == 1, "taken back before the board had looked"


def test_a_server_that_never_answers_is_not_left_running(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.rehearsal.serving.PATIENCE_S", 0.5)
    told = tmp_path / "pid"
    deaf = f"import os, time; open({str(told)!r}, 'w').write(str(os.getpid())); time.sleep(60)"
    with pytest.raises(ServerGone, match="did not answer"):
        ServerProcess(tmp_path, free_port(), command=(sys.executable, "-c", deaf)).start()
    with pytest.raises(ProcessLookupError):
        os.kill(int(told.read_text()), 0)


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere no second socket may stand at a port that is held")
def test_a_port_is_told_once_until_a_server_has_it() -> None:
    port = free_port()
    assert free_port(wanted=port) != port
    with listen_on("127.0.0.1", port), pytest.raises(OSError):
        listen_on("127.0.0.1", port)


def test_a_clock_of_another_tablet_runs_on_its_own() -> None:
    clock = OwnClock(ahead_ms=5_000.0, drift=0.0001, begun_ms=1_000.0)
    assert (clock.read(1_000.0), clock.read(11_000.0)) == (6_000.0, 16_001.0)


def test_a_backup_goes_to_the_stick_and_comes_back(command: Command, slate_day: Path, tmp_path: Path) -> None:
    data, stick, other = tmp_path / "data", tmp_path / "stick", tmp_path / "other"
    assert "no competition in the folder" in command("backup", stick, "--data", data).err
    command("import", slate_day, "--data", data)
    made = command("backup", stick, "--data", data)
    assert made.code == 0 and "Written, read back and complete" in made.out and "The Slate Day, 0 marks" in made.out
    assert len(backups_in(stick)) == 1
    restored = command("restore", stick, "--data", other)
    assert restored.code == 0 and "is of The Slate Day: 0 marks, intact by its checksum" in restored.out
    again = command("restore", backups_in(stick)[0], "--data", other)
    assert again.code == 0 and "What was there before is kept in" in again.out
    command("export", tmp_path / "a.json", "--data", data)
    command("export", tmp_path / "b.json", "--data", other)
    command("import", tmp_path / "a.json", "--data", tmp_path / "second")
    command("backup", stick, "--data", tmp_path / "second")
    which = command("restore", stick, "--data", tmp_path / "third")
    assert which.code == 1 and "holds the backups of 2 competitions" in which.err and "Give the one you want" in which.err
    assert which.err.count("is of The Slate Day: 0 marks") == 2
    a, b = (json.loads((tmp_path / name).read_text()) | {"made_wall_ms": 0} for name in ("a.json", "b.json"))
    assert a == b


def test_the_newest_backup_of_a_stick_is_found_where_the_desk_and_where_the_start_puts_it(
    command: Command, slate_day: Path, tmp_path: Path
) -> None:
    stick = tmp_path / "stick"
    at_the_desk = stick / AT_THE_DESK
    at_the_desk.mkdir(parents=True)
    command("import", slate_day, "--data", tmp_path / "data")
    command("backup", at_the_desk, "--data", tmp_path / "data")
    (made,) = backups_in(at_the_desk)
    assert made.name in command("restore", stick, "--data", tmp_path / "first").out
    later = made.name.replace(f"-{made.name[-28:-24]}-", "-2999-", 1)
    (stick / later).write_bytes(made.read_bytes())
    for place in (stick, at_the_desk):
        assert later in command("restore", place, "--data", tmp_path / f"of-{place.name}").out, place


def test_a_restore_that_can_not_be_says_why(command: Command, tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "There is no backup in" in command("restore", empty, "--data", tmp_path / "data").err
    (empty / "lane-ledger-x.sqlite3").write_bytes(b"nothing")
    assert "not a readable backup" in command("restore", empty, "--data", tmp_path / "data").err
    assert "can't be read" in command("restore", empty / "none", "--data", tmp_path / "data").err
