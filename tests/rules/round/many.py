"""Thousands of rounds against the scorer of the tests' own: `python -m tests.rules.round.many [ROUNDS]` says where they part."""

import sys
import time

from tests.builders.rounds import facts_of, play
from tests.rules.round.test_round import differences


def main(rounds: int) -> int:
    begun, apart, records, lines = time.perf_counter(), 0, 0, 0
    for seed in range(rounds):
        played = play(facts_of(seed))
        records, lines = records + len(played.records), lines + len(played.state.lines)
        for found in differences(played.facts, played):
            apart += 1
            print(f"round {seed}: {found}")
    took = time.perf_counter() - begun
    print(f"{rounds} rounds with {records:,} records and {lines:,} lines: {apart} differences ({took:.0f} s)")
    return 1 if apart else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000))
