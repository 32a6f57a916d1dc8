"""What a lifter means to lift in a heat that is run again: first what stood in the run before, then what of the plan fits it."""

import pytest
from playwright.sync_api import Page

from tests.builders.cast import Sheet, a_format, a_lift_task, plain_load, take

PLANNED = """async ([format, marks, states, loads]) => {
  const { plannedOn } = await import('/static/js/screens/floor/lane/lifting/planned.js')
  const outbox = { marks: () => marks, stateOf: (id) => states[id] ?? 'safe' }
  const assignment = { id: 'asg_1', openers: [{ task: 'work', member: 1, loads }] }
  const heat = { event: 'evt', run: { number: 1, state: 'stopped' }, assignment }
  const lane = { tablet: { outbox }, packet: { events: { evt: { format } } } }
  return plannedOn(lane, heat, [], { win: 0, member: 1, alone: true }).map(({ amount }) => amount)
}"""


@pytest.mark.parametrize(("down", "planned"), [(False, ["118", "120", "125"]), (True, ["118", "115", "120", "125"])])
def test_of_a_plan_follows_what_is_above_what_was_begun_with_unless_loads_may_go_down(
    scripts: Page, down: bool, planned: list[str]
) -> None:
    format = a_format(a_lift_task(may_go_down=down, lower_change="never"), take("best"), unit="kg")
    sheet = Sheet()
    stands, lower, elsewhere = (
        sheet.mark("declare", 1_000 * n, 0, load=plain_load(text), by="lifter")
        for n, text in enumerate(("118 kg", "112 kg", "130 kg"), 1)
    )
    states = {elsewhere["id"]: "refused"}  # the desk does not hold it; the one before the event's rule did not let stand
    loads = [plain_load(f"{n} kg") for n in (110, 115, 120, 125)]
    told = scripts.evaluate(PLANNED, [format.model_dump(mode="json"), [stands, lower, elsewhere], states, loads])
    assert told == planned
