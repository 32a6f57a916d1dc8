"""The event as far as it is made: windows on the heat clock, tasks, and the words that each window came from."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from app.rules.reading.drafts import Draft, Stretch
from app.rules.reading.talk import Span
from app.rules.reading.things import Things
from app.rules.values.clock_times import minutes_text
from app.rules.workout.formats import MOST_SECONDS, MOST_TASKS, MOST_WINDOWS, Window
from app.rules.workout.tasks import Task, Who


@dataclass(frozen=True, slots=True)
class Done:
    """What a stretch became: its kind, its tasks, its windows by number."""

    kind: str
    tasks: tuple[str, ...]
    windows: tuple[int, ...]
    stretch: Stretch


@dataclass(slots=True)
class Clock:
    """The event as far as it is made: tasks, windows and where each window came from."""

    things: Things
    tasks: dict[str, Task] = field(default_factory=dict)
    windows: list[Window] = field(default_factory=list)
    sources: list[tuple[Span, ...]] = field(default_factory=list)
    done: list[Done] = field(default_factory=list)
    at: int = 0
    out: bool = False  # whether a miss puts out of the event
    capped: bool = False  # whether the cap of the text goes for anything

    @property
    def draft(self) -> Draft:
        """What was said."""
        return self.things.draft

    def length(self, stretch: Stretch) -> int | None:
        """Seconds of a stretch: as it says, else the cap of the text, whose words it then comes from; None if none is said."""
        if stretch.seconds is None and self.draft.cap_span:
            stretch.spans.append(self.draft.cap_span)
            self.capped = True
        return stretch.seconds or self.draft.cap

    def task(self, name: str, task: Task) -> str:
        """Puts a task among the event's; one that is there already is used again."""
        for key, known in self.tasks.items():
            if known == task:
                return key
        key, number = name, 2
        while key in self.tasks:
            key, number = f"{name}_{number}", number + 1
        self.tasks[key] = task
        return key

    def window(self, stretch: Stretch, seconds: int, task: str | None, spans: tuple[Span, ...], who: Who = "all") -> None:
        """A window from where the clock stands."""
        if len(self.windows) >= MOST_WINDOWS or self.at + seconds > MOST_SECONDS or len(self.tasks) > MOST_TASKS:
            self.things.talk.red(
                stretch.span or Span(0, 0), f"This makes more than {MOST_WINDOWS} windows or {MOST_SECONDS // 3600} hours."
            )
            return
        if task:
            spans += tuple(span for span in (self.draft.members_span, self.draft.style_span) if span)
        holding = (stretch.holder or ()) if task and stretch.held and isinstance(who, tuple) else ()  # else by turns
        self.windows.append(Window(start=self.at, seconds=seconds, task=task, who=who if task else "all", holding=holding))
        self.sources.append(spans)
        self.at += seconds

    def rest(self, stretch: Stretch, seconds: int, said: Span | None = None) -> None:
        """A rest, if there is one, and the words that it came from; else those of the stretch."""
        if seconds:
            self.window(stretch, seconds, None, (said,) if said else tuple(stretch.spans))

    def compare_end(self, stretch: Stretch) -> None:
        """What the text says once more of when a stretch ends: with its last window, or with a rest behind that."""
        if stretch.ends and stretch.ends[0] not in (self.at, self.at + stretch.off):
            self.things.talk.red(stretch.ends[1], f"It ends at {minutes_text(self.at)} on the clock.")

    def compare_totals(self, stretches: Sequence[Stretch]) -> None:
        """How long all of it lasts, as the text says; where it says it once more, a rest behind the last window may be in it."""
        told, span = self.draft.total, self.draft.total_span
        if told is not None and told != self.at:
            self.things.talk.red(span or Span(0, 0), f"All windows together last {minutes_text(self.at)}.")
        behind = stretches[-1].off + stretches[-1].after if stretches else 0
        for seconds, said in self.draft.totals:
            if seconds not in (self.at, self.at + behind):
                self.things.talk.red(said, f"All windows together last {minutes_text(self.at)}.")


def shared_by(clock: Clock, stretch: Stretch) -> Who:
    """Who works: as the text says; of a pair or a team without a word on it, it is asked."""
    members = clock.draft.members or 1
    if stretch.who is not None and (clock.draft.style_here != "SYNC" or len(stretch.who) < members):
        return stretch.who
    if members == 1:
        return "all"
    style = clock.draft.sharing
    if not style and all(work.sync for work in stretch.works):
        return "all"
    if not style:
        answers = [
            ("SPLIT", "They split it as they like"),
            ("SYNC", "All together, in step"),
            ("TURNS", "Each does all of it, in turn"),
        ]
        answers = answers[1:] if stretch.each_does else answers
        asked = f"How {members} share the work is not said."
        style = clock.draft.style = clock.things.talk.ask("style", clock.draft.members_span, asked, answers)
    if stretch.held is not None:  # `one holds while the other works`, and they change: nothing is one member's alone
        for work in stretch.works:
            work.who = None
    return "all" if style in ("SYNC", "ALLTOGETHER") else "any"
