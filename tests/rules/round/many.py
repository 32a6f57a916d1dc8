"""Thousands of rounds against the scorer of the tests' own: `python -m tests.rules.round.many [ROUNDS] [FIRST]`; with `orders
[HOW MANY]` instead, one round's records in so many orders, doubled, and read on after a restart somewhere: its book."""

import sys
import time
from collections.abc import Sequence
from random import Random

from app.rules.round import codec
from app.rules.round import records as r
from app.rules.round.book import book_files
from app.rules.round.fold import fold, take
from app.rules.round.state import RoundState
from tests.builders.rounds import facts_of, play
from tests.rules.round.test_round import differences

EACH = 250  # rounds between two lines


def main(rounds: int, first: int = 0) -> int:
    """Prints where the rules and the scorer differ; how often that is."""
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
    return apart


def orders(count: int = 200) -> int:
    """Prints in how many orders the book of a round is another by a byte; so many."""
    apart = 0
    for number in range(count):
        played, chance = play(facts_of(number % 10)), Random(number)
        lines = codec.encode_all(played.records).splitlines()
        mixed = chance.sample(lines + chance.choices(lines, k=50), len(lines) + 50)
        once = {record.number: record for record in map(codec.decode, mixed)}
        records, cut = [once[one] for one in sorted(once)], chance.randrange(len(lines))
        restarted = fold(records[:cut])
        for record in records[cut:]:
            take(restarted, record)
        books = {_book(played.records, played.state), _book(records, fold(map(codec.decode, mixed))), _book(records, restarted)}
        apart += len(books) > 1
    print(f"{count} orders, each doubled and restarted: {apart} with another book")
    return apart


def _book(records: Sequence[r.Record], state: RoundState) -> bytes:
    """A book's files, one after the other."""
    files = book_files(records, state, (), (), b"")
    return b"".join(name.encode() + b"\0" + files[name] for name in sorted(files))


if __name__ == "__main__":
    if sys.argv[1:2] == ["orders"]:
        sys.exit(min(1, orders(*map(int, sys.argv[2:]))))
    sys.exit(min(1, main(*map(int, sys.argv[1:] or ["2000"]))))
