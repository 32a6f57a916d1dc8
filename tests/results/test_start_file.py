"""The start file: another hall begins from it, and nobody passes by it for the hall that made it."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.cli import main
from app.results.competition_file import read_file, write_file
from app.rules.records.day import DayRules, Lock, Withdrawn
from app.rules.records.document import CompetitionFile, Ledger, ledger_id
from app.rules.records.judges import Judge
from app.rules.result.public_file import NO_SECRET, public_of
from app.rules.result.sealing import seal_faults
from app.rules.result.start_file import start_of
from app.rules.workout.safety import Safety
from tests.builders.halls import House, a_house
from tests.builders.meets import a_meet
from tests.results.test_public_file import WHOLE, WORDS
from tests.rules.result.test_halls import joined

SECRETS = st.binary(min_size=32, max_size=32).map(bytes.hex)
OF_ENTRIES = {"a reach", "an opener"}


def of_secret(secret: str, file: CompetitionFile = WHOLE) -> CompetitionFile:
    return file.model_copy(update={"ledger": Ledger(id=ledger_id(secret), secret=secret)})


@given(SECRETS, SECRETS, st.booleans())
def test_no_salt_of_a_public_file_follows_from_the_start_file(one: str, other: str, entries: bool) -> None:
    """Whatever the secret is, the start file is the same, byte for byte; and every commitment is another."""
    first, second = (write_file(start_of(of_secret(secret), entries=entries)) for secret in (one, other))
    assert first == second and one.encode() not in first and ledger_id(one).encode() not in first
    if one != other:
        there, here = public_of(of_secret(one)).withheld or {}, public_of(of_secret(other)).withheld or {}
        assert there and there.keys() == here.keys() and all(there[place] != here[place] for place in there)


def test_a_file_for_everybody_can_not_be_made_of_a_start_file() -> None:
    with pytest.raises(ValueError, match=NO_SECRET):
        public_of(start_of(WHOLE))


@pytest.mark.parametrize("entries", [True, False])
def test_what_is_one_halls_alone_stays_there_and_the_rest_is_read_back(entries: bool) -> None:
    begun = start_of(WHOLE, entries=entries)
    text = write_file(begun).decode()
    left = {what: words for what, words in WORDS.items() if not (entries and what in OF_ENTRIES)}
    assert [what for what, words in left.items() if words in text] == []
    assert (
        all(one.name in text for one in WHOLE.athletes) is entries and any(one.name in text for one in WHOLE.athletes) is entries
    )
    back = read_file(text.encode())
    assert back == begun and seal_faults(back) == []
    assert (back.events, back.divisions, back.overall, back.markings) == (
        WHOLE.events,
        WHOLE.divisions,
        WHOLE.overall,
        WHOLE.markings,
    )
    assert (back.runs, back.marks, back.rulings, back.protests, back.judges) == ((), (), (), (), ())
    assert back.competition == WHOLE.competition.model_copy(update={"safety": Safety()})


def test_the_days_rules_come_along_without_judges_and_who_withdrew() -> None:
    locks = (
        Lock(event="swings", group="open.1", start="10:00"),
        Lock(event="swings", group="open.1", entry="ent_1", lane=2),
        Lock(event="swings", group="open.1", lane=2, judge="j1"),
    )
    day = DayRules(start="08:30", locks=locks, withdrawn=(Withdrawn(entry="ent_2"),))
    file = a_meet().model_copy(update={"day": day, "judges": (Judge(id="j1", name="Judith"),)})
    assert start_of(file).day == day.model_copy(update={"locks": locks[:2], "withdrawn": ()})
    assert start_of(file, entries=False).day == day.model_copy(update={"locks": locks[:1], "withdrawn": ()})


def begun_from(data: bytes, folder: Path, **asked: str) -> CompetitionFile:
    """What a new hall exports that has imported a file and judged nothing yet."""
    with a_house(folder, competition=False) as other:
        desk = other.desk()
        assert desk.post("/desk/import", content=data, params=asked).status_code == 200
        return read_file(desk.get("/desk/competition.json").content)


@pytest.mark.parametrize("entries", ["with", "without"])
def test_a_hall_that_begins_from_it_is_another(house: House, tmp_path: Path, entries: str) -> None:
    desk = house.desk()
    sent = desk.get("/desk/start.json", params={"entries": entries})
    assert sent.headers["content-disposition"] == 'attachment; filename="start.json"'
    whole = read_file(desk.get("/desk/competition.json").content)
    assert whole.ledger is not None and whole.ledger.secret and whole.ledger.secret not in sent.text
    begun = begun_from(sent.content, tmp_path / "other")
    assert begun.ledger is not None and begun.ledger.secret not in (None, whole.ledger.secret)
    assert begun.events == whole.events and (begun.entries == whole.entries) is (entries == "with")
    first = WHOLE.model_copy(update={"ledger": whole.ledger})
    for second in (begun, WHOLE.model_copy(update={"ledger": begun.ledger})):
        found = joined(("First", first), ("Second", second)).findings
        assert [one.text for one in found if one.versions or one.kind in ("older-version", "same-file")] == []


def test_who_has_the_start_file_and_the_public_one_can_not_put_the_hall_aside() -> None:
    """With the whole file one could: its secret proves whatever is added as the same hall's later file."""
    public = public_of(WHOLE)
    later = {"made_wall_ms": WHOLE.made_wall_ms + 1, "marks": public.marks}
    forged = start_of(WHOLE).model_copy(update=later | {"runs": public.runs, "rulings": public.rulings})
    thief = forged.model_copy(update={"ledger": WHOLE.ledger})
    own = of_secret("7e" * 32, forged)
    named = forged.model_copy(update={"ledger": public.ledger})
    put_aside = [
        name
        for name, file in (("thief", thief), ("no ledger", forged), ("own", own), ("named", named))
        if any(one.kind == "older-version" for one in joined(("Hall", public), ("Other", file)).findings)
    ]
    assert put_aside == ["thief"]


def test_only_the_desk_takes_it_along_and_the_page_says_which_file_is_whose(house: House) -> None:
    assert house.browser().get("/desk/start.json").status_code in (401, 403)
    page = " ".join(house.desk().get("/desk/setup", headers={"accept": "text/html"}).text.split())
    assert 'href="/desk/start.json"' in page and 'href="/desk/start.json?entries=without"' in page
    assert "give it to no other hall" in page and "The start file is for another hall" in page


def test_the_command_writes_either_and_says_which_is_whose(
    house: House, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def export(name: str, *flags: str) -> tuple[int, str]:
        code = main(["export", str(tmp_path / name), *flags, "--data", str(tmp_path)])
        said = capsys.readouterr()
        return code, said.out + said.err

    code, said = export("whole.json")
    assert code == 0 and "keep it as safe as the backups" in said
    code, said = export("start.json", "--to-begin")
    assert code == 0 and "for another hall to begin from" in said and "backups" not in said
    assert export("bare.json", "--to-begin", "--without-entries")[0] == 0
    code, said = export("no.json", "--without-entries")
    assert code == 1 and "--to-begin" in said and not (tmp_path / "no.json").exists()
    assert export("start.json", "--to-begin")[0] == 1, "nothing is written over"
    made = {name: json.loads((tmp_path / name).read_text()) for name in ("whole.json", "start.json", "bare.json")}
    assert [bool(one["ledger"]) for one in made.values()] == [True, False, False]
    assert [bool(one["entries"]) for one in made.values()] == [True, True, False]
