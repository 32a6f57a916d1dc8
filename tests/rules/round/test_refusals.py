"""What a round refuses: each with its sentence, and nothing is changed by it."""

from collections.abc import Callable
from copy import deepcopy
from fractions import Fraction

import pytest

from app.rules.round import codec
from app.rules.round import records as r
from app.rules.round.fold import fold, take, why_not
from app.rules.round.guards import roll_root
from app.rules.round.moves import MOVES, refused_by_table
from app.rules.round.rule import HOUR, DivisionRule, EventRule, PartRule, Rule
from app.rules.round.state import RoundState
from tests.builders.rounds import DEADLINE, HEAD, OTHER_HEAD, PANEL, Played

A, B, C = "a" * 64, "b" * 64, "c" * 64
EVENT = EventRule(id="e", name="The event", parts=(PartRule(name="Window 1"), PartRule(name="Lift", of="lift")))
RULE = Rule(id="r", name="R", events=(EVENT,), divisions=(DivisionRule(id="d", name="D", places=1),), deadline_ms=DEADLINE)

# The table of the plan, told a second time by hand: what may follow what.
LEGAL = {
    "hand-in": {
        "": {"promised"},
        "promised": {"arrived", "lapsed"},
        "arrived": {"checked"},
        "sound": {"withdrawn"},
        "unsound": set(), "lapsed": set(), "replaced": set(), "withdrawn": set(),
    },
    "look": {
        "": {"look-offered"},
        "offered": {"look-taken", "look-given-back"},
        "taken": {"look-sealed", "look-given-back"},
        "given back": set(), "sealed": set(),
    },
    "appeal": {"": {"appeal"}, "filed": {"answer"}, "upheld": set(), "partly": {"panel"}, "refused": {"panel"}, "closed": set()},
    "invitation": {
        "": {"invited"},
        "offered": {"accepted", "declined", "no-answer"},
        "accepted": {"uninvited"},
        "declined": set(), "lapsed": set(), "withdrawn": set(),
    },
    "line": {
        "": {"claim"},
        "claimed": {"claim", "film", "doubt", "asked"},
        "asked": {"film", "asked", "decision"},
        "looked": {"film", "asked", "decision"},
        "stands": {"film", "asked"},
        "unlooked": {"film", "doubt", "asked"},
        "adjusted": set(), "refused": set(), "appealed": set(), "decided": set(), "final": set(),
    },
}  # fmt: skip


@pytest.mark.parametrize("thing", LEGAL)
def test_the_table_lets_pass_what_the_plan_lists_and_names_the_state_of_all_else(thing: str) -> None:
    for state, legal in LEGAL[thing].items():
        for kind, move in MOVES.items():
            if move.thing == thing:
                said = refused_by_table(kind, move.stages[0], state)
                assert (said == "") == (kind in legal), (state, kind)
                assert said == "" or said.endswith((f"{state or 'not here'}.", "already.", "once."))


def a_round(*until: str) -> Played:
    """A small round: gyms 1 and 2, entries 1 to 3; as far as the steps named, in order."""
    game = Played(None, now=HOUR)  # type: ignore[arg-type]
    game.say(r.Opened, rule=RULE)
    for gym in (1, 2):
        game.say(r.Gym, gym=gym, name=f"Gym {gym}")
        game.say(r.Bound, gym=gym, key=B)
        game.say(r.Reviewer, reviewer=f"of{gym}", name=f"Reviewer of {gym}", gym=gym)
    for name in ("x", "y", "z"):
        game.say(r.Reviewer, reviewer=name, name=f"Reviewer {name}")
    game.say(r.Promised, hand_in=A, gym=1)
    game.say(r.Claim, entry=1, event="e", division="d", gym=2, parts=(50, 100), film=True)
    game.say(r.Claim, entry=2, event="e", division="d", gym=2, parts=(40, 90))
    for step in until:
        STEPS[step](game)
    assert game.refused == []
    return game


def _roll(game: Played) -> None:
    game.say(r.Arrived, hand_in=A)
    game.say(r.Checked, hand_in=A)
    game.say(r.Claim, entry=3, event="e", division="d", gym=1, hand_in=A, parts=(30, 80), film=True)
    game.now = DEADLINE + 1
    game.say(r.Roll, root=roll_root(game.state), lines=3)


def _draw(game: Played) -> None:
    game.say(r.Draw, dice="123456" * 6 + "1234", witnesses=("Perrin Vale",))


def _ask(game: Played) -> None:
    game.say(r.Asked, entry=1, event="e", reason="top")


def _take(game: Played, reviewer: str = "x") -> None:
    game.say(r.LookOffered, look=reviewer, entry=1, event="e", reviewer=reviewer)
    game.say(r.LookTaken, look=reviewer)


def _look(game: Played, reviewer: str = "x", count: int = 40) -> None:
    _take(game, reviewer)
    seen = (r.Seen(value=Fraction(count)), r.Seen(value=Fraction(100)))
    game.say(r.LookSealed, look=reviewer, by=f"Reviewer {reviewer}", seen=seen)


def _second(game: Played) -> None:
    game.say(r.Asked, entry=1, event="e", reason="top")
    _look(game, "y")


def _adjust(game: Played) -> None:
    game.say(r.Decision, entry=1, event="e", by=HEAD, outcome="adjusted", value=Fraction(140))


STEPS: dict[str, Callable[[Played], None]] = {
    "rolled": _roll, "drawn": _draw, "asked": _ask, "taken": _take, "looked": _look, "again": _second, "adjusted": _adjust,
    "appealed": lambda game: game.say(r.Appeal, entry=1, event="e", why="Counted wrongly") and None,
}  # fmt: skip
DRAWN = ("rolled", "drawn")
LOOKED = (*DRAWN, "asked", "looked", "again")
APPEALED = (*LOOKED, "adjusted", "appealed")
SEEN = (r.Seen(value=Fraction(1)), r.Seen(value=Fraction(1)))
ONE, TWO, THREE = ({"entry": n, "event": "e"} for n in (1, 2, 3))
REFUSE = ONE | {"outcome": "refused", "why": "As it was"}
CLAIM = {"entry": 9, "event": "e", "division": "d", "gym": 2, "parts": (1, 2)}

NO_WORD = "The round's opening word is not out yet."
WORDS = RULE.model_copy(update={"film_word": 6, "opens_ms": 2 * HOUR})


def test_nothing_is_claimed_or_promised_before_the_opening_word_which_comes_out_when_the_round_opens() -> None:
    game = Played(None, now=HOUR)  # type: ignore[arg-type]
    game.say(r.Opened, rule=WORDS)
    game.say(r.Gym, gym=2, name="Gym 2")
    assert (
        not game.say(r.Claim, **CLAIM)
        and not game.say(r.Promised, hand_in=A, gym=2)
        and not game.say(r.OpeningWord, word="A" * 12)
    )
    assert [sentence for _, sentence in game.refused] == [NO_WORD, NO_WORD, "The round opens later."]
    game.now = 2 * HOUR
    assert game.say(r.OpeningWord, word="A" * 12) and game.say(r.Claim, **CLAIM) and game.say(r.Promised, hand_in=A, gym=2)


REFUSED: list[tuple[tuple[str, ...], type[r.Kept], dict[str, object], str]] = [
    ((), r.Gym, {"gym": 1, "name": "Other"}, "Another gym has this number."),
    ((), r.OpeningWord, {"word": "A" * 12}, "This round has no words."),
    ((), r.Bound, {"gym": 7, "key": A}, "No gym has this number."),
    ((), r.Bound, {"gym": 2, "key": A}, "This gym has bound a key already"),
    ((), r.Reviewer, {"reviewer": "q", "name": "Q", "gym": 7}, "No gym has this number."),
    ((), r.Extended, {"until": DEADLINE, "why": "Rain"}, "A deadline is moved to a later time"),
    ((), r.Promised, {"hand_in": B, "gym": 2, "replaces": A}, "A hand-in replaces one of the same gym."),
    ((), r.Promised, {"hand_in": B, "gym": 2, "at": DEADLINE + 1}, "That is past the deadline."),
    ((), r.Arrived, {"hand_in": A, "at": 50 * HOUR}, "The file came after the time"),
    ((), r.Lapsed, {"hand_in": A, "at": 48 * HOUR}, "The file may still come."),
    ((), r.Claim, CLAIM | {"at": DEADLINE + 1}, "That is past the deadline."),
    ((), r.Claim, CLAIM | {"hand_in": A}, "A claim comes with a sound hand-in of its gym."),
    ((), r.Claim, CLAIM | {"parts": (1,)}, "The event has 2 parts, and the claim says 1."),
    ((), r.Claim, CLAIM | {"entry": 1, "gym": 1}, "This line was claimed otherwise"),
    ((), r.Claim, CLAIM | {"division": "f"}, "The round has no such event or division."),
    ((), r.Roll, {"root": A, "lines": 2, "at": DEADLINE}, "The roll is closed after the deadline."),
    ((), r.Roll, {"root": A, "lines": 2, "at": DEADLINE + 1}, "The roll waits for what was promised: 1"),
    ((), r.Asked, ONE | {"reason": "top"}, "That is too early or too late: the round is open."),
    (("rolled",), r.Promised, {"hand_in": B, "gym": 1, "at": HOUR}, "That is too early or too late"),
    (("rolled",), r.Draw, {"dice": "123", "witnesses": ("P",)}, "The draw takes 40 rolls of a die with 6 sides."),
    (("rolled",), r.Draw, {"dice": "7" * 40, "witnesses": ("P",)}, "The draw takes 40 rolls of a die with 6 sides."),
    (DRAWN, r.Claim, CLAIM, "A claim after the roll is admitted by a person, with a reason."),
    (DRAWN, r.Claim, CLAIM | {"by": HEAD}, "A claim after the roll is admitted with a reason."),
    ((*DRAWN, "asked", "taken"), r.LookSealed, {"look": "x", "seen": SEEN, "by": HEAD}, "A look is sealed under the name of its"),
    ((*DRAWN, "asked", "taken"), r.LookSealed, {"look": "x", "seen": SEEN}, "A person says that, by name."),
    (DRAWN, r.Asked, THREE | {"reason": "top"}, "The rule does not ask for this look."),
    (DRAWN, r.Asked, THREE | {"reason": "opened"}, "The rule does not ask for this look."),
    (DRAWN, r.Asked, THREE | {"reason": "doubt"}, "The rule does not ask for this look."),
    (DRAWN, r.Asked, TWO | {"reason": "ruling", "why": "Odd"}, "Who picks a film says so by name, with a reason."),
    (DRAWN, r.LookOffered, ONE | {"look": "l", "reviewer": "x"}, "No look at this line is waiting for a reviewer."),
    (DRAWN, r.Published, {}, "Looks that the rule asks for:"),
    (DRAWN, r.Named, {"gym": 2, "by": HEAD, "why": "Odd"}, "A gym is named after 2 corrections."),
    ((*DRAWN, "asked"), r.LookOffered, ONE | {"look": "l", "reviewer": "of2"}, "Nobody looks at a film of the own gym."),
    ((*DRAWN, "asked"), r.Decision, ONE | {"by": HEAD, "outcome": "stands"}, "A line is decided when all its looks are sealed."),
    ((*DRAWN, "asked"), r.Decision, ONE | {"by": HEAD, "outcome": "refused", "why": "no-film"}, "There is a film."),
    ((*DRAWN, "asked"), r.Published, {}, "Lines that were asked for and are not decided: 1."),
    (LOOKED[:-1], r.Decision, ONE | {"by": HEAD, "outcome": "adjusted", "value": 140}, "The scale needs another look first."),
    (LOOKED[:-1], r.LookSealed, {"look": "x", "seen": SEEN}, "A look is sealed once"),
    (LOOKED, r.Decision, ONE | {"by": HEAD, "outcome": "adjusted", "value": 141}, "That is not what the scale gives."),
    (LOOKED, r.Decision, ONE | {"by": "Reviewer x", "outcome": "adjusted", "value": 140}, "Nobody decides on an own look."),
    (LOOKED, r.Decision, ONE | {"outcome": "adjusted", "value": 140}, "A person says that, by name."),
    ((*LOOKED, "adjusted"), r.Appeal, TWO | {"why": "No"}, "An appeal is against a correction: the line is claimed."),
    (APPEALED, r.Answer, REFUSE | {"by": HEAD}, "Another head judge answers"),
    (APPEALED, r.Answer, REFUSE | {"by": "Reviewer y"}, "Nobody answers an appeal against an own look."),
    (APPEALED, r.Answer, REFUSE | {"by": OTHER_HEAD, "outcome": "partly"}, "A score is said where"),
    (APPEALED, r.Panel, REFUSE | {"by": OTHER_HEAD, "judges": PANEL}, "A panel hears"),
]  # fmt: skip


@pytest.fixture(scope="module")
def rounds() -> dict[tuple[str, ...], Played]:
    return {until: a_round(*until) for until in {until for until, *_ in REFUSED}}


def test_each_refusal_has_its_sentence_and_changes_nothing(rounds: dict[tuple[str, ...], Played]) -> None:
    for until, kind, said, sentence in REFUSED:
        game = rounds[until]
        before = deepcopy(game.state)
        record = kind(number=len(game.records) + 1, **{"at": game.now} | said)
        found = take(game.state, record)  # type: ignore[arg-type]
        assert found.startswith(sentence) and found[-1:] == ".", (found, sentence)
        assert game.state == before, sentence


def test_nothing_is_done_in_a_round_that_was_not_opened() -> None:
    assert why_not(RoundState(), r.Published(number=1, at=1)) == "The round was not opened."


def test_of_two_records_with_one_number_neither_counts() -> None:
    two = [r.Opened(number=1, at=at, rule=RULE) for at in (1, 2)]
    assert fold(two).stage == fold(two[::-1]).stage == ""
    assert fold(two).faults == [(1, "Two records have this number, so neither counts.")]


UNKNOWN_FIELD = '{"kind":"draw","number":1,"at":1,"dice":"1","witnesses":["P"],"seed":"0"}'


@pytest.mark.parametrize("line", ["", "{}", '{"kind": "gym"}', UNKNOWN_FIELD])
def test_what_is_no_record_is_refused_in_a_sentence(line: str) -> None:
    with pytest.raises(codec.BadRecord, match=r"This is no record of a round"):
        codec.decode(line)
