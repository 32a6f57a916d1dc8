"""Whole rounds made of chance: the facts of one (who claims, what a look would see, who appeals), and how the rules play it."""

from dataclasses import dataclass, field
from fractions import Fraction
from random import Random
from typing import Any

from app.rules.round import records as r
from app.rules.round.films import wanted
from app.rules.round.fold import take
from app.rules.round.guards import roll_root
from app.rules.round.inviting import due
from app.rules.round.rule import HOUR, DivisionRule, EventRule, PartRule, Rule
from app.rules.round.scale import settle
from app.rules.round.state import LineState, RoundState
from tests.builders.round_scorer import own_film_word

DEADLINE = 1_000 * HOUR
APPEALS = 2_000 * HOUR  # so long that waiting for a film never ends the time for another line's appeal
HEAD, OTHER_HEAD, PANEL = "Quill Amberley", "Tansy Roe", ("Ivo Marsh", "Wren Hollis", "Odo Pell")


@dataclass
class Facts:
    """What is so in a round, whatever the rules make of it; all plain values, for a scorer that shares no code.

    hand_ins, claims: in order. `chance` gives a chance of its own for each thing, the same whoever asks.
    """

    seed: str
    events: list[dict[str, Any]]
    divisions: list[tuple[str, int]]
    gyms: list[dict[str, Any]]
    hand_ins: list[dict[str, Any]]
    claims: list[dict[str, Any]]
    doubts: set[tuple[int, str]]
    knobs: dict[str, Any]

    def chance(self, *what: object) -> Random:
        return Random("/".join(map(str, (self.seed, *what))))

    def look(self, entry: int, event: str, number: int, claim: list[int]) -> tuple[list[tuple[int, bool]], bool]:
        """What look `number` of a line sees: for each part a count and whether it has a fault; whether the line has one."""
        truth, mine = self.chance("truth", entry, event), self.chance("look", entry, event, number)
        off = truth.choice([0, 0, 0, -1, -4, -30, 3])
        seen = [(max(0, part + off + mine.choice([0, 0, 0, 1, -1, -3])), mine.random() < 0.04) for part in claim]
        return seen, truth.random() < 0.06 and mine.random() < 0.8

    @property
    def opening(self) -> str:
        """The opening word; empty in a round without."""
        return "".join(self.chance("opening").choices("ABCDEFGHJKLMNPQRSTUVWXYZ", k=12)) if self.knobs["film_word"] else ""

    def word(self, entry: int, event: str, number: int) -> str:
        """The word that look `number` reads in a line's film: mostly the right one, else none or another entry's."""
        whose = self.chance("word", entry, event).choice([entry] * 18 + [0, entry + 1])
        return own_film_word(self.opening, whose, self.knobs["film_word"]) if self.opening and whose else ""

    def film(self, entry: int, event: str) -> str:
        """Whether there is a film: at once, after it was asked for, or never."""
        return self.chance("film", entry, event).choice(["at once"] * 6 + ["later", "never"])

    def appeal(self, entry: int, event: str) -> tuple[str, int | None, str, int | None] | None:
        """An appeal's answer with its score, and a panel's; None where nobody appeals."""
        mine = self.chance("appeal", entry, event)
        if mine.random() < 0.5:
            return None
        first, second = (mine.choice(["upheld", "partly", "refused"]) for _ in range(2))
        panel = second if first != "upheld" and mine.random() < 0.4 else ""
        values = [mine.randrange(60) if one == "partly" else None for one in (first, panel)]
        return first, values[0], panel, values[1]

    def answer(self, entry: int) -> str:
        """What an invited entry says."""
        return self.chance("answer", entry).choice(["accepted", "accepted", "declined", "silent", "uninvited"])

    def names(self, gym: int) -> bool:
        return self.chance("names", gym).random() < 0.7


def facts_of(seed: int) -> Facts:
    """A small round of chance."""
    chance = Random(f"round {seed}")
    events = [_event(chance, n) for n in range(chance.choice([1, 1, 2]))]
    divisions = [(f"d{n}", chance.randint(0, 4)) for n in range(chance.randint(1, 3))]
    gyms = [{"gym": n, "region": chance.choice("NSE"), "opened": chance.random() < 0.15} for n in range(1, chance.randint(3, 8))]
    facts = Facts(str(seed), events, divisions, gyms, [], [], set(), {})
    facts.knobs = {
        "appeal_ms": APPEALS,
        "near": chance.choice([1, 1, 2]), "near_share": chance.choice(["1/100", "1/20"]), "top_looks": chance.choice([1, 2, 2]),
        "draw_least": chance.choice([0, 1, 1, 2]), "draw_share": chance.choice(["1/100", "1/4"]), "top_share": "5/4",
        "opened_next": chance.choice([1, 3]), "doubts_share": chance.choice(["1/20", "1/4"]),
        "named_after": chance.choice([1, 2]), "most_looks": facts.chance("most looks").choice([3, 5, 7]),
        "film_word": facts.chance("letters").choice([0, 4, 6]),
    }  # fmt: skip
    entry = 0
    for gym in gyms:
        entries = []
        for _ in range(chance.randint(1, 7)):
            entry += 1
            entries.append((entry, chance.choice(divisions)[0]))
        _hand_in(facts, chance, gym["gym"], entries)
    return facts


def _event(chance: Random, number: int) -> dict[str, Any]:
    better = chance.choice(["more", "more", "less"])
    none = 90 if better == "less" else 0
    parts = [{"of": chance.choice(["window", "lift"]), "none": none} for _ in range(chance.randint(1, 3))]
    return {"id": f"e{number}", "take": chance.choice(["sum", "best"]), "better": better, "parts": parts}


def _hand_in(facts: Facts, chance: Random, gym: int, entries: list[tuple[int, str]]) -> None:
    """One or two hand-ins of a gym, the later of which may replace the first; some of its entries claim by their own link."""
    own = [one for one in entries if chance.random() < 0.2]
    sent = [one for one in entries if one not in own]
    for entry, division in own:
        _claims(facts, chance, gym, entry, division, None)
        if chance.random() < 0.2:
            _claims(facts, chance, gym, entry, division, None)
    before = None
    for number in range(chance.choice([1, 1, 2])):
        digest = f"{gym:032x}{number:032x}"
        late, lapses = chance.random() < 0.05, chance.random() < 0.05
        faulty, taken_back = chance.random() < 0.05, chance.random() < 0.05
        fate = {"late": late, "lapses": lapses, "faulty": faulty, "taken_back": taken_back}
        facts.hand_ins.append({"hand_in": digest, "gym": gym, "replaces": before, **fate})
        for entry, division in sent:
            _claims(facts, chance, gym, entry, division, digest)
        before = digest if chance.random() < 0.9 else None


def _claims(facts: Facts, chance: Random, gym: int, entry: int, division: str, hand_in: str | None) -> None:
    person = f"{entry:064x}" if chance.random() < 0.5 else None
    for event in facts.events:
        if chance.random() < 0.93:
            parts = [chance.randrange(20, 60) for _ in event["parts"]]
            facts.claims.append({"entry": entry, "event": event["id"], "division": division, "gym": gym, "parts": parts,
                                 "hand_in": hand_in, "person": person})  # fmt: skip
            if chance.random() < 0.1:
                facts.doubts.add((entry, event["id"]))


@dataclass
class Played:
    """A round as it was played: every record that was tried, those that were refused with the sentence, the state."""

    facts: Facts
    state: RoundState = field(default_factory=RoundState)
    records: list[r.Record] = field(default_factory=list)
    refused: list[tuple[r.Record, str]] = field(default_factory=list)
    now: int = 0

    def say(self, kind: type[Any], **said: Any) -> bool:
        """The next record, refused or not."""
        record = kind(number=len(self.records) + 1, at=self.now, **said)
        self.records.append(record)
        sentence = take(self.state, record)
        if sentence:
            self.refused.append((record, sentence))
        return not sentence


def rule_of(facts: Facts) -> Rule:
    """The rule of a round of chance."""
    events = []
    for one in facts.events:
        parts = tuple(PartRule(name=f"Part {n}", of=part["of"], none=part["none"]) for n, part in enumerate(one["parts"]))
        events.append(EventRule(id=one["id"], name=one["id"], take=one["take"], better=one["better"], parts=parts))
    divisions = tuple(DivisionRule(id=key, name=key, places=places) for key, places in facts.divisions)
    return Rule(id="round", name="A round", events=tuple(events), divisions=divisions, deadline_ms=DEADLINE, **facts.knobs)


def play(facts: Facts, until: str = "") -> Played:
    """A round from its opening to the last answer to an invitation, by the rules."""
    game = Played(facts, now=HOUR)
    game.say(r.Opened, rule=rule_of(facts))
    if facts.opening:
        game.say(r.OpeningWord, word=facts.opening)
    for one in facts.gyms:
        game.say(r.Gym, name=f"Gym {one['gym']}", **one)
        game.say(r.Bound, gym=one["gym"], key=f"{one['gym']:064x}")
    for n, gym in enumerate([*[0] * 10, *(one["gym"] for one in facts.gyms)]):
        game.say(r.Reviewer, reviewer=f"r{n}", name=f"Reviewer {n}", gym=gym)
    _hand_ins(game)
    game.now = DEADLINE + 50 * HOUR
    for one in facts.hand_ins:
        if one["hand_in"] in game.state.hand_ins and one["lapses"]:
            game.say(r.Lapsed, hand_in=one["hand_in"])
    game.say(r.Roll, root=roll_root(game.state), lines=len(game.state.lines))
    chance = facts.chance("dice")
    game.say(r.Draw, dice="".join(chance.choice("123456") for _ in range(40)), witnesses=("Perrin Vale",))
    for entry, event in sorted(facts.doubts & game.state.lines.keys()):
        game.say(r.Doubt, entry=entry, event=event, why="too even")
    if until == "drawn":
        return game
    _look_at_all(game)
    for one in facts.gyms:
        if facts.names(one["gym"]) and game.state.corrections[one["gym"]] >= facts.knobs["named_after"]:
            game.say(r.Named, gym=one["gym"], by=HEAD, why="Corrected more than once")
    game.say(r.Published)
    while _appeals(game):
        _look_at_all(game)
    game.now += APPEALS + HOUR
    game.say(r.Signed)
    _invitations(game)
    return game


def _hand_ins(game: Played) -> None:
    for claim in game.facts.claims:
        if claim["hand_in"] is None:
            game.now += 1
            game.say(r.Claim, **_claim(game.facts, claim))
    for one in game.facts.hand_ins:
        digest = one["hand_in"]
        game.now = DEADLINE + 1 if one["late"] else game.now + 1
        game.say(r.Promised, hand_in=digest, gym=one["gym"], replaces=one["replaces"])
        if not one["lapses"]:
            game.say(r.Arrived, hand_in=digest)
            game.say(r.Checked, hand_in=digest, faults=("A sheet lacks its signature",) if one["faulty"] else ())
            for claim in game.facts.claims:
                if claim["hand_in"] == digest:
                    game.say(r.Claim, **_claim(game.facts, claim))
        game.now = min(game.now, DEADLINE - 10_000)
        if one["taken_back"]:
            game.say(r.HandInWithdrawn, hand_in=digest, why="Sent too early")


def _claim(facts: Facts, claim: dict[str, Any]) -> dict[str, Any]:
    return claim | {"parts": tuple(claim["parts"]), "film": facts.film(claim["entry"], claim["event"]) == "at once"}


def _look_at_all(game: Played) -> None:
    """Waves: all that the rule wants is asked for, looked at and decided, until it wants nothing more."""
    while wants := wanted(game.state):
        for want in wants:
            assert game.say(r.Asked, entry=want.entry, event=want.event, reason=want.reason), game.refused[-1]
            if want.reason == "top" and len(game.state.lines[want.entry, want.event].asks) < game.state.rules.top_looks:
                game.say(r.Asked, entry=want.entry, event=want.event, reason="top")
        for key, line in sorted(game.state.lines.items()):
            if line.state == "asked":
                _look(game, key)
        for key, line in sorted(game.state.lines.items()):
            if line.state == "looked":
                _decide(game, key)


def _look(game: Played, key: r.LineKey) -> None:
    facts, line = game.facts, game.state.lines[key]
    film = facts.film(*key)
    if film == "never":
        game.now = max(game.now, line.asks[0].at + 72 * HOUR + 1)
        game.say(r.Decision, entry=key[0], event=key[1], by=HEAD, outcome="refused", why="no-film")
        return
    if film == "later" and not line.film:
        game.say(r.FilmCame, entry=key[0], event=key[1])
    while line.state == "asked":
        _one_look(game, key, line)


def _one_look(game: Played, key: r.LineKey, line: LineState) -> None:
    """The next look at a line, by the first of the reviewers in an order of chance who may."""
    facts, number = game.facts, len(line.sealed)
    event = next(one for one in facts.events if one["id"] == key[1])
    seen, refused = facts.look(*key, number, [int(part) for part in line.claim.parts])
    fault = {"window": "cut", "lift": "no-collar"}
    told = []
    for (count, amiss), part in zip(seen, event["parts"], strict=True):
        told.append(r.Seen(value=Fraction(count), faults=(fault[part["of"]],) if amiss else ()))
    everybody = sorted(game.state.reviewers)
    for reviewer in facts.chance("reviewers", *key, number).sample(everybody, len(everybody)):
        look = f"{key[0]}-{key[1]}-{len(line.looks)}"
        if not game.say(r.LookOffered, look=look, entry=key[0], event=key[1], reviewer=reviewer):
            continue
        game.say(r.LookTaken, look=look)
        if facts.chance("gives back", look).random() < 0.1 and len(line.looks) < 3:
            game.say(r.LookGivenBack, look=look)
            continue
        name = game.state.reviewers[reviewer].name
        said = {"by": name, "seen": tuple(told), "faults": ("equipment",) if refused else (), "word": facts.word(*key, number)}
        assert game.say(r.LookSealed, look=look, **said), game.refused[-1]
        return
    raise AssertionError("nobody may look at it")


def _decide(game: Played, key: r.LineKey) -> None:
    line, event = game.state.lines[key], game.state.rules.event(key[1])
    assert event is not None
    given = settle(game.state.rules, event, line.claimed, line.sealed)
    if given.outcome != "more":
        said = {"entry": key[0], "event": key[1], "outcome": given.outcome, "value": given.value}
        assert game.say(r.Decision, by=HEAD, **said), game.refused[-1]


def _appeals(game: Played) -> bool:
    """Every appeal that can be made, each with its answer; whether there was any."""
    found = False
    for key, line in sorted(game.state.lines.items()):
        appeal = game.facts.appeal(*key) if line.state in ("adjusted", "refused") else None
        if appeal is None or line.appeal:
            continue
        found, of = True, {"entry": key[0], "event": key[1]}
        assert game.say(r.Appeal, why="Counted wrongly", **of), game.refused[-1]
        first, value, panel, panel_value = appeal
        game.say(r.Answer, by=OTHER_HEAD, outcome=first, value=value, why="Looked at again", **of)
        if panel:
            game.say(r.Panel, by=OTHER_HEAD, judges=PANEL, outcome=panel, value=panel_value, why="Looked at by three", **of)
    return found


def _invitations(game: Played) -> None:
    while found := due(game.state, game.now):
        for one in found:
            kind = r.Invited if one.kind == "invited" else r.NoAnswer
            assert game.say(kind, entry=one.entry), game.refused[-1]
            said = game.facts.answer(one.entry) if one.kind == "invited" else ""
            if said in ("accepted", "uninvited"):
                game.say(r.Accepted, entry=one.entry)
            if said == "declined":
                game.say(r.Declined, entry=one.entry)
            if said == "uninvited":
                game.say(r.Uninvited, entry=one.entry, by=HEAD, why="Under another name")
        game.now += 49 * HOUR
