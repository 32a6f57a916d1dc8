"""The events in the order run."""

from dataclasses import replace

from app.hall.entered_words import asked_of, for_words
from app.hall.hall import Hall
from app.hall.lists import Line, lines_in_order
from app.hall.markings import unsaid_wall
from app.hall.organising import needed_roster
from app.rules.values.clock_times import clock_text
from app.rules.values.words import say


def event_lines(hall: Hall) -> tuple[Line, ...]:
    """The events in the order run, each with its length, windows and heats."""
    roster = needed_roster(hall)
    items = []
    for event in roster.events:
        heats = say("list.heats", n=sum(1 for heat in roster.heats if heat.event == event.id))
        windows = say("list.work_windows", n=sum(1 for window in event.format.windows if window.task))
        about = (f"{clock_text(event.format.length_ms)} min", windows, heats)
        items.append((event.id, event.name, ". ".join(filter(None, (", ".join(about), for_words(roster, event))))))
    lifted = {event.id for event in roster.events if any(task.kind == "lift" for task in event.format.tasks.values())}
    lacking = {event.id for event in roster.events if unsaid_wall(roster, event)}
    lines = lines_in_order(items)
    asked = {event.id for event in roster.events if asked_of(roster, event)}
    return tuple(replace(line, lifts=line.id in lifted, lacks_sizes=line.id in lacking, unfit=line.id in asked) for line in lines)
