"""Whole rounds: what the rules make of them is what a scorer that shares no code makes, in whatever order the records come."""

from collections import Counter
from copy import deepcopy
from random import Random

import pytest

from app.round.undo import Undo, undo_of
from app.rules.round import codec
from app.rules.round import records as r
from app.rules.round.effect import effect_of
from app.rules.round.fold import fold, take
from app.rules.round.inviting import invited_by_division
from app.rules.round.standing import standing
from app.rules.round.state import RoundState
from tests.builders.round_scorer import OwnScorer
from tests.builders.rounds import Facts, Played, facts_of, play

UNDONE = frozenset({"promised", "arrived", "checked", "claim", "doubt"})
# `python -m tests.rules.round.many` plays thousands. In the first two a hand-in stands for one whose file never came.
SEEDS = (62, 108, *range(38))


def differences(facts: Facts, played: Played) -> list[str]:
    """Where the rules and the scorer part; empty where they are of one mind."""
    own, state = OwnScorer(facts).whole(), played.state
    found = {
        "stage": (state.stage, "signed"),
        "seed": (state.seed, own.seed),
        "lines": (
            {key: line.value for key, line in state.lines.items()},
            {key: line["value"] for key, line in own.lines.items()},
        ),
        "looks": (
            {key: line.sealed for key, line in state.lines.items()},
            {key: line["looks"] for key, line in own.lines.items()},
        ),
        "asked": (+Counter(state.asked), +own.asked),
        "corrections": (+state.corrections, +own.corrections),
        "named": (state.named, own.named),
        "places": (standings(facts, state), own_standings(facts, own)),
        "invited": (
            {division: dict(told) for division, told in invited_by_division(state).items()},
            {division: told for division, told in own.invited.items() if told},
        ),
    }
    return [f"{name}: {ours} is not {theirs}" for name, (ours, theirs) in found.items() if ours != theirs]


def standings(facts: Facts, state: RoundState) -> list[dict[int, int | None]]:
    found = []
    for division, region, gym in parts(facts):
        found.append({row.entry: row.place for row in standing(state, division, region, gym)})
    return found


def own_standings(facts: Facts, own: OwnScorer) -> list[dict[int, int | None]]:
    return [own.standing(*part) for part in parts(facts)]


def parts(facts: Facts) -> list[tuple[str, str | None, int | None]]:
    """All standings of a round: each division as a whole, by region and by gym."""
    kinds = [(None, None), *((region, None) for region in "NSE"), *((None, one["gym"]) for one in facts.gyms)]
    return [(division, *kind) for division, _ in facts.divisions for kind in kinds]


@pytest.fixture(scope="module")
def rounds() -> list[Played]:
    return [play(facts_of(seed)) for seed in SEEDS]


def test_a_round_comes_out_as_a_scorer_of_the_tests_own_has_it(rounds: list[Played]) -> None:
    assert [(n, found) for n, played in enumerate(rounds) if (found := differences(played.facts, played))] == []


def test_records_in_any_order_and_doubled_say_the_same_after_they_were_written_and_read(rounds: list[Played]) -> None:
    for number, played in enumerate(rounds[:12]):
        chance = Random(number)
        lines = codec.encode_all(played.records).splitlines()
        mixed = chance.sample(lines + chance.choices(lines, k=20), len(lines) + 20)
        again = fold(map(codec.decode, mixed))
        assert again.faults == [(record.number, sentence) for record, sentence in played.refused]
        again.faults = []
        assert again == played.state


def test_records_that_are_undone_leave_the_round_as_it_was_and_may_be_taken_again(rounds: list[Played]) -> None:
    undone, chance = Counter[str](), Random(2)
    for played in rounds[:12]:
        state, refused = RoundState(), {record.number for record, _ in played.refused}
        records = [record for record in played.records if record.number not in refused]
        at = 0
        while at < len(records):
            some = records[at : at + chance.randrange(1, 6)]
            checked = [played.state.hand_ins[one.hand_in] for one in some if isinstance(one, r.Checked)]
            for_none = any(one.promise.replaces in state.waiting for one in checked)
            if (for_none or chance.random() < 0.3) and UNDONE.issuperset(record.kind for record in some):
                take_and_undo(played.facts, state, some)
                undone.update(record.kind for record in some)
                undone["for one that never came"] += for_none
                undone["replaced"] += any(one.promise.replaces and not one.faults for one in checked)
            assert [take(state, record) for record in some] == [""] * len(some)
            at += len(some)
        assert state == played.state
    assert +undone >= Counter({*UNDONE, "replaced", "for one that never came"})


def take_and_undo(facts: Facts, state: RoundState, some: list[r.Record]) -> None:
    before, ranked, undos = deepcopy(state), standings(facts, state), list[Undo]()
    for record in some:
        undo = undo_of(state, record)
        assert undo is not None and take(state, record) == ""
        undos.append(undo)
    standings(facts, state)  # what is kept of them is of the state as it is now
    for undo in reversed(undos):
        undo()
    assert state == before and standings(facts, state) == ranked


def test_an_effect_that_is_told_before_a_ruling_is_what_the_ruling_then_does(rounds: list[Played]) -> None:
    told = 0
    for played in rounds[:8]:
        state, refused = RoundState(), {record.number for record, _ in played.refused}
        for record in played.records:
            if not isinstance(record, r.Decision | r.Answered) or record.number in refused:
                take(state, record)
                continue
            line = state.lines[record.line]
            before, division = places(state, line.claim.division), line.claim.division
            copy = fold([one for one in played.records if one.number <= record.number])
            effect = effect_of(state, record.line, copy.lines[record.line].value)
            take(state, record)
            after = places(state, division)
            assert (effect.before, effect.after) == (before[record.entry], after[record.entry])
            assert effect.moves == sum(before[one] != after[one] for one in after if one != record.entry)
            assert set(effect.comes_in) <= {one for one, place in after.items() if place is not None}
            told += before != after
    assert told


def places(state: RoundState, division: str) -> dict[int, int | None]:
    return {row.entry: row.place for row in standing(state, division)}


def test_the_rounds_of_chance_come_to_nearly_every_kind_of_record(rounds: list[Played]) -> None:
    done = {record.kind for played in rounds for record in played.records}
    assert {one.model_fields["kind"].default for one in codec.KINDS} - done <= {"extended"}
