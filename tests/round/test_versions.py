"""A gym and its headquarters with different versions of Lane Ledger: each is told so in a sentence, and nothing is lost of it."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.round.checking import read_checked
from app.round.signing import GYM_KEY, HEADQUARTERS_KEY, key_in
from app.rules.records.document import VERSION
from app.rules.records.seal import canonical
from app.rules.round.hand_in import BY_OLDER, NOT_ITS_LINES
from app.rules.round.kit import ANOTHER, PERHAPS, Kind
from tests.builders.gym_house import ADDRESS, GymHouse, Line, a_gym_house, lay_line, slip_code
from tests.builders.round_house import RoundHouse, a_round_house
from tests.round.test_gym_page import handed_in

REPS = {"solo1": 27, "solo2": 24}


@pytest.fixture
def there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[RoundHouse]:
    monkeypatch.setattr("app.server.LOOK_FOR_ROUND_S", 1e6)  # what comes is checked when a test says so
    with a_round_house(tmp_path / "headquarters", {}, drawn=False) as found:
        yield found


@pytest.fixture
def line(monkeypatch: pytest.MonkeyPatch, there: RoundHouse) -> Line:
    return lay_line(monkeypatch, there)


@pytest.fixture
def gym(tmp_path: Path, there: RoundHouse, line: Line) -> Iterator[GymHouse]:
    """A gym that has made its hand-in and sent nothing."""
    with a_gym_house(tmp_path / "gym") as found:
        assert found.open((there.folder / "kit" / "round.kit").read_bytes(), slip=slip_code(there, 1)) == 303
        found.judge(REPS)
        assert found.post("hand-in/make") == 303
        yield found


def written_otherwise(data: Path, key: str, kind: Kind, content: bytes, **changes: Any) -> bytes:
    """A signed file as another version of the app would write it, by the same key."""
    said = json.loads(read_checked(content, kind).says)
    return key_in(data, key, make=False).sign(kind, canonical({**said, **changes}))


def test_a_kit_of_another_version_is_told_before_anything_is_kept(there: RoundHouse, tmp_path: Path) -> None:
    kit = (there.folder / "kit" / "round.kit").read_bytes()
    start = json.loads(read_checked(kit, "kit").says)["start"]
    with a_gym_house(tmp_path / "gym") as gym:
        for changes, words in (
            ({"version": 2}, f"This kit file is of version 2, and version 1 is read here. {ANOTHER}"),
            ({"start": start | {"version": VERSION + 1}}, f"The start in this kit file is of version {VERSION + 1}, and version"),
            ({"films": "by mail"}, f"The file can't be used: it says “films”, which is not known here. {PERHAPS}"),
        ):
            assert gym.post("look", file=written_otherwise(there.folder, HEADQUARTERS_KEY, "kit", kit, **changes)) == 409
            assert words in gym.said
        assert gym.kept() == [] and gym.roster is None


def test_a_gym_of_another_version_is_told_by_headquarters_what_to_do(there: RoundHouse, gym: GymHouse, line: Line) -> None:
    digest, before = handed_in(gym), len(there.headquarters.records)
    send = {"digest": digest, "address": ADDRESS, "do": "all"}
    for kind, path in (("binding", "/round/binding"), ("promise", "/round/promise")):
        line.change_sent = lambda to, body, kind=kind, path=path: (  # type: ignore[misc]
            written_otherwise(gym.folder, GYM_KEY, kind, body, version=2) if to == path else body
        )
        assert gym.post("hand-in/send", send) == 409
        assert f"Headquarters' server says: This {kind} file is of version 2, and version 1 is read here. {ANOTHER}" in gym.said
    assert [one.kind for one in there.headquarters.records[before:]] == ["bound"], "the key was bound, and nothing promised"
    line.change_sent = lambda _, body: body
    assert gym.post("hand-in/send", send) == 303 and "Headquarters has its file: receipt 2," in gym.said


def test_a_hand_in_that_other_rules_made_says_which_version_is_the_older(there: RoundHouse, gym: GymHouse, line: Line) -> None:
    file = next(gym.folder.glob("round/handed-in/*"))
    said = json.loads(read_checked(file.read_bytes(), "hand-in").says)
    older = said["competition"] | {"version": VERSION - 1}
    less = [one | {"parts": ["1", *one["parts"][1:]]} for one in said["lines"]]
    office, binding = there.house.desk(), (gym.folder / "round" / "binding.json").read_bytes()
    assert there.house.browser().post("/round/binding", content=binding).is_success
    for changes, words in (
        ({"version": 2}, (f"This hand-in file is of version 2, and version 1 is read here. {ANOTHER}",)),
        (
            {"competition": said["competition"] | {"version": VERSION + 1}},
            ("The competition in this hand-in file is of version",),
        ),
        ({"competition": older, "lines": less}, (NOT_ITS_LINES, BY_OLDER)),
        ({"lines": less}, (NOT_ITS_LINES,)),
    ):
        content = written_otherwise(gym.folder, GYM_KEY, "hand-in", file.read_bytes(), **changes)
        assert office.post("/desk/round/hand-in", files={"file": ("one", content)}).status_code == 303
        headquarters = there.headquarters
        (digest,) = headquarters.unchecked()
        faults = headquarters.check_here(digest, there.house.clocks.wall)
        assert len(faults) >= len(words) and all(any(one in fault for fault in faults) for one in words)
        assert (BY_OLDER in faults) == (BY_OLDER in words), "of the same version nobody blames the version"
