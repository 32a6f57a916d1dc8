"""Laws of the plain records' declarations: nothing of a value is lost on its way into its table."""

from dataclasses import fields, is_dataclass
from typing import Any

import pytest
from pydantic import BaseModel
from sqlmodel import Session

from app.rules.records.roster import Division, Roster
from app.store import entering, kinds, practice
from app.store.database import Database
from app.store.gateway import Plain
from app.store.kinds import DIVISIONS
from app.store.refusals import NotThere
from app.store.roster import put_everything
from tests.store.making import a_roster

EVERY = [kind for room in (kinds, entering, practice) for kind in vars(room).values() if isinstance(kind, Plain)]


def fields_of(value: Any) -> set[str]:
    if is_dataclass(value):
        return {one.name for one in fields(value)}
    assert issubclass(value, BaseModel)
    return set(value.model_fields)


@pytest.mark.parametrize("kind", EVERY, ids=lambda kind: kind.what)
def test_each_field_of_a_value_has_a_column_and_each_column_a_field(kind: Plain[Any]) -> None:
    columns = {kind.columns.get(name, name) for name in fields_of(kind.value)}
    table = set(kind.table.model_fields) - {"position"}
    assert table - columns == ({kind.body} if kind.body else set())
    assert kind.body or columns <= table


@pytest.mark.parametrize("kind", EVERY, ids=lambda kind: kind.what)
def test_what_a_declaration_names_is_there(kind: Plain[Any]) -> None:
    assert set(kind.listed_by) <= set(kind.table.model_fields)
    assert {*kind.columns, *kind.names} <= fields_of(kind.value)
    assert not kind.many or kind.many in Roster.model_fields


def test_every_kind_of_plain_record_was_looked_at() -> None:
    assert {"division", "club", "athlete", "judge", "plate set", "event", "opener", "ruling", "practice"} <= {
        kind.what for kind in EVERY
    }


def test_a_record_that_is_put_again_keeps_its_place_and_a_new_one_comes_last(database: Database) -> None:
    database.write(lambda session: put_everything(session, a_roster()))

    def work(session: Session) -> list[str]:
        DIVISIONS.put(session, Division(id="new", name="New"))
        first = DIVISIONS.all(session)[0]
        DIVISIONS.put(session, first.model_copy(update={"name": "Renamed"}))
        return [one.name for one in DIVISIONS.all(session)]

    before = [one.name for one in a_roster().divisions]
    assert database.write(work) == ["Renamed", *before[1:], "New"]


def test_forgetting_what_is_not_there_is_no_matter_but_deleting_it_is(database: Database) -> None:
    database.write(lambda session: DIVISIONS.forget(session, "nowhere"))
    with pytest.raises(NotThere, match="There is no division with the id nowhere"):
        database.write(lambda session: DIVISIONS.delete(session, "nowhere"))
