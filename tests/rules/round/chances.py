"""How a round's films fall: `python -m tests.rules.round.chances [SEEDS GYMS]` draws one roll with many seeds; with `inflators
[GYMS PLACES ROUNDS]` instead, planted inflators are played through the rules.

That round is as its plan has it, at a smaller scale: gyms of 40, some of which claim 5 to 15 % too much in a share q of their
lines; a look sees 85 % of those, and wrongly finds fault with 2 % of the honest ones.
"""

import sys
from collections import Counter
from fractions import Fraction
from random import Random

from app.rules.round import records as r
from app.rules.round.films import drawn, wanted
from app.rules.round.fold import take
from app.rules.round.guards import roll_root
from app.rules.round.inviting import due
from app.rules.round.rule import HOUR, DivisionRule, EventRule, PartRule, Rule
from app.rules.round.scale import settle
from app.rules.round.state import RoundState

DEADLINE = HOUR
GYM, DIVISIONS = 40, 14
SEES, WRONGLY = 0.85, 0.02


class Play:
    """A round that is played by the rules without reviewers to choose among."""

    def __init__(self, gyms: int, places: int, honest: dict[int, int], claimed: dict[int, int]) -> None:
        event = EventRule(id="e", name="E", parts=(PartRule(name="All"),))
        divisions = tuple(DivisionRule(id=f"d{n}", name=f"D{n}", places=places) for n in range(DIVISIONS))
        self.state, self.now, self.number = RoundState(), 0, 0
        self.say(r.Opened, rule=Rule(id="r", name="R", events=(event,), divisions=divisions, deadline_ms=DEADLINE))
        for gym in range(1, gyms + 1):
            self.say(r.Gym, gym=gym, name=f"Gym {gym}")
        for n in range(self.state.rules.most_looks):
            self.say(r.Reviewer, reviewer=f"r{n}", name=f"R{n}")
        for entry, count in claimed.items():
            self.say(
                r.Claim,
                entry=entry,
                event="e",
                division=f"d{entry % DIVISIONS}",
                gym=1 + (entry - 1) // GYM,
                parts=(count,),
                film=True,
            )
        self.honest, self.claimed = honest, claimed
        self.now = DEADLINE + 1
        self.say(r.Roll, root=roll_root(self.state), lines=len(claimed))

    def say(self, kind: type[r.Kept], **said: object) -> None:
        self.number += 1
        sentence = take(self.state, kind(number=self.number, at=self.now, **said))  # type: ignore[arg-type]
        assert sentence == "", sentence


def a_round(gyms: int, places: int, inflating: float, q: float, chance: Random) -> tuple[Play, set[int], set[int]]:
    """A round up to its roll, the gyms that inflate, and the entries of theirs that claim too much."""
    entries = range(1, gyms * GYM + 1)
    honest = {entry: round(chance.gauss(400, 60)) for entry in entries}
    bad = set(chance.sample(range(1, gyms + 1), round(gyms * inflating)))
    much = {entry for entry in entries if 1 + (entry - 1) // GYM in bad and chance.random() < q}
    claimed = {
        entry: round(count * (1 + chance.uniform(0.05, 0.15))) if entry in much else count for entry, count in honest.items()
    }
    return Play(gyms, places, honest, claimed), bad, much


def look_at_all(game: Play, much: set[int], chance: Random) -> int:
    """Waves of looks and decisions until the rule wants nothing more; how many looks there were."""
    looks = 0
    while wants := wanted(game.state):
        for want in wants:
            game.say(r.Asked, entry=want.entry, event="e", reason=want.reason)
        for entry in sorted({want.entry for want in wants}):
            line = game.state.lines[entry, "e"]
            while line.open_looks + len(line.sealed) < len(line.asks):
                looks += 1
                seen = game.claimed[entry]
                if entry in much and chance.random() < SEES:
                    seen = game.honest[entry]
                elif entry not in much and chance.random() < WRONGLY:
                    seen = round(seen * chance.uniform(0.9, 0.97))
                look = f"l{entry}-{len(line.looks)}"
                game.say(r.LookOffered, look=look, entry=entry, event="e", reviewer=(reviewer := f"r{len(line.looks)}"))
                game.say(r.LookTaken, look=look)
                game.say(r.LookSealed, look=look, by=f"R{reviewer[1:]}", seen=(r.Seen(value=Fraction(seen)),))
            if line.state == "looked":
                event = game.state.rules.event("e")
                assert event is not None
                given = settle(game.state.rules, event, line.claimed, line.sealed)
                if given.outcome != "more":
                    game.say(r.Decision, entry=entry, event="e", by="Head", outcome=given.outcome, value=given.value)
    return looks


def inflators(gyms: int = 700, places: int = 6, rounds: int = 3) -> dict[float, tuple[float, float]]:
    """Prints and gives, for three shares q, what share of the invited is wrongly so, and what share of the inflating gyms has a
    correction."""
    shares = {}
    for q in (1.0, 0.33, 0.1):
        looks = wrong = invited = hit = bad_gyms = named = 0
        for seed in range(rounds):
            chance = Random(f"{q}/{seed}")
            game, bad, much = a_round(gyms, places, 0.03, q, chance)
            game.say(r.Draw, dice="".join(chance.choice("123456") for _ in range(40)), witnesses=("P",))
            looks += look_at_all(game, much, chance)
            game.say(r.Published)
            game.now += 1000 * HOUR
            game.say(r.Signed)
            true: dict[str, list[int]] = {}
            for entry, count in game.honest.items():
                true.setdefault(f"d{entry % DIVISIONS}", []).append(count)
            for one in due(game.state, game.now):
                invited += 1
                wrong += game.honest[one.entry] < sorted(true[one.division], reverse=True)[places - 1] and one.entry in much
            hit += sum(game.state.corrections[gym] > 0 for gym in bad)
            named += sum(count > 1 for gym, count in game.state.corrections.items() if gym not in bad)
            bad_gyms += len(bad)
        each = f"{looks / rounds:,.0f} looks, wrongly invited {wrong} of {invited} ({wrong / invited:.2%})"
        caught = f"inflating gyms hit {hit / bad_gyms:.2f}, honest gyms with 2 corrections {named / rounds / gyms:.2%}"
        print(f"q = {q}: {each}, {caught}", flush=True)
        shares[q] = wrong / invited, hit / bad_gyms
    return shares


def chances(seeds: int = 500_000, gyms: int = 1) -> float:
    """Prints how far the chance of a line to be drawn lies from an even one, over many seeds of one roll; how far it is for the
    line where it is furthest. Of 10,000 seeds chance alone takes one in three lines further than 6 % from it."""
    game = Play(gyms, 0, {}, {entry: 100 + entry for entry in range(1, gyms * GYM + 1)})
    base, found = game.state, Counter[r.LineKey]()
    chance = Random(6)
    for _ in range(seeds):
        base.worked.clear()
        base.seed = f"{chance.getrandbits(256):064x}"
        for gym in base.gyms:
            found.update(drawn(base, gym))
    each = [found[key] * GYM / seeds for key in base.lines]
    own = sorted(sum(found[key] for key in base.lines if key[0] % DIVISIONS == n) for n in range(DIVISIONS))
    spread = (sum((one - 1) ** 2 for one in each) / len(each)) ** 0.5
    expected = ((GYM - 1) / seeds) ** 0.5
    print(f"{seeds} seeds, {len(each)} lines, each drawn {min(each):.3f} to {max(each):.3f} times its even chance")
    print(f"spread {spread:.3f}, by chance alone {expected:.3f}; fewest and most of a division: {own[0]}, {own[-1]}")
    return max(abs(one - 1) for one in each)


if __name__ == "__main__":
    asked = sys.argv[1:]
    if asked[:1] == ["inflators"]:
        inflators(*map(int, asked[1:]))
    else:
        chances(*map(int, asked))
