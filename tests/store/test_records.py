"""Records: what is put comes back as it was, and every refusal says why."""

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from sqlmodel import Session

from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Assignment, Athlete, Club, Competition, Division, Entry, Event, Heat, Roster
from app.rules.values.units import Load
from app.rules.workout.formats import Variant
from app.rules.workout.openers import Opener
from app.rules.workout.plate_sets import offered, set_to_begin
from app.rules.workout.plates import LanePlates
from app.store.database import Database
from app.store.entries import delete_entry, put_entry
from app.store.heats import delete_heat, put_heat, with_marks
from app.store.kinds import ATHLETES, CLUBS, DIVISIONS, EVENTS, LANE_PLATES, OPENERS, PLATE_SETS, RULINGS, RUNS
from app.store.ledger import Ledger
from app.store.refusals import AlreadyThere, InUse, NotThere
from app.store.roster import put_competition, put_everything, put_overall, read_competition, read_roster
from tests.store.making import a_format, a_mark, a_roster, a_ruling, a_run, append

pytestmark = pytest.mark.slow


@pytest.fixture
def filled(database: Database) -> Database:
    """A store with a competition, its heat not yet started."""
    database.write(lambda s: put_everything(s, a_roster()))
    return database


def heat_of(database: Database) -> Heat:
    """The one heat."""
    roster = database.read(read_roster)
    assert roster is not None
    return roster.heats[0]


def test_an_empty_store_has_no_competition(database: Database) -> None:
    assert database.read(lambda s: (read_competition(s), read_roster(s), RUNS.all(s))) == (None, None, ())


def test_a_roster_comes_back_as_it_was_put(filled: Database) -> None:
    filled.write(lambda s: (RUNS.put(s, a_run()), RULINGS.put(s, a_ruling())))
    assert filled.read(read_roster) == a_roster()
    assert filled.read(RUNS.all) == (a_run(),)
    assert filled.read(RULINGS.all) == (a_ruling(),)


names = st.text(st.characters(blacklist_categories=("Cc", "Cs", "Cf", "Zs", "Zl", "Zp")), min_size=1, max_size=20)
fractions = st.fractions(0, 20, max_denominator=99)
ids = st.lists(st.from_regex(r"\A[A-Za-z0-9_-]{1,12}\Z"), min_size=1, max_size=5, unique=True)


@st.composite
def rosters(draw: st.DrawFn) -> Roster:
    """Rosters whose references hold, in the order in which a store gives them back."""
    divisions = tuple(Division(id=key, name=draw(names)) for key in draw(ids))
    clubs = tuple(sorted((Club(id=key, name=draw(names)) for key in draw(ids)), key=lambda c: (c.name, c.id)))
    some_club = st.none() | st.sampled_from([club.id for club in clubs])
    weights = st.none() | st.builds(Load, st.sampled_from(["63.4", "140"]), st.sampled_from(["kg", "lb"]))
    people = (Athlete(id=key, name=draw(names), club=draw(some_club), bodyweight=draw(weights)) for key in draw(ids))
    athletes = tuple(sorted(people, key=lambda a: (a.name, a.id)))
    some_members = st.lists(st.sampled_from([athlete.id for athlete in athletes]), max_size=4)
    entries = tuple(
        Entry(id=key, name=draw(names), division=draw(st.sampled_from(divisions)).id, members=tuple(draw(some_members)))
        for key in draw(ids)
    )
    lighter = a_format().model_copy(update={"variants": (Variant(id="light", name="Light", ranked="apart"),)})
    some_division = st.sampled_from([division.id for division in divisions])
    varied = st.dictionaries(some_division, st.just("light"))
    events = tuple(Event(id=key, name=draw(names), format=lighter, variants=draw(varied)) for key in draw(ids))
    chosen = st.sampled_from(["", "light", "as-written"])
    lanes = tuple(
        Assignment(id=e.id, lane=n, entry=e.id, judge=draw(names), variant=draw(chosen)) for n, e in enumerate(entries, start=1)
    )
    named = st.none() | st.sampled_from([event.id for event in events])
    rule = st.none() | st.builds(OverallRule, by=st.sampled_from(["places", "linear"]), less=fractions, named=named)
    number = st.integers(1, 99)
    heats = tuple(Heat(id=e.id, event=e.id, number=draw(number), lanes=lanes if e is events[0] else ()) for e in events)
    keys = st.sampled_from([one.key for one in offered()])
    sets = tuple(one for key in draw(ids) if (one := set_to_begin(draw(keys), key, draw(names))))
    of_lanes = draw(st.dictionaries(st.integers(1, 60), st.sampled_from([one.id for one in sets])))
    lifters = st.sampled_from([(e.id, n) for e in entries for n in range(1, len(e.members) + 1)] or [("", 0)])
    loads = st.builds(Load, st.sampled_from(["100", "102.5"]), st.sampled_from(["kg", "lb"]))
    openers = {
        opener.key: opener
        for (entry, member), load, then in draw(st.lists(st.tuples(lifters, loads, st.lists(loads, max_size=2)), max_size=4))
        if entry
        for opener in [Opener(event=events[0].id, task="lift", entry=entry, member=member, load=load, then=tuple(then))]
    }
    whole = Competition(id="cmp_1", name=draw(names), unit=draw(st.sampled_from(["kg", "lb"])))
    return Roster(
        competition=whole,
        divisions=divisions,
        clubs=clubs,
        athletes=athletes,
        entries=entries,
        events=events,
        heats=heats,
        overall=draw(rule),
        plate_sets=sets,
        lane_plates=tuple(LanePlates(lane=lane, plates=of_lanes[lane]) for lane in sorted(of_lanes)),
        openers=tuple(openers[key] for key in sorted(openers)),
    )


def test_openers_follow_their_lifters_and_outlive_an_entry_that_is_put_back(filled: Database) -> None:
    pair = Entry(id="ent_1", division="div_a", name="Entry 1", members=("ath_1", "ath_2"))
    opener = Opener(event="evt_1", task="lift", entry="ent_1", member=2, load=Load("90", "kg"))
    filled.write(lambda s: (put_entry(s, pair), OPENERS.put(s, opener)))

    def members() -> list[int]:
        roster = filled.read(read_roster)
        assert roster is not None
        return [one.member for one in roster.openers]

    filled.write(lambda s: put_entry(s, pair.model_copy(update={"members": ("ath_2", "ath_1")})))
    assert members() == [1]
    filled.write(lambda s: put_entry(s, pair.model_copy(update={"members": ("ath_1",)})))
    assert members() == [], "whose lifter is gone"
    filled.write(lambda s: (put_entry(s, pair), OPENERS.put(s, opener), delete_heat(s, "het_1")))
    filled.write(lambda s: delete_entry(s, "ent_1"))
    assert members() == []
    filled.write(lambda s: put_entry(s, pair))
    assert members() == [2]
    with pytest.raises(NotThere, match="has no member 3 any more"):
        filled.write(lambda s: OPENERS.put(s, opener.model_copy(update={"member": 3})))


class Undo(Exception):
    """Raised to take an example back."""


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rosters())
def test_any_roster_comes_back_as_it_was_put(database: Database, roster: Roster) -> None:
    def there_and_back(session: Session) -> None:
        put_everything(session, roster)
        session.expire_all()
        assert read_roster(session) == roster
        raise Undo

    with pytest.raises(Undo):
        database.write(there_and_back)


def test_names_in_any_script_and_dangerous_ones_come_back(filled: Database) -> None:
    name = "=1+1 'Ana \"Bo\", José'); DROP TABLE mark;-- Ωμέγα 力士 🏋"
    filled.write(lambda s: DIVISIONS.put(s, Division(id="div_a", name=name)))
    roster = filled.read(read_roster)
    assert roster is not None and roster.divisions[1].name == name


def test_a_change_keeps_the_place_and_a_new_one_comes_last(filled: Database) -> None:
    filled.write(lambda s: DIVISIONS.put(s, Division(id="div_b", name="Over 40")))
    filled.write(lambda s: DIVISIONS.put(s, Division(id="div_c", name="Mixed")))
    assert division_names(filled) == ["Over 40", "Juniors", "Mixed"]
    filled.write(lambda s: DIVISIONS.put_in_order(s, ["div_c", "div_b"]))
    assert division_names(filled) == ["Mixed", "Over 40", "Juniors"]


def division_names(database: Database) -> list[str]:
    """The divisions in their order."""
    roster = database.read(read_roster)
    assert roster is not None
    return [division.name for division in roster.divisions]


REFUSED: list[tuple[Callable[[Session], Any], type[ValueError], str]] = [
    (lambda s: DIVISIONS.delete(s, "div_a"), InUse, "Juniors still has 2 entries. Move or delete them first."),
    (lambda s: CLUBS.delete(s, "clb_1"), InUse, "Iron Mill still has 1 athlete. Give them another club first."),
    (lambda s: ATHLETES.delete(s, "ath_1"), InUse, "Athlete 1 is a member of Entry 1. Remove them from it first."),
    (lambda s: delete_entry(s, "ent_2"), InUse, "Entry 2 is on the start list of heat 1. Take it off"),
    (lambda s: EVENTS.delete(s, "evt_1"), InUse, "Squats still has 1 heat. Delete them first."),
    (lambda s: DIVISIONS.delete(s, "div_x"), NotThere, "There is no division with the id div_x."),
    (lambda s: put_entry(s, Entry(id="e", division="div_x", name="E")), NotThere, "There is no division"),
    (lambda s: put_entry(s, Entry(id="e", division="div_a", name="E", members=("x",))), NotThere, "There is no athlete"),
    (lambda s: ATHLETES.put(s, Athlete(id="a", name="A", club="x")), NotThere, "There is no club"),
    (lambda s: put_heat(s, Heat(id="h", event="x", number=1)), NotThere, "There is no event"),
    (lambda s: put_heat(s, Heat(id="h", event="evt_1", number=1)), AlreadyThere, "Squats already has a heat 1."),
    (lambda s: RUNS.put(s, a_run(heat="x")), NotThere, "There is no heat"),
    (lambda s: RULINGS.put(s, a_ruling(assignment="x")), NotThere, "There is no lane assignment"),
    (lambda s: put_competition(s, Competition(id="c", name="Two")), AlreadyThere, "holds the competition Chalk Cup"),
    (lambda s: put_everything(s, a_roster()), AlreadyThere, "already holds Chalk Cup. Import into an empty folder."),
]


@pytest.mark.parametrize(("change", "kind", "sentence"), REFUSED, ids=[case[2] for case in REFUSED])
def test_a_change_that_cannot_be_made_says_why_and_changes_nothing(
    filled: Database, change: Callable[[Session], Any], kind: type[ValueError], sentence: str
) -> None:
    with pytest.raises(kind) as refused:
        filled.write(change)
    assert sentence in str(refused.value)
    assert filled.read(read_roster) == a_roster()


def test_what_nothing_uses_can_be_deleted_from_the_leaves_up(filled: Database) -> None:
    def delete_all(session: Session) -> None:
        delete_heat(session, "het_1")
        EVENTS.delete(session, "evt_1")
        for n in (1, 2):
            delete_entry(session, f"ent_{n}")
            ATHLETES.delete(session, f"ath_{n}")
        CLUBS.delete(session, "clb_1")
        DIVISIONS.delete(session, "div_a")
        DIVISIONS.delete(session, "div_b")

    filled.write(delete_all)
    assert filled.read(read_roster) == Roster(competition=a_roster().competition)


def test_two_lanes_can_change_places_and_two_entries_lanes(filled: Database) -> None:
    heat = heat_of(filled)
    one, two = heat.lanes
    places = heat.model_copy(update={"lanes": (two.model_copy(update={"lane": 1}), one.model_copy(update={"lane": 2}))})
    filled.write(lambda s: put_heat(s, places))
    assert heat_of(filled) == places
    entries = heat.model_copy(
        update={"lanes": (one.model_copy(update={"entry": "ent_2"}), two.model_copy(update={"entry": "ent_1"}))}
    )
    filled.write(lambda s: put_heat(s, entries))
    assert heat_of(filled) == entries


def test_a_lane_left_out_is_removed(filled: Database) -> None:
    only_two = heat_of(filled).model_copy(update={"lanes": heat_of(filled).lanes[1:]})
    filled.write(lambda s: put_heat(s, only_two))
    assert heat_of(filled) == only_two


def test_a_lane_with_marks_keeps_its_entry_but_may_change_lane_and_judge(filled: Database) -> None:
    append(Ledger(filled), a_mark())  # on asg_1, which stands on lane 1
    heat = heat_of(filled)
    one, two = heat.lanes
    without = heat.model_copy(update={"lanes": (two,)})
    with pytest.raises(InUse, match="Lane 1 of heat 1 already has marks, so it can't be removed"):
        filled.write(lambda s: put_heat(s, without))
    other_entry = heat.model_copy(update={"lanes": (one.model_copy(update={"entry": "ent_2"}),)})
    with pytest.raises(InUse, match="Lane 1 of heat 1 already has marks, so it can't be given to another"):
        filled.write(lambda s: put_heat(s, other_entry))
    with pytest.raises(InUse, match="Lane 1 of heat 1 already has marks"):
        filled.write(lambda s: delete_heat(s, heat.id))
    assert heat_of(filled) == heat
    moved = heat.model_copy(update={"lanes": (two, one.model_copy(update={"lane": 5, "judge": "Noor"}))})
    filled.write(lambda s: put_heat(s, moved))
    assert heat_of(filled) == moved


def test_an_assignment_whose_id_begins_like_another_has_no_marks_of_it(filled: Database) -> None:
    append(Ledger(filled), a_mark(sheet="asg_10/1/lane"), a_mark(2, sheet="asg_2/3/video"))
    assert filled.read(lambda s: with_marks(s, ["asg_1", "asg_10", "asg_2"])) == {"asg_10", "asg_2"}
    assert filled.read(lambda s: with_marks(s, [])) == set()


def test_a_heat_that_was_started_stays(filled: Database) -> None:
    filled.write(lambda s: RUNS.put(s, a_run()))
    with pytest.raises(InUse, match="Heat 1 has been started: its record stays"):
        filled.write(lambda s: delete_heat(s, "het_1"))
    filled.write(lambda s: EVENTS.put(s, Event(id="evt_2", name="Other", format=a_format())))
    with pytest.raises(InUse, match="it stays in its event"):
        filled.write(lambda s: put_heat(s, heat_of(filled).model_copy(update={"event": "evt_2"})))


def test_what_a_ruling_speaks_of_stays(filled: Database) -> None:
    filled.write(lambda s: RULINGS.put(s, a_ruling()))
    with pytest.raises(InUse, match="There is a ruling on lane 1 of heat 1"):
        filled.write(lambda s: delete_heat(s, "het_1"))


def test_an_entry_and_an_event_without_a_heat_stay_under_a_ruling(filled: Database) -> None:
    filled.write(lambda s: (delete_heat(s, "het_1"), RULINGS.put(s, a_ruling(assignment=None))))
    with pytest.raises(InUse, match="There is a ruling on Entry 1: the record stays"):
        filled.write(lambda s: delete_entry(s, "ent_1"))
    with pytest.raises(InUse, match="There is a ruling on Squats: the record stays"):
        filled.write(lambda s: EVENTS.delete(s, "evt_1"))


def test_a_ruling_is_a_record(filled: Database) -> None:
    filled.write(lambda s: (RULINGS.put(s, a_ruling()), RULINGS.put(s, a_ruling())))
    with pytest.raises(AlreadyThere, match="Make another one"):
        filled.write(lambda s: RULINGS.put(s, a_ruling(why="Changed my mind")))
    assert filled.read(RULINGS.all) == (a_ruling(),)


def test_a_run_changes_its_state(filled: Database) -> None:
    stopped = a_run(state="stopped", why="False start")
    filled.write(lambda s: (RUNS.put(s, a_run()), RUNS.put(s, stopped), RUNS.put(s, a_run(number=2))))
    assert filled.read(RUNS.all) == (stopped, a_run(number=2))


def test_times_far_beyond_32_bits_come_back(filled: Database) -> None:
    run = a_run(go_server_ms=2**52, go_wall_ms=2**52 + 1)
    filled.write(lambda s: RUNS.put(s, run))
    assert filled.read(RUNS.all) == (run,)


def test_a_store_that_was_tampered_with_is_noticed_when_read(filled: Database) -> None:
    filled.write(lambda s: s.connection().exec_driver_sql("UPDATE competition SET unit = 'stone'"))
    with pytest.raises(ValidationError, match="unit"):
        filled.read(read_roster)


def test_a_variant_is_one_that_the_event_has_and_its_division_stays(filled: Database) -> None:
    format = a_format().model_copy(update={"variants": (Variant(id="light", name="Light"),)})
    event = Event(id="evt_1", name="Squats", format=format, variants={"div_b": "light"})
    filled.write(lambda s: EVENTS.put(s, event))
    with pytest.raises(InUse, match="Seniors does a variant of Squats"):
        filled.write(lambda s: DIVISIONS.delete(s, "div_b"))
    with pytest.raises(NotThere, match="Seniors would do a variant of Squats that the event does not have"):
        filled.write(lambda s: EVENTS.put(s, event.model_copy(update={"format": a_format()})))
    with pytest.raises(NotThere, match="no division with the id div_9"):
        filled.write(lambda s: EVENTS.put(s, event.model_copy(update={"variants": {"div_9": "light"}})))
    roster = filled.read(read_roster)
    assert roster is not None and roster.events == (event,)


def test_the_overall_rule_is_kept_when_the_competition_is_renamed_and_can_be_dropped(filled: Database) -> None:
    rule = OverallRule(by="table", points=(Fraction(10), Fraction(1, 3)))
    filled.write(lambda s: put_overall(s, rule))
    filled.write(lambda s: put_competition(s, Competition(id="cmp_1", name="Renamed")))
    roster = filled.read(read_roster)
    assert roster is not None and (roster.competition.name, roster.overall) == ("Renamed", rule)
    filled.write(lambda s: put_overall(s, None))
    assert filled.read(read_roster).overall is None


def test_an_event_that_breaks_ties_overall_stays(filled: Database) -> None:
    filled.write(lambda s: (delete_heat(s, "het_1"), put_overall(s, OverallRule(named="evt_1"))))
    with pytest.raises(InUse, match="The overall standing breaks ties by Squats"):
        filled.write(lambda s: EVENTS.delete(s, "evt_1"))
    with pytest.raises(NotThere, match="no event with the id evt_9"):
        filled.write(lambda s: put_overall(s, OverallRule(named="evt_9")))


def test_an_overall_rule_needs_a_competition(database: Database) -> None:
    with pytest.raises(NotThere, match="Name it first"):
        database.write(lambda s: put_overall(s, OverallRule()))


def test_plates_that_a_lane_has_stay_until_it_has_others(filled: Database) -> None:
    plates = set_to_begin("gym-lb", "pls_1", "Yard plates")
    assert plates is not None
    filled.write(lambda s: (PLATE_SETS.put(s, plates), LANE_PLATES.put_all(s, [LanePlates(lane=2, plates="pls_1")])))
    with pytest.raises(InUse, match="Lane 2 still has Yard plates"):
        filled.write(lambda s: PLATE_SETS.delete(s, "pls_1"))
    with pytest.raises(NotThere, match="plate set"):
        filled.write(lambda s: LANE_PLATES.put_all(s, [LanePlates(lane=2, plates="pls_9")]))
    filled.write(lambda s: (LANE_PLATES.put_all(s, ()), PLATE_SETS.delete(s, "pls_1")))
    roster = filled.read(read_roster)
    assert roster is not None and (roster.plate_sets, roster.lane_plates) == ((), ())
