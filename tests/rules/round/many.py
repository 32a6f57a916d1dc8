"""Thousands of rounds against the scorer of the tests' own: `python -m tests.rules.round.many [ROUNDS] [FIRST]`."""

import sys
import time

from tests.builders.rounds import facts_of, play
from tests.rules.round.test_round import differences

EACH = 250  # rounds between two lines


def main(rounds: int, first: int = 0) -> int:
    begun, apart, records, lines = time.perf_counter(), 0, 0, 0
    for number, seed in enumerate(range(first, first + rounds), start=1):
        played = play(facts_of(seed))
        records, lines = records + len(played.records), lines + len(played.state.lines)
        for found in differences(played.facts, played):
            apart += 1
            print(f"round {seed}: {found}")
        if number % EACH == 0 or number == rounds:
            took = time.perf_counter() - begun
            told = f"{number} rounds, {records:,} records, {lines:,} lines: {apart} differences ({took:.0f} s)"
            print(told, flush=True)
    return 1 if apart else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:] or ["2000"])))
