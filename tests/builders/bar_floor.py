"""The people at a shared bar: what marshal and centre referee mark, each from a device of their own."""

from typing import Any

from app.hall.heats import heat_ms, newest_runs
from tests.builders.halls import House, a_mark
from tests.builders.ledger_doors import by_request


class Floor:
    """What the marshal and the centre referee mark, at the moment that the clock has come to."""

    def __init__(self, house: House) -> None:
        self.house, self.count = house, 0
        self.by = {seat: house.tablet(1, seat) for seat in ("marshal", "centre")}

    def mark(self, seat: str, kind: str, lane: int, **body: Any) -> str:
        self.house.clocks.pass_ms(10_000)
        self.count += 1
        device = self.by[seat].get("/lane/packet").json()["device"]["id"]
        hall = self.house.app.state.hall
        heat = next(one for one in hall.projection.roster.heats if any(its.id == f"asg_{lane}" for its in one.lanes))
        run = newest_runs(hall.projection.runs)[heat.id]
        at = heat_ms(hall, run)
        mark = a_mark(self.count, f"asg_{lane}/{run.number}/lane", device=device, kind=kind, at=at, body=body, win=0)
        assert by_request(self.by[seat], mark).json()["refused"] == []
        return str(mark["id"])
