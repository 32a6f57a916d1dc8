"""What a round keeps as files: several processes lose nothing of one another, and what was kept outlasts a power cut."""

import random
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest

from app.lan import certificate
from app.paths import CHECKOUT
from app.round import room_files
from app.round.film_list import GYM_FILMS, kept_films
from app.round.gym.film_notes import kept_notes
from app.round.gym.kept import made_here
from app.round.room_files import TAKEN, alone_in_room, keep_in_room
from app.round.signing import GYM_KEY, key_in
from app.rules.round.kit import BadKit
from app.store.rounds import ROOM
from tests.store.fickle_folder import Killed, Noted, left_by_a_cut, noted_by

KEEPERS, EACH = 3, 15
# One of several processes that keep what a gym keeps, line by line; it begins when all are there, and says its gym's key.
KEEPER = """
import sys
from pathlib import Path
from app.round.film_list import GYM_FILMS, keep_some
from app.round.gym.film_notes import FilmNote, keep_notes
from app.round.gym.kept import keep_made
from app.round.signing import GYM_KEY, key_in

data, first, each = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
print("here", flush=True)
sys.stdin.readline()
print(key_in(data, GYM_KEY, make=True).public)
for entry in range(first, first + each):
    keep_notes(data, [FilmNote(entry=entry, event="sq", print=f"{entry:064x}")])
    keep_some(data, {(entry, "sq"): f"https://films.example/{entry}"}, GYM_FILMS)
    keep_made(data, f"hand-in {entry}".encode())
"""
KEPT = {f"handed-in/{n:04}-{n:064x}": bytes([n]) * (1 + n * 397) for n in range(1, 4)} | {GYM_KEY: b"k" * 64}
WRITERS = (room_files, certificate)


def test_of_several_processes_none_loses_what_another_keeps(tmp_path: Path) -> None:
    keepers = [
        subprocess.Popen(
            [sys.executable, "-c", KEEPER, str(tmp_path), str(1001 + n * EACH), str(EACH)],
            cwd=CHECKOUT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for n in range(KEEPERS)
    ]
    for one in keepers:
        assert one.stdout is not None and one.stdout.readline() == "here\n"
    for one in keepers:
        assert one.stdin is not None
        one.stdin.write("\n")
        one.stdin.flush()
    keys = {one.communicate()[0].strip() for one in keepers}
    lines = {(1001 + n, "sq") for n in range(KEEPERS * EACH)}
    assert [one.returncode for one in keepers] == [0] * KEEPERS
    assert keys == {key_in(tmp_path, GYM_KEY, make=False).public}, "the first key that is made is everybody's"
    assert kept_notes(tmp_path).keys() == lines and kept_films(tmp_path, GYM_FILMS).keys() == lines
    numbered = sorted(one.name[:4] for one in (tmp_path / ROOM / "handed-in").iterdir())
    assert len(made_here(tmp_path)) == len(lines) and numbered == [f"{n:04}" for n in range(1, len(lines) + 1)]


def test_whoever_waits_too_long_is_told_and_nothing_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room_files, "PATIENCE_S", 0.0)
    monkeypatch.setattr(room_files, "takes", lambda _: False)
    with pytest.raises(BadKit, match=TAKEN):
        keep_in_room(tmp_path, "binding.json", b"{}")
    assert not (tmp_path / ROOM).exists()
    monkeypatch.undo()
    with alone_in_room(tmp_path):
        keep_in_room(tmp_path, "binding.json", b"{}")
    assert (tmp_path / ROOM / "binding.json").read_bytes() == b"{}"


def cut_power(folder: Path, forgets: frozenset[str] = frozenset()) -> tuple[int, int, int]:
    """Keeps some files, in processes of which each is killed at some step, and cuts the power at every moment of it; how many
    cuts were made, lost what was told to be kept, and left a file that is not as it was kept."""
    chance, made, losing, wrong = random.Random(23), 0, 0, 0
    for run in range(6):
        root, noted = folder / f"run-{run}", Noted(forgets=forgets)
        root.mkdir()
        with noted_by(noted, *WRITERS):
            for _ in range(3):
                noted.kill_at = len(noted.steps) + chance.randint(0, 40)
                with suppress(Killed):
                    for name in chance.sample(sorted(KEPT), 3):
                        keep_in_room(root, name, KEPT[name])
                        noted.told(name)
        for moment in range(len(noted.steps) + 1):
            left = folder / f"left-{run}-{moment}"
            left.mkdir()
            told = left_by_a_cut(noted, moment, root, left, chance)
            there = {name: (left / ROOM / name).read_bytes() for name in KEPT if (left / ROOM / name).is_file()}
            made, losing = made + 1, losing + (not told <= there.keys())
            wrong += any(there[name] != KEPT[name] for name in told & there.keys())
    return made, losing, wrong


def test_whenever_the_power_fails_what_was_kept_of_a_round_is_there(tmp_path: Path) -> None:
    made, losing, wrong = cut_power(tmp_path)
    assert made > 150 and (losing, wrong) == (0, 0)


@pytest.mark.parametrize("forgets", ["file", "folder"])
def test_the_same_cuts_find_out_a_room_that_does_not_wait_for_the_disk(tmp_path: Path, forgets: str) -> None:
    _, losing, wrong = cut_power(tmp_path, frozenset({forgets}))
    assert losing + wrong > 10
