"""Power loss, imitated, of files by their digest in a folder: what was told to be kept is there, and nothing is taken for it."""

import random
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

import pytest

from app.store.files.folder import Folder
from app.store.files.verbs import NotAsStored
from tests.store.fickle_folder import Killed, Noted, left_by_a_cut, noted_by

CONTENTS = [bytes([n]) * (1 + n * 397) for n in range(12)]
DIGESTS = {sha256(one).hexdigest(): one for one in CONTENTS}


@dataclass
class Left:
    """What cuts left: how many were made, how many lost a file that was told to be kept, and how many gave another's bytes."""

    made: int = 0
    losing: int = 0
    wrong: int = 0


def cut_power(folder: Path, seed: int, runs: int, forgets: frozenset[str] = frozenset()) -> Left:
    """Puts files, some twice, in processes of which most are killed at some step, and cuts the power at every moment of it."""
    outcome, chance = Left(), random.Random(seed)
    for run in range(runs):
        root, noted = folder / f"run-{run}", Noted(forgets=forgets)
        root.mkdir()
        with noted_by(noted):
            for _ in range(4):
                noted.kill_at = len(noted.steps) + chance.randint(0, 25)
                kept = Folder(root / "files")
                with suppress(Killed):
                    for content in chance.sample(CONTENTS, 3):
                        noted.told(kept.put(content))
        for moment in range(len(noted.steps) + 1):
            left = folder / f"left-{run}-{moment}"
            left.mkdir()
            told = left_by_a_cut(noted, moment, root, left, chance)
            _look(Folder(left / "files"), told, outcome)
    return outcome


def _look(after: Folder, told: set[str], outcome: Left) -> None:
    """What a start after the cut finds."""
    there = dict[str, bytes]()
    for digest in DIGESTS:
        with suppress(NotAsStored):
            there[digest] = after.get(digest)
    outcome.made += 1
    outcome.losing += not told <= there.keys()
    outcome.wrong += any(content != DIGESTS[digest] for digest, content in there.items())


def test_whenever_the_power_fails_every_file_that_was_told_to_be_kept_is_there(tmp_path: Path) -> None:
    found = cut_power(tmp_path, 20, 12)
    assert found.made > 300 and (found.losing, found.wrong) == (0, 0)


@pytest.mark.parametrize("forgets", ["file", "folder"])
def test_the_same_cuts_find_out_a_folder_that_does_not_wait_for_the_disk(tmp_path: Path, forgets: str) -> None:
    found = cut_power(tmp_path, 20, 4, frozenset({forgets}))
    assert found.losing > 20 and found.wrong == 0, "a digest takes nothing else for its file"


def test_what_a_cut_left_is_no_hindrance_to_the_same_file(tmp_path: Path) -> None:
    noted, chance, root = Noted(), random.Random(3), tmp_path / "root"
    root.mkdir()
    with noted_by(noted):
        for content in CONTENTS[:3]:
            Folder(root / "files").put(content)
    for moment in range(len(noted.steps) + 1):
        left = tmp_path / f"left-{moment}"
        left.mkdir()
        left_by_a_cut(noted, moment, root, left, chance)
        again = Folder(left / "files")
        assert [again.get(again.put(content)) for content in CONTENTS[:3]] == CONTENTS[:3]
