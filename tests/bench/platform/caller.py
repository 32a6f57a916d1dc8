"""A meet as somebody with paper and pencil keeps it: who is called next with how much, what three judges' words come to, totals
and places. It shares no code with the product."""

from dataclasses import dataclass, field

ATTEMPTS, STEP_KG = 3, 1  # attempts at each lift; the rule's load after a good lift is so much more


@dataclass
class Card:
    """A lifter's card of one lift: what is declared for the next attempt, whether the rule put it in, what was lifted."""

    next_kg: int | None = None
    by_rule: bool = False
    tries: list[tuple[int, bool]] = field(default_factory=list)

    @property
    def best(self) -> int | None:
        return max((kg for kg, good in self.tries if good), default=None)

    @property
    def by_the_rule(self) -> int:
        """What stands if nobody says a word after an attempt."""
        kg, good = self.tries[-1]
        return kg + STEP_KG if good else kg


class Caller:
    """The cards of a meet, by lift and lifter; lots are the lifters' numbers."""

    def __init__(self, weights: dict[int, int], lifts: int) -> None:
        self.weights, self.lifts = weights, lifts
        self.cards = {(lift, who): Card() for lift in range(lifts) for who in weights}

    def next(self, lift: int, flight: list[int]) -> int | None:
        """Whom to call: of the fewest attempts the lightest load, of two such the lower lot; None when all have had theirs."""
        waiting = [who for who in flight if len(self.cards[lift, who].tries) < ATTEMPTS]
        if not waiting:
            return None
        round_now = min(len(self.cards[lift, who].tries) for who in waiting)
        called, least = 0, 10_000
        for who in waiting:
            card = self.cards[lift, who]
            if len(card.tries) == round_now and card.next_kg is not None and card.next_kg < least:
                called, least = who, card.next_kg
        return called

    def silent(self, lift: int, flight: list[int]) -> list[int]:
        """Those with attempts left for whom nobody has said a load."""
        cards = {who: self.cards[lift, who] for who in flight}
        return [who for who, card in cards.items() if card.next_kg is None and len(card.tries) < ATTEMPTS]

    def lifted(self, lift: int, who: int, lights: list[bool]) -> bool:
        """Writes an attempt down by three judges' words: whether two said that it was good."""
        card = self.cards[lift, who]
        assert card.next_kg is not None
        good = lights.count(True) > lights.count(False)
        card.tries.append((card.next_kg, good))
        card.next_kg, card.by_rule = None, False
        return good

    def table(self) -> list[tuple[int, int, int]]:
        """Lifter, total and place of those with a good lift in each, the best first; the lighter stands before."""
        totals = {}
        for who in self.weights:
            bests = [self.cards[lift, who].best for lift in range(self.lifts)]
            if None not in bests:
                totals[who] = sum(best or 0 for best in bests)
        ranked = sorted(totals, key=lambda who: (-totals[who], self.weights[who]))
        return [(who, totals[who], place) for place, who in enumerate(ranked, 1)]
