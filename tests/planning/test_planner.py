"""The search as the server sees it: stopped with the best so far, and heard of when it goes wrong."""

import asyncio

import pytest

from app import own_process
from app.planning.planner import Planner
from app.planning.worker import Found, Job
from app.rules.day.plan_check import broken_rules
from tests.planning.days import a_day


async def searched(job: Job, stop: bool = False) -> tuple[Planner, list[Found]]:
    """A planner after one search, and what it handed over."""
    planner, found = Planner(), list[Found]()

    async def done(plan: Found) -> None:
        found.append(plan)

    planner.start(job, done)
    while stop and planner.busy and "end" not in planner.told:  # noqa: ASYNC110
        await asyncio.sleep(0.02)
    planner.enough()
    await planner.settled()
    return planner, found


def test_a_long_search_is_ended_with_the_best_so_far() -> None:
    problem = a_day(entries=32, minutes=(10, 9, 8), lanes=4, judges=8, clubs=40, take_turns=True, rest=45, end="23:00")
    planner, (found,) = asyncio.run(searched(Job(seconds=100, given=problem), stop=True))
    assert broken_rules(problem, found.heats) == [] and not planner.busy and planner.why == ""


def test_a_search_that_can_not_be_run_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(own_process.sys, "executable", "/nowhere/python")
    planner, found = asyncio.run(searched(Job(seconds=1, given=a_day())))
    assert found == [] and planner.why.startswith("The search could not be run")
