"""A round's proofs at full length: forgeries, random rounds against the tests' own scorer, orders, the draw, inflators, kills.

The suite plays a few of each. A round in 27 was found wrong here that its forty had not.
"""

from collections.abc import Callable

from tests.bench.figures import Figure, Goal
from tests.round import forgeries, kills
from tests.rules.round import chances, many

NONE = Goal("at most", 0)
FORGED, ROUNDS, ORDERS, SEEDS, KILLS = 300, 2_000, 200, 500_000, 40
EVEN, WRONGLY, HIT = Goal("at most", 0.03), Goal("at most", 0.01), Goal("at least", 0.9)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Plays all of them."""
    tell(f"rounds: {FORGED} forgeries of a hand-in")
    forged, missed = forgeries.forge(FORGED)
    tell(f"rounds: {ROUNDS:,} rounds of chance, some minutes")
    apart = many.main(ROUNDS)
    tell(f"rounds: {ORDERS} orders of a round's records")
    others = many.orders(ORDERS)
    tell(f"rounds: {SEEDS:,} draws")
    furthest = chances.chances(SEEDS)
    tell("rounds: inflators, by the rules")
    shares = chances.inflators()
    tell(f"rounds: {KILLS} kills of a headquarters")
    found = kills.kill(KILLS)
    return [
        Figure("rounds.forgeries", f"of {forged} forgeries of {len(missed)} kinds not named", missed.total(), "", NONE),
        Figure("rounds.apart", f"of {ROUNDS:,} random rounds other than the tests' own scorer has them", apart, "", NONE),
        Figure("rounds.orders", f"of {ORDERS} orders, doubled and restarted, with another book", others, "", NONE),
        Figure("rounds.draw", f"{SEEDS:,} draws: furthest of a line from an even chance", furthest, "", EVEN),
        Figure(
            "rounds.wrongly",
            "planted inflators, all lines inflated: share of the invited wrongly so",
            shares[1.0][0],
            "",
            WRONGLY,
        ),
        Figure("rounds.hit", "… … share of the inflating gyms with a correction", shares[1.0][1], "", HIT),
        Figure(
            "rounds.kills.said",
            f"receipts that were said before {KILLS} kills, the clock an hour back at every other",
            found.said,
        ),
        Figure("rounds.kills.lost", "… of them lost", found.lost, "", NONE),
        Figure(
            "rounds.kills.broken",
            "… a number twice, a break of the chain or a file that is another",
            int(not found.whole),
            "",
            NONE,
        ),
    ]
