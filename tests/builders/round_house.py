"""A round at a headquarters that a server runs: gyms, entries with what they claimed, reviewers, films, up to the draw."""

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from app.round.film_list import keep_films
from app.round.gym.handing_in import Made, make_hand_in
from app.round.gym.opened import binding_here, keep_kit, read_kit
from app.round.headquarters import Headquarters
from app.round.kits import GymRow, make_kit
from app.round.looks import add_reviewer
from app.round.signing import HEADQUARTERS_KEY, key_in
from app.rules.records.document import CompetitionFile, Ledger, ledger_id
from app.rules.records.markings import Markings
from app.rules.records.roster import Event
from app.rules.round import records as r
from app.rules.round.from_event import rule_from
from app.rules.round.kit import slip_for
from app.rules.round.rule import HOUR
from app.rules.values.lengths import Length
from app.rules.workout.formats import CountTask, Format, Movement, Part, ScoreRule, Window
from tests.builders.halls import ON_THE_LAN, House, TestClient, a_house
from tests.builders.mixed_day import a_mixed_day, an_entry

EVENT, DIVISION = "sq", "solo"
DICE = "123456" * 6 + "1234"
PAGE = {"accept": "text/html"}


def told_alone(numbers: Iterable[int]) -> re.Pattern[bytes]:
    """Finds any of these numbers where it stands by itself, or with words (`claim_7390`, `7390reps`). Digests and tokens hold any
    four digits now and then, and tell nothing: beside other digits, or letters of which none is more than a hexadecimal digit."""
    one = f"(?:{'|'.join(map(str, numbers))})"
    return re.compile(rf"(?<![0-9A-Za-z])(?:{one}|(?=[0-9A-Za-z]*[G-Zg-z])[A-Za-z]*{one}[A-Za-z]*)(?![0-9A-Za-z])".encode())


def as_heard(headers: Mapping[str, str], body: bytes) -> bytes:
    """All of an answer but how long it is, which is any number now and then."""
    return repr({name: value for name, value in headers.items() if name != "content-length"}).encode() + body


def front_squats() -> Format:
    """Front squats in two windows of half a minute, a quarter of one apart."""
    windows = (Window(start=0, seconds=30, task="squats"), Window(start=45, seconds=30, task="squats"))
    return Format(
        movements={"front_squat": Movement(name="Front squat", standards=("Hips below the knees.", "It ends standing."))},
        tasks={"squats": CountTask(movement="front_squat")},
        windows=windows,
        scores=(ScoreRule(unit="reps", parts=(Part(take="sum", tasks=("squats",)),)),),
    )


def the_day(format: Format | None = None) -> CompetitionFile:
    """The competition of the round: one event, of front squats where no other is given, with a box on the floor."""
    box = Markings(bar=True, bar_width=Length("260", "cm"), bar_depth=Length("190", "cm"))
    day = a_mixed_day(events=[Event(id=EVENT, name="Front squats twice", format=format or front_squats())])
    return day.model_copy(update={"markings": {EVENT: box}})


@dataclass
class RoundHouse:
    """A server with a round, and the codes of its reviewers."""

    house: House
    folder: Path
    codes: dict[str, str]

    @property
    def headquarters(self) -> Headquarters:
        """The headquarters as its store has it now."""
        return Headquarters(self.house.app.state.hall.database, self.folder)


@contextmanager
def a_round_house(
    folder: Path, claims: Mapping[int, tuple[int, ...]], places: int = 1, drawn: bool = True, format: Format | None = None
) -> Iterator[RoundHouse]:
    """A round of two gyms that is drawn, else open for another hour. claims: by entry (gym 1 has 1001 and on), what it claims of
    both windows. Reviewers x and y are of no gym, `one` of gym 1."""
    day = the_day(format)
    with a_house(folder, file=day) as house:
        made = Headquarters(house.app.state.hall.database, folder)
        opened = house.clocks.wall
        rule = rule_from(day, "rnd", "Two gyms", opened + HOUR, "UTC", {DIVISION: places})
        make_kit(made, day, rule, [GymRow(1, "Slate Barn", "North"), GymRow(2, "Mill Row", "South")], folder / "kit", opened)
        lines = [
            {"entry": entry, "event": EVENT, "division": DIVISION, "gym": entry // 1000, "parts": [str(n) for n in parts]}
            for entry, parts in claims.items()
        ]
        made.add([(r.Claim, line) for line in lines], opened)
        reviewers = (("x", "Ansel Poole", 0), ("y", "Ottilie Crane", 0), ("one", "Bram Sedge", 1))
        codes = {key: add_reviewer(made, key, name, gym, opened) for key, name, gym in reviewers}
        keep_films(folder, "".join(f"{entry},{EVENT},film-{n}.mp4\n" for n, entry in enumerate(claims)), made.state)
        if drawn:
            house.clocks.pass_ms(HOUR + 1)
            made.close_roll(house.clocks.wall)
            made.draw(DICE, ["Perrin Vale"], house.clocks.wall)
            made.go_on(house.clocks.wall)
        yield RoundHouse(house, folder, codes)


class HandingIn:
    """A gym of a round: its kit opened in a folder of its own, its key bound at headquarters."""

    def __init__(self, headquarters: Headquarters, kit: Path, folder: Path, number: int, now_ms: int) -> None:
        key, rule = key_in(headquarters.data, HEADQUARTERS_KEY, make=False), headquarters.state.rules
        code = slip_for(key.private, key.public, rule.id, number).text()
        self.folder, self.number = folder, number
        keep_kit(folder, read_kit(kit.read_bytes(), code))
        headquarters.bind(binding_here(folder), now_ms)

    def hand_in(self, reps: Mapping[str, int], replaces: str | None = None) -> Made:
        """What it hands in: so many repetitions in all for each of its entries."""
        entries = [an_entry(one, DIVISION, 1) for one in reps]
        counts = {(EVENT, one): count for one, count in reps.items()}
        day = a_mixed_day(entries, the_day().events, {EVENT: list(reps)}, counts)
        secret = f"{self.number:064x}"
        return make_hand_in(self.folder, day.model_copy(update={"ledger": Ledger(id=ledger_id(secret), secret=secret)}), replaces)


class Reviewing:
    """A reviewer's browser at home, and all that came over its network."""

    def __init__(self, there: RoundHouse, reviewer: str) -> None:
        self.there, self.reviewer, self.heard = there, reviewer, b""
        self.browser: TestClient = there.house.browser(ON_THE_LAN)
        self.link = f"/look/{there.codes[reviewer]}"

    def get(self, path: str = "") -> str:
        answer = self.browser.get(path or self.link, headers=PAGE)
        self.heard += as_heard(answer.headers, answer.content)
        return answer.text

    def post(self, act: str, form: dict[str, str] | None = None) -> int:
        answer = self.browser.post(f"{self.link}/{act}", data=form or {}, headers=PAGE)
        self.heard += as_heard(answer.headers, answer.content)
        self.said = answer.text
        return answer.status_code

    def filled(self, **changes: str) -> dict[str, str]:
        """A form that is filled in, of the look that is open."""
        found = re.search(r'name="look" value="(\w+)"', self.get())
        assert found is not None
        form = {"look": found[1], "count-0": "3", "reps-0": "1500 2500 3500", "count-1": "4", "at-1": "0:52.5", "sure": "on"}
        form |= {"gear-0-what": "bar", "gear-0-says": "20 kg, grey sleeves", "gear-0-at": "0:04.25"}
        return form | changes
