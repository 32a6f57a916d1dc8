"""Several halls joined: everybody stands once, and what is found is said."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import permutations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.results.competition_file import read_file, write_file
from app.rules.records.document import CompetitionFile, Ledger, ledger_id
from app.rules.records.marks import mark_plain, parse_mark
from app.rules.records.overall_rule import OverallRule
from app.rules.records.point_formulas import PointFormula
from app.rules.records.roster import Competition
from app.rules.records.rulings import Ruling
from app.rules.records.signed import marks_held
from app.rules.result.hall_records import HallFile
from app.rules.result.halls import TWO_PEOPLE, Joined, join_halls
from app.rules.result.overall_results import overall_tables
from app.rules.result.public_file import public_of
from app.rules.result.results import results
from app.rules.result.sealing import seal_of
from app.rules.result.versions import ANOTHER, NEWER
from app.rules.workout.formats import CountTask
from tests.builders.cast import Sheet, a_competition, a_format, a_lift_task, reps, take
from tests.builders.pairs import a_file

ALL = Competition(id="all", name="All halls", unit="kg")
HERE = a_file((("Chalk Lines", "Iron Larks"),), done=((30, 100, 150), (20, 100, 100)))
THERE = a_file((("Two Left", "Slow Burn"),), done=((28, 100, 150), (40, 100, 100)))


def people(file: CompetitionFile, *names: str) -> CompetitionFile:
    """The file with its athletes named anew, in order."""
    named = tuple(one.model_copy(update={"name": name}) for one, name in zip(file.athletes, names, strict=True))
    return file.model_copy(update={"athletes": named})


def elsewhere(file: CompetitionFile) -> CompetitionFile:
    """The same file as another hall would have made it: other tablets, so other marks."""
    marks = tuple(replace(mark, id=f"f{mark.id[1:]}", device=f"other_{mark.device}") for mark in file.marks)
    return file.model_copy(update={"marks": marks, "competition": file.competition.model_copy(update={"id": "cmp2"})})


def hall(name: str, file: CompetitionFile) -> HallFile:
    return HallFile(name, f"{file.made_wall_ms:04x}{seal_of(file).digest[4:]}", file)


def joined(*halls: tuple[str, CompetitionFile], settled: Mapping[str, str] | None = None) -> Joined:
    return join_halls(ALL, [hall(name, file) for name, file in halls], settled or {})


def places(of: Joined | CompetitionFile) -> list[tuple[int | None, str, str]]:
    """Place, entry and score of the only division."""
    (event,) = results(of.file if isinstance(of, Joined) else of)
    return [(row.place, row.entry.name, row.score.text if row.score else "") for table in event.tables for row in table.rows]


NORTH = people(HERE, "Ana Ek", "Bo Lind", "Mira Moor", "Tove Hart")
SOUTH = people(elsewhere(THERE), "Ilse Vale", "Noor Brook", "Pim Stone", "Rafa Reed")


def test_two_halls_stand_in_one_standing() -> None:
    both = joined(("North", NORTH), ("South", SOUTH))
    assert places(both) == [(1, "Chalk Lines", "390"), (2, "Two Left", "388"), (3, "Slow Burn", "300"), (4, "Iron Larks", "280")]
    assert both.findings == ()
    assert {name: sum(hall == name for hall in both.hall_of.values()) for name in ("North", "South")} == {"North": 2, "South": 2}


def test_what_is_private_in_a_hall_stays_there_and_a_file_for_everybody_joins_like_a_whole_one() -> None:
    plain = mark_plain(NORTH.marks[0]) | {"id": "e" * 32, "seq": 900, "kind": "note", "body": {"text": "Knee was taped"}}
    whole = of_ledger(NORTH, "a", marks=(*NORTH.marks, parse_mark(plain)))
    for north in (whole, public_of(whole)):
        both = joined(("North", north), ("South", SOUTH))
        text = write_file(both.file)
        assert b"taped" not in text and places(read_file(text)) == places(joined(("North", NORTH), ("South", SOUTH)))


def test_what_was_joined_is_a_competition_file_like_any_other() -> None:
    both = joined(("North", NORTH), ("South", SOUTH))
    assert places(read_file(write_file(both.file))) == places(both)
    assert [heat.number for heat in both.file.heats] == [1, 2]


def test_a_file_that_comes_twice_counts_once_and_is_named() -> None:
    again = joined(("North", NORTH), ("North again", NORTH))
    assert places(again) == places(NORTH)
    assert [(found.kind, found.text) for found in again.findings] == [
        ("same-file", "North again is the same file as North, so they count as one.")
    ]


def of_ledger(file: CompetitionFile, letter: str, **update: Any) -> CompetitionFile:
    """The file as one of the ledger whose secret is made of that letter."""
    return file.model_copy(update={"ledger": Ledger(id=ledger_id(letter * 64), secret=letter * 64), **update})


def test_of_two_versions_of_a_halls_file_the_later_counts_in_whatever_order_they_come() -> None:
    early = of_ledger(NORTH, "a", marks=NORTH.marks[:40], made_wall_ms=1)
    late = of_ledger(NORTH, "a", made_wall_ms=2)
    for files in ((("a", early), ("b", late)), (("b", late), ("a", early))):
        found = joined(*files)
        assert places(found) == places(NORTH)
        assert [one.text for one in found.findings] == ["a is an earlier version of b, so it does not count."]


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_a_file_that_holds_all_of_two_others_takes_the_place_of_both_and_nothing_more_is_asked(order: Sequence[int]) -> None:
    half = len(NORTH.marks) // 2
    files = (
        ("a", of_ledger(NORTH, "a", marks=NORTH.marks[:half], made_wall_ms=1)),
        ("b", of_ledger(NORTH, "a", marks=NORTH.marks[half:], made_wall_ms=2)),
        ("c", of_ledger(NORTH, "a", made_wall_ms=3)),
    )
    found = joined(*(files[n] for n in order))
    assert places(found) == places(NORTH) and set(found.hall_of.values()) == {"c"}
    assert sorted(one.text for one in found.findings) == [
        f"{name} is an earlier version of c, so it does not count." for name in "ab"
    ]


def test_a_file_that_says_another_ruling_under_the_id_of_one_is_no_later_version_without_a_word() -> None:
    ruled = [a_ruling("r1", 10, "penalty", {"amount": amount}, entry="ent_0_0", event="evt") for amount in ("2", "200")]
    early, late = (of_ledger(NORTH, "a", rulings=(one,), made_wall_ms=at) for at, one in enumerate(ruled, 1))
    assert [one.kind for one in joined(("a", early), ("b", late)).findings if one.versions] == ["unsettled"]


LATER = NORTH.model_copy(update={"made_wall_ms": 2, "marks": NORTH.marks[5:]})
PERHAPS = {
    "something of the earlier is missing": (of_ledger(NORTH, "a"), of_ledger(LATER, "a")),
    "files that do not say whose they are": (NORTH, NORTH.model_copy(update={"made_wall_ms": 2})),
    "nobody has proven the later": (
        public_of(of_ledger(NORTH, "a", marks=NORTH.marks[:9])),
        public_of(of_ledger(NORTH, "a", made_wall_ms=2)),
    ),
    "one has no marks yet": (of_ledger(NORTH, "a", marks=()), of_ledger(NORTH, "a", made_wall_ms=2)),
    "one without a name has no marks yet": (NORTH.model_copy(update={"marks": ()}), NORTH.model_copy(update={"made_wall_ms": 2})),
    "both were judged from one file": (of_ledger(NORTH, "a"), of_ledger(SOUTH, "a", made_wall_ms=2)),
}


@pytest.mark.parametrize("files", PERHAPS.values(), ids=PERHAPS)
def test_what_the_files_can_not_tell_is_asked_and_until_then_both_count_and_nobody_twice(
    files: tuple[CompetitionFile, CompetitionFile],
) -> None:
    old, new = files
    found = joined(("a", old), ("b", new))
    (question,) = [one for one in found.findings if one.versions]
    assert question.kind == "unsettled" and question.halls == ("a", "b") and "both count" in question.text
    names = [name for _, name, _ in places(found)]
    assert sorted(names) == sorted(set(names)) == sorted({name for file in files for _, name, _ in places(file)})
    newer = joined(("a", old), ("b", new), settled={question.key: NEWER})
    assert places(newer) == places(new) and newer.findings[0].kind == "settled"
    apart = joined(("a", old), ("b", new), settled={question.key: ANOTHER})
    assert sorted(names) == sorted(name for _, name, _ in places(apart)) and "both count" in apart.findings[0].text
    lost = {mark.id for mark in old.marks} - {mark.id for mark in new.marks}
    told = [one.text for one in newer.findings if one.kind == "lost-marks"]
    assert told == (
        [f"a holds {len(lost)} marks that the later b does not. Ask that hall for a file with all of them."] if lost else []
    )


def test_two_gyms_that_began_from_one_file_are_two_halls_also_while_one_has_no_marks() -> None:
    waiting = of_ledger(people(THERE, "Ilse Vale", "Noor Brook", "Pim Stone", "Rafa Reed"), "b", marks=(), runs=())
    found = joined(("a", of_ledger(NORTH, "a")), ("b", waiting))
    assert {name for _, name, _ in places(found)} == {"Chalk Lines", "Iron Larks", "Two Left", "Slow Burn"}
    assert found.findings == ()


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_files_of_one_hall_that_say_the_same_are_one_also_where_neither_proves_anything(order: Sequence[int]) -> None:
    early, late = (of_ledger(NORTH, "a", made_wall_ms=at) for at in (1, 2))
    files = (("noon", public_of(early)), ("night", public_of(late)), ("whole", early))
    found = joined(*(files[n] for n in order))
    assert places(found) == places(NORTH) and {one.kind for one in found.findings} == {"same-file"}
    other = public_of(of_ledger(NORTH, "a", marks=(replace(NORTH.marks[0], at=NORTH.marks[0].at + 1), *NORTH.marks[1:])))
    assert [one.kind for one in joined(files[0], ("b", other)).findings if one.versions] == ["unsettled"]


def test_what_is_said_of_a_file_that_was_replaced_is_not_said_any_more() -> None:
    """A later file takes the place of one of which it was said that it counts beside another."""
    early, late = of_ledger(NORTH, "a", marks=NORTH.marks[:9], made_wall_ms=1), of_ledger(NORTH, "a", made_wall_ms=3)
    thief = of_ledger(SOUTH, "b", marks=(*SOUTH.marks, replace(NORTH.marks[0], sheet=SOUTH.marks[0].sheet)), made_wall_ms=2)
    found = joined(("early", early), ("thief", thief), ("late", late))
    said = [one.text for one in found.findings if one.kind == "same-marks"]
    assert len(said) == 1 and "early" not in said[0] and "late" in said[0]
    assert "early is an earlier version of late, so it does not count." in [one.text for one in found.findings]


def test_a_mark_copied_from_a_rivals_file_takes_nothing_from_the_rival_and_is_said() -> None:
    stolen = replace(NORTH.marks[0], sheet=SOUTH.marks[0].sheet)
    thief = of_ledger(SOUTH, "b", marks=(*SOUTH.marks, stolen), made_wall_ms=9)
    found = joined(("a", of_ledger(NORTH, "a", made_wall_ms=1)), ("b", thief))
    assert {name for _, name, _ in places(found)} == {"Chalk Lines", "Iron Larks", "Two Left", "Slow Burn"}
    assert [(one.kind, "one of their marks is in both" in one.text) for one in found.findings] == [("same-marks", True)]


def test_a_ledgers_name_is_proven_by_its_secret_alone() -> None:
    with pytest.raises(ValueError, match="not the one that its secret is of"):
        Ledger(id=ledger_id("a" * 64), secret="b" * 64)
    thief = NORTH.model_copy(update={"ledger": Ledger(id=ledger_id("a" * 64)), "made_wall_ms": 9})
    assert joined(("a", of_ledger(NORTH, "a")), ("b", thief)).findings[0].kind == "unsettled"


def test_a_template_that_has_not_begun_takes_nothing_from_the_hall_that_has() -> None:
    template = NORTH.model_copy(update={"marks": (), "runs": (), "made_wall_ms": 99})
    assert places(joined(("North", NORTH), ("Not begun", template))) == places(NORTH)


def test_a_name_that_unicode_spells_in_two_ways_is_one_name() -> None:
    """A letter in one piece or two, a wide letter, a small one: a hall's list may come from anywhere."""
    north = people(HERE, "Jos\u00e9 Ek", "Bo Lind", "Mira Moor", "Tove Hart")
    south = people(elsewhere(HERE), "Jose\u0301 Ek", "\uff22\uff4f Lind", "MIRA MOOR", "Tove\u00a0Hart")
    found = joined(("North", north), ("South", south))
    assert [name for _, name, _ in places(found)] == [name for _, name, _ in places(north)]
    assert {one.kind for one in found.findings} == {"unsettled"}


SAME = people(elsewhere(THERE), "Ilse Vale", "Noor Brook", "mira  moor", "Rafa Reed")  # Slow Burn has somebody of Iron Larks


@pytest.mark.parametrize(
    ("answer", "standing", "kind"),
    [
        ("", ["Chalk Lines", "Two Left", "Iron Larks"], "unsettled"),
        ("North", ["Chalk Lines", "Two Left", "Iron Larks"], "settled"),
        ("South", ["Chalk Lines", "Two Left", "Slow Burn"], "settled"),
        (TWO_PEOPLE, ["Chalk Lines", "Two Left", "Slow Burn", "Iron Larks"], "settled"),
        ("Nowhere", ["Chalk Lines", "Two Left", "Iron Larks"], "unsettled"),
    ],
)
def test_an_athlete_in_two_files_stands_where_a_person_says_and_never_twice(answer: str, standing: list[str], kind: str) -> None:
    key = "person/iron larks/slow burn"
    found = joined(("North", NORTH), ("South", SAME), settled={key: answer})
    assert [entry for _, entry, _ in places(found)] == standing
    assert [(one.kind, one.key, one.halls, one.may_be_two) for one in found.findings] == [(kind, key, ("North", "South"), True)]


@pytest.mark.parametrize(("answer", "score"), [("", "390"), ("South", "188"), ("North", "390")])
def test_an_entry_that_did_an_event_in_two_halls_counts_once(answer: str, score: str) -> None:
    twice = elsewhere(a_file((("Chalk Lines",),), done=((28, 0, 100),)))
    found = joined(("North", NORTH), ("South", people(twice, "Ana Ek", "Bo Lind")), settled={"entry/chalk lines/turns": answer})
    assert [(name, text) for _, name, text in places(found) if name == "Chalk Lines"] == [("Chalk Lines", score)]
    assert len(places(found)) == 2


def test_an_event_that_scores_otherwise_is_left_out_and_told() -> None:
    (event,) = SOUTH.events
    other = SOUTH.model_copy(
        update={"events": (event.model_copy(update={"format": event.format.model_copy(update={"unit": "lb"})}),)}
    )
    found = joined(("North", NORTH), ("South", other))
    assert places(found) == places(NORTH)
    assert [one.kind for one in found.findings] == ["other-format"] and "They differ in: unit." in found.findings[0].text


def naming(file: CompetitionFile, division: str, named: bool = True) -> CompetitionFile:
    """The file with its division called so, and its event for that division alone, or for no named one."""
    divisions = tuple(one.model_copy(update={"name": division}) for one in file.divisions)
    events = tuple(one.model_copy(update={"divisions": (divisions[0].id,) if named else ()}) for one in file.events)
    return file.model_copy(update={"divisions": divisions, "events": events})


def test_an_event_is_for_the_divisions_that_it_is_for_in_each_hall() -> None:
    both = joined(("north", naming(NORTH, "Pairs")), ("south", naming(SOUTH, "Masters")))
    assert [one.name for one in both.file.divisions if one.id in both.file.events[0].divisions] == ["Pairs", "Masters"]
    assert len(places(both)) == 4
    open_to_all = joined(("north", naming(NORTH, "Pairs")), ("south", naming(SOUTH, "Masters", named=False)))
    assert open_to_all.file.events[0].divisions == () and len(places(open_to_all)) == 4


def test_rulings_and_sign_offs_of_a_hall_hold_for_that_hall_alone() -> None:
    signed = NORTH.model_copy(
        update={
            "rulings": (
                a_ruling("r1", 10, "penalty", {"amount": "100"}, assignment="asg_0"),
                a_ruling(
                    "r2",
                    20,
                    "sign_off",
                    {"state": "signed", "marks": marks_held(NORTH.marks), "runs": {"heat_1": 1}},
                    event="evt",
                ),
                a_ruling("r3", 30, "penalty", {"amount": "1"}, assignment="asg_0"),
            ),
            "marks": (*NORTH.marks, a_late_mark(NORTH)),
        }
    )
    assert places(signed)[0] == (1, "Chalk Lines", "290")
    both = joined(("North", signed), ("South", SOUTH))
    assert {(name, text) for _, name, text in places(both)} == {
        ("Chalk Lines", "290"),
        ("Two Left", "388"),
        ("Slow Burn", "300"),
        ("Iron Larks", "280"),
    }


@given(st.permutations([("North", NORTH), ("South", SOUTH), ("North again", NORTH)]))
def test_the_order_of_the_files_does_not_change_the_standing(files: Sequence[tuple[str, CompetitionFile]]) -> None:
    assert places(joined(*files)) == places(joined(("North", NORTH), ("South", SOUTH)))


@pytest.mark.parametrize("left_out", [True, False])
@pytest.mark.parametrize("kind", ["rep", "lift"])
def test_a_signed_event_stands_joined_as_it_was_signed_also_whoever_has_nothing(kind: str, left_out: bool) -> None:
    """Without a sign-off nobody would have been judged yet who took all back, and a total could still be made."""
    lift = a_format(a_lift_task(), take("best"), unit="kg", every_part=True)
    sheet, task = Sheet("asg_1"), a_format(CountTask(movement="swing")) if kind == "rep" else lift
    tap = sheet.rep(1_000) if kind == "rep" else sheet.lift(1_000, "50 kg", good=False)
    file = a_competition(task, {"Open": ["Ana", "Bo"]}, [tap, *([sheet.strike(2_000, tap)] if kind == "rep" or left_out else [])])
    why = [{"key": "entry:ent_1", "what": "Ana was not judged", "why": "Went home"}] if left_out else []
    body = {"state": "signed", "marks": marks_held(file.marks), "runs": {"heat": 1}, "signer": "desk", "left_out": why}
    signed = file.model_copy(update={"rulings": (a_ruling("signed", 10, "sign_off", body, event="evt"),)})
    assert places(joined(("North", signed))) == places(signed)
    assert (places(signed)[0][2] == "") is left_out


def test_work_that_was_moved_from_the_lane_of_an_entry_that_is_left_out_stays_where_it_was_moved_to() -> None:
    file = a_competition(a_format(CountTask(movement="swing")), {"Open": ["Ana", "Bo"]}, reps(5, 1))
    moved = a_ruling("moved", 9, "move", {"sheet": "asg_1/1/lane"}, assignment="asg_2")
    why = [{"key": "entry:ent_1", "what": "Ana was not judged", "why": "Went home"}]
    body = {"state": "signed", "marks": marks_held(file.marks), "runs": {"heat": 1}, "signer": "desk", "left_out": why}
    signed = file.model_copy(update={"rulings": (moved, a_ruling("signed", 10, "sign_off", body, event="evt"))})
    assert places(joined(("North", signed))) == places(signed) == [(1, "Bo", "5"), (None, "Ana", "")]


def a_ruling(key: str, at: int, kind: Any, body: dict[str, Any], **about: str) -> Ruling:
    return Ruling(id=key, kind=kind, body=body, by="Cy Marlow", why="Seen on the floor.", made_wall_ms=at, **about)  # type: ignore[arg-type]


def a_late_mark(file: CompetitionFile) -> Any:
    first = next(mark for mark in file.marks if mark.kind == "rep")
    plain = {name: getattr(first, name) for name in ("sheet", "device", "epoch", "kind", "err", "win", "body")}
    return parse_mark({**plain, "id": "e" * 32, "seq": 5000, "at": first.at + 1})


def test_what_an_overall_rule_says_of_an_event_is_said_of_the_joined_one() -> None:
    north, south = NORTH.events[0], SOUTH.events[0]
    score = north.format.scores[0]
    formula = PointFormula(name="Ours", a="2", b="0", c="1", unit=score.unit, better="more", source="Invented")  # type: ignore[arg-type]
    said = {"named": north.id, "weights": {north.id: Fraction(3)}, "only": {north.id: score.id}, "formulas": {north.id: formula}}
    of = joined(("North", NORTH.model_copy(update={"overall": OverallRule(by="formula", **said)})), ("South", SOUTH))
    (event,) = of.file.events
    assert event.id not in (north.id, south.id)
    rule = of.file.overall
    assert rule is not None and rule.named == event.id
    assert (rule.weights, rule.only, rule.formulas) == ({event.id: 3}, {event.id: score.id}, {event.id: formula})
    (table,) = overall_tables(of.file, results(of.file))
    best = results(of.file)[0].tables[0].rows[0].score
    assert best is not None and table.rows[0].total == 3 * 2 * best.value
