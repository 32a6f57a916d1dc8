"""The teller itself: what is false, or new, does not pass it; and what the app can say of these things has its row."""

import re
from collections import Counter

import pytest

from app.paths import CHECKOUT
from app.store import database, writer
from app.store.writer import StoreAway, StoreClosed, StoreFull, StoreReadOnly
from tests.faults.claims import CLAIMS
from tests.faults.ground import Ground, Held, Lane, Row
from tests.faults.hearing import Said, lanes_in
from tests.faults.teller import Teller, Untrue, sentences

SHEET = "asg_1/1/lane"
# Sentences of the device's part that are no state of marks, clock, store or line: programmers' errors, and what to do.
NO_CLAIM = {
    "A tablet that isn't paired makes no marks.",
    "The browser did not open its store.",
    "The browser closed the store.",
    "The store gave the write up.",
    "Tell the judge your load.",
    "Tell the marshal or the judge the loads.",
    "Set the tablet's screen to stay on for 30 minutes or more.",
}


def hall(stored: int = 3, tapped: int = 3) -> Ground:
    """A lane whose judge tapped so often, and a store that holds so much of it."""
    rows = [Row(f"{n:032x}", SHEET, "dev_1", 1, n + 1, 0, n) for n in range(stored)]
    return Ground(
        lambda: Held(rows, go_wall_ms=0.0), lanes={1: Lane(places=Counter({(SHEET, 0): tapped}))}, windows=((0, 60_000),)
    )


def heard(ground: Ground, where: str, words: str, lane: int = 1, shown: int = 3) -> None:
    Teller("a test", ground).listen(lambda: [Said(where, lane, words, 10_000, shown)])


@pytest.mark.parametrize(
    ("where", "words", "shown"),
    [
        ("tablet", "4 marks at the desk", 4),
        ("tablet", "0 waiting on this tablet", 3),
        ("tablet", "This browser had lost its marks. All of them are back; nothing is missing.", 3),
        ("tablet", "No line to the desk. Keep judging: marks are kept here.", 3),
        ("answer", "2 acknowledged", 0),
        ("coach", "Declared, at the desk", 0),
        ("coach", "Nothing declared yet: choose your next load and declare it.", 0),
        ("coach", "The order of lifting is as the desk said it 9 s ago.", 0),
        ("backups", "Written, read back and complete", 0),
    ],
)
def test_what_is_false_is_caught(where: str, words: str, shown: int) -> None:
    ground = hall(stored=3, tapped=5)
    with pytest.raises(Untrue, match="not true"):
        heard(ground, where, words, shown=shown)


def test_what_is_true_passes_and_is_noted() -> None:
    teller = Teller("a test", hall(stored=3, tapped=5))
    teller.listen(lambda: [Said("tablet", 1, "3 marks at the desk", 0, 5), Said("tablet", 1, "2 waiting on this tablet", 0, 5)])
    assert teller.row == ("a test", 5, 2, 0, 0, {"tablet: … marks at the desk": 1, "tablet: … waiting on this tablet": 1})


def test_a_sentence_that_no_row_knows_is_caught() -> None:
    with pytest.raises(Untrue, match="No row of the claims knows"):
        heard(hall(), "tablet", "3 marks at the desk and in the cloud")


def test_what_may_come_late_is_waited_for_and_no_longer() -> None:
    said = iter(["online, nothing waits on it", "online, 1 mark still on it"])
    Teller("a test", hall(stored=2)).listen(lambda: [Said("tablets", 1, next(said), 0)])


def test_a_clock_is_measured_and_a_bound_held_against_it() -> None:
    ground = hall()
    heard(ground, "tablet", "49900 ms left")
    heard(ground, "desk", "Online clock ±3 ms")
    with pytest.raises(Untrue, match="ms left"):
        heard(ground, "tablet", "32000 ms left")
    assert ground.lane(1).error_ms == 18_000


def test_marks_elsewhere_twice_or_gone_are_counted_apart() -> None:
    ground = hall(stored=3, tapped=4)
    moved, *rest = ground.holds().rows
    ground.holds = lambda: Held([*rest, rest[0], Row(moved.id, "asg_2/1/lane", "dev_1", 1, 1, 0, 0)])
    found = ground.outcome()
    assert (found.tried, found.lost, found.doubled, found.misplaced) == (4, 1, 1, 1)


def test_the_lanes_of_a_place() -> None:
    assert lanes_in("Turn about, heat 1, lanes 1 to 3, 7") == (1, 2, 3, 7)
    assert lanes_in("Turn about, heat 2, lane 4") == (4,) and lanes_in("Marks") == ()


def test_what_the_store_says_has_a_row() -> None:
    told = [str(kind()) for kind in (StoreFull, StoreReadOnly, StoreAway, StoreClosed)]
    for words in (*told, database.GONE):
        assert [*sentences("desk", words)] and [*sentences("tablet", words)]
    assert len(told) == len([one for one in vars(writer).values() if _is_told(one)]), "another trouble of the store"


def _is_told(one: object) -> bool:
    return isinstance(one, type) and issubclass(one, writer.StoreTrouble) and one is not writer.StoreTrouble


def test_what_a_tablet_can_say_of_marks_clock_store_and_line_has_a_row() -> None:
    folder = CHECKOUT / "static" / "js"
    files = [*(folder / "device").glob("*.js"), folder / "screens/floor/lane/warnings.js", folder / "screens/floor/lane/strip.js"]
    # Of a pair, what is so and what to do about it, the first is the state.
    states = [re.sub(r'\[say\("([^"]*)"\), say\("[^"]*"\)\]', r'"\1"', file.read_text(encoding="utf-8")) for file in files]
    said = {words.replace("{span}", "3 s") for text in states for words in re.findall(r'"([A-Z][^"\n]*[.!])"', text)}
    assert len(said) > 20
    unknown = [words for words in sorted(said - NO_CLAIM) if not any(claim.words.match(words) for claim in CLAIMS["tablet"])]
    assert unknown == []


def test_what_a_coachs_phone_can_say_of_a_declaration_has_a_row() -> None:
    folder = CHECKOUT / "static" / "js" / "screens" / "floor"
    states = (folder / "call" / "words.js").read_text(encoding="utf-8").partition("export function nowText")[0]
    order = (folder / "coach" / "coach.js").read_text(encoding="utf-8")
    said = {*re.findall(r'say\("([^"]+)"', states), *re.findall(r'say\("(The order of lifting[^"]+)"', order)}
    assert len(said) > 10
    told = [f"{words[0].upper()}{words[1:]}".replace("{age}", "9 s") for words in sorted(said)]
    assert [words for words in told if not any(claim.words.fullmatch(words) for claim in CLAIMS["coach"])] == []
