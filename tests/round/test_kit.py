"""The kit of a round: made of an event by command, opened in a gym by its slip, and refused when a byte of it is another."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random

import pytest

from app.cli import main
from app.results.competition_file import read_file
from app.round.checking import read_checked
from app.round.headquarters import Headquarters as Office
from app.round.kept_records import NoRound
from app.round.kits import gyms_in, kit_file
from app.round.signing import SigningKey
from app.rules.records.seal import canonical
from app.rules.round import records as r
from app.rules.round.kit import BadKit, Binding, Kit, Slip, binding_proof, check_slip, read_slip, said_in, says_of, slip_for
from app.rules.round.state import RoundState
from app.store.database import Database
from tests.builders.slate_day import the_slate_day

TIMES = ("10:00", "10:30", "11:00")
DEADLINE = "2099-03-01T20:00+01:00"


@dataclass(frozen=True)
class Headquarters:
    """A round that was begun: the data folder that its kit was made in, and the folder of the kit."""

    data: Path
    folder: Path

    @property
    def kit(self) -> Path:
        return self.folder / "round.kit"

    def slip(self, gym: int) -> str:
        """The code on a gym's slip."""
        return slip_of(self.folder, gym)

    def opened(self) -> tuple[RoundState, list[r.Record]]:
        """The round as its store has it."""
        with self.store() as found:
            return found.state, found.records

    @contextmanager
    def store(self) -> Iterator[Office]:
        database = Database(f"sqlite:///{(self.data / 'lane-ledger.sqlite3').as_posix()}")
        try:
            yield Office(database, self.data)
        finally:
            database.close()


def slip_of(folder: Path, gym: int) -> str:
    """The code on a gym's slip, as it was printed."""
    found = re.search(rf"<p>(G{gym}-[A-Z2-7-]+)</p>", (folder / "slips.html").read_text(encoding="utf-8"))
    assert found is not None
    return found[1]


@pytest.fixture(scope="module")
def headquarters(tmp_path_factory: pytest.TempPathFactory) -> Headquarters:
    place = tmp_path_factory.mktemp("headquarters")
    day, gyms = place / "day.json", place / "gyms.csv"
    day.write_text(the_slate_day(TIMES).model_dump_json(), encoding="utf-8")
    gyms.write_text("Number,Name,Region\n1,Slate Barn,North\n2,Mill Row,South\n", encoding="utf-8")
    assert main(["import", str(day), "--data", str(place / "data")]) == 0
    made = ["kit", str(place / "round"), "--deadline", DEADLINE, "--gyms", str(gyms), "--data", str(place / "data")]
    division = the_slate_day(TIMES).divisions[0].name
    assert main([*made, "--places", f"{division}=3"]) == 0
    return Headquarters(place / "data", place / "round")


def test_a_round_that_has_begun_though_its_files_could_not_be_written_says_so(
    headquarters: Headquarters, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    there, place = Headquarters(tmp_path / "data", tmp_path / "round"), headquarters.data.parent

    def full(*_: object) -> str:
        raise OSError(28, "No space left on device")

    assert main(["import", str(place / "day.json"), "--data", str(there.data)]) == 0
    made = ["kit", str(there.folder), "--deadline", DEADLINE, "--gyms", str(place / "gyms.csv"), "--data", str(there.data)]
    with monkeypatch.context() as patched:
        patched.setattr("app.round.room_files.write_secret", full)
        assert main(made) == 1 and "The folder of the round can't be written: No space left" in capsys.readouterr().err
    with there.store() as office:
        assert not office.has_round
    monkeypatch.setattr("app.round.kits.slips_page", full)
    assert main(made) == 1
    assert re.match(r"The round has begun, but .* can't be written: No space left on device\. Start", capsys.readouterr().err)
    with there.store() as office:
        assert office.has_round and kit_file(there.data) is not None


def kit_in(file: Path) -> Kit:
    return said_in(read_checked(file.read_bytes(), "kit").says, Kit)


def test_a_kit_holds_the_event_and_the_rule_and_nobody(headquarters: Headquarters) -> None:
    kit, day = kit_in(headquarters.kit), the_slate_day(TIMES)
    assert headquarters.kit.stat().st_size <= 2 * 1024 * 1024
    assert [event.format for event in kit.start.events] == [event.format for event in day.events]
    assert [event.name for event in kit.rule.events] == [event.name for event in day.events]
    assert (kit.rule.deadline_ms, kit.rule.zone) == (4_076_074_800_000, "UTC+01:00")
    assert [one.places for one in kit.rule.divisions] == [3] + [0] * (len(day.divisions) - 1)
    assert kit.start.entries == kit.start.athletes == kit.start.judges == kit.start.marks == () and kit.start.ledger is None
    assert [one.kind for one in headquarters.opened()[1]][:3] == ["opened", "gym", "gym"]


def test_a_gym_opens_it_by_its_slip_and_headquarters_binds_its_key_once(
    headquarters: Headquarters, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    gym = tmp_path / "gym"
    assert main(["open-kit", str(headquarters.kit), "--data", str(gym)]) == 0
    assert "Say it again with the code of your slip" in capsys.readouterr().out
    assert main(["open-kit", str(headquarters.kit), headquarters.slip(2).lower(), "--data", str(gym)]) == 0
    assert "is open here for gym 2, until 2099-03-01 20:00 UTC+01:00." in capsys.readouterr().out
    first = (gym / "round" / "binding.json").read_bytes()
    assert main(["open-kit", str(headquarters.kit), headquarters.slip(2), "--data", str(gym)]) == 0
    assert (gym / "round" / "binding.json").read_bytes() == first, "opened again it only tells"
    assert main(["export", str(tmp_path / "gym.json"), "--data", str(gym)]) == 0
    there = read_file((tmp_path / "gym.json").read_bytes())
    assert [event.name for event in there.events] == [event.name for event in kit_in(headquarters.kit).start.events]
    binding = gym / "round" / "binding.json"
    capsys.readouterr()
    for code, said in ((0, "Gym 2, Mill Row, has its key.\n"), (1, "This gym has bound a key already: its slip was used.\n")):
        assert main(["bind", str(binding), "--data", str(headquarters.data)]) == code
        told = capsys.readouterr()
        assert told.out + told.err == said
    state, _ = headquarters.opened()
    assert state.keys == {2: read_checked(binding.read_bytes(), "binding").by.key} and state.faults == []


def test_five_hundred_of_five_hundred_changes_of_a_byte_are_refused(headquarters: Headquarters) -> None:
    whole, chance = headquarters.kit.read_bytes(), Random(23)
    read_checked(whole, "kit")
    taken = 0
    places = [*range(250), *(chance.randrange(len(whole)) for _ in range(250))]  # who signed it, and what it says
    for at in places:
        changed = whole[:at] + bytes([whole[at] ^ chance.randrange(1, 256)]) + whole[at + 1 :]
        try:
            read_checked(changed, "kit")
            taken += 1
        except BadKit:
            pass
    assert (taken, len(places)) == (0, 500)


def test_a_kit_signed_by_somebody_else_does_not_open_with_the_slip(headquarters: Headquarters, tmp_path: Path) -> None:
    says = read_checked(headquarters.kit.read_bytes(), "kit").says
    (tmp_path / "forged.kit").write_bytes(SigningKey(bytes(32)).sign("kit", says))
    read_checked((tmp_path / "forged.kit").read_bytes(), "kit")
    assert main(["open-kit", str(tmp_path / "forged.kit"), headquarters.slip(1), "--data", str(tmp_path / "gym")]) == 1
    assert not (tmp_path / "gym").exists(), "nothing is kept of it"
    with pytest.raises(BadKit, match=r"This is not a kit file"):
        read_checked(SigningKey(bytes(32)).sign("binding", says), "kit")


def test_a_binding_with_another_gyms_slip_or_of_another_round_is_refused(headquarters: Headquarters) -> None:
    round_id, key = kit_in(headquarters.kit).rule.id, SigningKey(bytes(32))
    own = read_slip(headquarters.slip(1))

    def refused(round: str, gym: int, secret: bytes) -> str:
        said = Binding(round=round, gym=gym, proof=binding_proof(secret, round, gym, key.public))
        with headquarters.store() as office, pytest.raises((BadKit, NoRound)) as wrong:
            office.bind(key.sign("binding", says_of(said)), 1)
        return str(wrong.value)

    assert refused(round_id, 2, own.secret) == "This binding was not made with the slip of its gym."
    assert refused("another", 1, own.secret) == "This binding is of another round."
    ninth = slip_for(bytes.fromhex((headquarters.data / "round" / "headquarters.key").read_text()), key.public, round_id, 9)
    assert refused(round_id, 9, ninth.secret) == "No gym has this number."


def test_a_slip_is_read_as_people_type_it() -> None:
    slip = Slip(17, bytes(range(10)), bytes(5))
    assert read_slip(f"  {slip.text().lower().replace('-', ' - ')} ") == slip
    with pytest.raises(BadKit, match=r"A slip's code has three parts"):
        read_slip(slip.text()[:-1])
    with pytest.raises(BadKit, match=r"This slip is not of the kit's headquarters"):
        check_slip(slip, "00" * 32)


@pytest.mark.parametrize(
    ("flags", "said"),
    [
        (["--deadline", "2099-03-01T20:00"], "Say the deadline with its zone"),
        (["--deadline", "2001-03-01T20:00Z"], "The deadline is past. Give a later one."),
        (["--deadline", DEADLINE, "--opens", "2099-03-01T20:00+01:00"], "The deadline must be after the opening."),
        (["--deadline", DEADLINE, "--places", "Nobody=3"], "Say places as NAME=NUMBER"),
        (["--deadline", DEADLINE, "--places", "3"], "Say places as NAME=NUMBER"),
        (["--deadline", DEADLINE, "--places", f"Open pairs={'9' * 5000}"], "Say places as NAME=NUMBER"),
        (["--deadline", "9999-12-31T23:59-12:00"], "Say the deadline with its zone"),
        (["--deadline", "3000-12-31T20:00+00:00"], "Say the deadline with its zone"),
        (["--deadline", "0001-01-01T00:00+12:00"], "Say the deadline with its zone"),
        (["--deadline", DEADLINE, "--round-name", "n" * 200], "A round can't be made so: name: "),
    ],
)
def test_what_a_kit_lacks_is_said(
    headquarters: Headquarters, tmp_path: Path, flags: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    gyms = headquarters.data.parent / "gyms.csv"
    made = ["kit", str(tmp_path / "new"), "--gyms", str(gyms), "--data", str(headquarters.data)]
    assert main([*made, *flags]) == 1
    assert said in capsys.readouterr().err
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    ("gyms", "said"),
    [
        ("1,Slate Barn\n1,Mill Row\n", "each another number"),
        ("0,Slate Barn\n", "Line 1 of the gyms: gym: "),
        (f"{'9' * 5000},Slate Barn\n", "Line 1 of the gyms: gym: "),
        (f"1,Slate Barn\n2,{'n' * 500}\n", "Line 2 of the gyms: name: "),
        ("1,Slate Barn\n2,Mill\0Row\n", "Line 2 of the gyms: name: "),
        (f"1,Slate Barn,{'r' * 61}\n", "Line 1 of the gyms: region: "),
        (f"1,{'x' * 200_000}\n", "The gyms are no list as CSV: field larger"),
    ],
)
def test_what_is_wrong_in_the_list_of_gyms_is_said_before_a_round_begins(gyms: str, said: str) -> None:
    with pytest.raises(BadKit, match=re.escape(said)) as refused:
        gyms_in(gyms)
    assert not str(refused.value).endswith("..")


def test_a_signed_file_has_one_way_to_be_written() -> None:
    signed = SigningKey(bytes(32)).sign("binding", canonical({"a": 1}))
    assert read_checked(signed, "binding").says == b'{"a":1}'
    for changed in (signed + b"\n", signed.replace(b'{"a":1}', b'{"a": 1}'), signed[:-1], signed.replace(b'"key"', b' "key"')):
        with pytest.raises(BadKit):
            read_checked(changed, "binding")
