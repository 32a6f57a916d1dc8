"""The way around for those who run the day: the desk's rooms and the pages in each, the head judge's own. Each page's name once.

The bar is drawn of it, the review's tabs, and the search finds pages by it. What stands in no room is reached from a page that
does; it is named here so that it can be found.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """A page by its name; `words`: what else people look for it by."""

    link: str
    name: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class Room:
    """A room of the desk: its first page is the one that its name leads to."""

    name: str
    places: tuple[Place, ...]


ROOMS = (
    Room("Day", (Place("/desk", "Day", "heat go hold resume floor desk"),)),
    Room("Review", (Place("/review", "Review", "flags head judge"),)),
    Room(
        "Set up",
        (
            Place("/desk/setup", "Checklist", "list set up start day order files csv download export"),
            Place("/desk/entries", "Entries", "athletes teams pairs"),
            Place("/desk/events", "Events", "workouts dry run markings openers"),
            Place("/desk/judges", "Judges"),
            Place("/desk/plan", "Plan", "schedule draft"),
            Place("/desk/heats", "Heats", "lanes"),
            Place("/desk/overall", "Overall", "points standing"),
        ),
    ),
    Room(
        "Venue",
        (
            Place("/desk/tablets", "Tablets", "pair devices screens hall"),
            Place("/desk/way-in", "Connection", "way in address network https certificate trust"),
            Place("/desk/walls", "Wall screens", "projector podium scene"),
            Place("/announcer", "Announcer", "sheet names"),
            Place("/desk/checkin", "Check-in", "waiver present door"),
            Place("/desk/paper", "Paper", "print scoresheets briefs"),
            Place("/desk/backups", "Backups", "stick restore safe"),
            Place("/desk/done", "Activity log", "what was done record history"),
        ),
    ),
    Room("Board", (Place("/board", "Board", "live public"),)),
    Room("Clock", (Place("/clock", "Clock", "hall timer voice sound"),)),
)

# The head judge's pages, as tabs.
REVIEW = (
    Place("/review", "To look at", "flags queue"),
    Place("/review/results", "Protests and sign-off", "final publish"),
    Place("/review/compare", "Compared sheets", "shadow second judge"),
    Place("/review/trail", "Decisions", "record rulings"),
    Place("/review/judges", "Judging summary", "judges overruled agreement"),
    Place("/review/links", "Protest links", "slips"),
)
REVIEW_BESIDE = (Place("/review/compare/judges", "Judges' agreement", "judge by judge overruled"),)
REVIEW_PASSWORD = Place("/review/password", "Password", "head judge")  # the desk's to set

# Reached from other pages.
BESIDE = (
    Place("/desk/competition", "Competition", "name place date unit rules"),
    Place("/desk/divisions", "Divisions", "classes categories"),
    Place("/desk/entries/new", "Add an entry", "new athlete team"),
    Place("/desk/entries/file", "Entries from a spreadsheet", "import csv upload"),
    Place("/desk/entries/paste", "Paste entries", "many lines"),
    Place("/desk/people", "Clubs and athletes", "spelling bodyweight colours"),
    Place("/desk/classes", "Classes", "sex age bodyweight categories"),
    Place("/desk/events/new", "New event", "preset kind of event"),
    Place("/desk/events/blank", "Empty event", "from nothing own"),
    Place("/desk/heats/new", "New heat", "add lanes"),
    Place("/desk/workout", "Event from a written workout", "paste text read"),
    Place("/desk/judges/paste", "Paste judges", "many"),
    Place("/desk/plates", "Plates", "bars loading"),
    Place("/desk/plan/rules", "Rules of the day", "plan lanes times rest"),
    Place("/desk/plan/late", "Late change", "running delay behind"),
    Place("/desk/cut", "Heats from standings", "cut final advance"),
    Place("/desk/practice", "Practice", "train judges"),
    Place("/train", "Practice alone", "train count judges"),
    Place("/desk/paper/key", "Key paper in", "type scoresheet"),
    Place("/desk/halls", "Other halls", "merge combine"),
    Place("/desk/round", "Round", "many gyms films reviewers looks headquarters"),
    Place("/desk/round/kit", "Begin a round", "kit slips deadline gyms"),
    Place("/desk/round/gym", "Round in this gym", "kit slip open film word"),
    Place("/desk/round/gym/hand-in", "Hand in", "round receipt digest film"),
    Place("/desk/password", "The desk's password", "login"),
)
PUBLIC = (
    Place("/results", "Results", "standings places scores"),
    Place("/podium", "Podium", "winners medals"),
    Place("/timetable", "Timetable", "schedule times"),
    Place("/brief", "Briefs", "standards wall sheets"),
    Place("/follow", "Follow an entry", "phone"),
    Place("/warm-up", "Warm-up", "called next order of lifting platform"),
    Place("/wall", "Wall", "screen projector"),
    Place("/halls", "All halls", "results merged"),
    Place("/timetable/hall", "Timetable for the hall", "print wall"),
)
