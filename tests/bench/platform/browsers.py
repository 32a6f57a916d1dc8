"""The meet of 24 lifters before real browsers: three referees' tablets, the marshal's, the loaders', a coach's phone, the board
and the warm-up page, against the real server.

Every attempt is touched on glass. In the first flight a referee's tablet is without the network for a whole round, and another
takes the place of one in the second. Each call, clock, row of lights, line of the board, total and place is held against a caller
who has paper and pencil (caller.py). Only the time between two lifts is skipped.
"""

import random
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from app.rules.records.document import CompetitionFile
from app.rules.values.units import Load
from app.rules.workout.openers import Opener
from tests.bench.browser import chromium
from tests.bench.figures import Figure, Goal
from tests.bench.platform.caller import ATTEMPTS, Caller
from tests.bench.platform.hands import PHONES_LANE, REFEREES, Hands
from tests.bench.platform.stuck import TRACE, write_down
from tests.browser.hall_server import served
from tests.browser.people import a_hall
from tests.builders.platform_meets import Size, the_file, weight_of
from tests.builders.platforms import lifter

MOVEMENTS = "Back squat\nBench press\nDeadlift"
LIFTS_S = (0, 4_200, 8_400)
OVER_S = 20_000  # long after the last bell
SILENT, SILENT_AMONG = (
    0.3,
    3,
)  # how often nobody says a word, for one of the first so many of a round: the minute passes meanwhile
GOOD = 0.7
CUT, REPLACED = (0, 1, 1), (1, 0)  # flight, lift and round without the network; after which flight and lift a tablet is replaced
NONE, TWO_SECONDS = Goal("at most", 0), Goal("at most", 2)


def run(tell: Callable[[str], None], lifters: int = 24, flight: int = 12) -> list[Figure]:
    """Plays it; a screen that says something else ends it with what it said. Raises NoBrowser."""
    tell(f"A meet of {lifters} lifters before real browsers: {lifters * 9} attempts")
    size = Size(lifters, flight, ATTEMPTS, LIFTS_S)
    chance = random.Random(lifters)
    openers = {(lift, who): 100 + 3 * chance.randrange(12) for lift in range(3) for who in range(1, lifters + 1)}
    begun = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder, chromium() as browser:
        file = with_openers(the_file(size, MOVEMENTS), openers)
        with served(Path(folder), file) as server, a_hall(browser, server.url, TRACE) as hall:
            hands = Hands(server, hall, hall.desk())
            meet = Meet(hands, size, openers, chance, tell)
            try:
                meet.play()
            except BaseException:
                write_down(server, hands.at, {"phone": hands.phone.page, "board": hands.board, "warm-up": hands.warm_up}, tell)
                raise
            wrong = meet.differs()
    took = time.perf_counter() - begun
    return [
        Figure("browsers.called", "lifters called on the marshal's screen in the order of the caller by hand", meet.called),
        Figure("browsers.offline", "decisions made without the network that agreed afterwards", meet.offline),
        Figure("browsers.clock", "the most that a screen's clock of an attempt was off", max(hands.off), "s", TWO_SECONDS),
        Figure("browsers.looked", "… and the longest that a look at such a clock took", max(hands.looked), "s"),
        Figure("browsers.wrong", "totals and places published or on the board that differ from those by hand", wrong, goal=NONE),
        Figure("browsers.took", "the meet before real browsers", took / 60, "min"),
    ]


def with_openers(file: CompetitionFile, openers: dict[tuple[int, int], int]) -> CompetitionFile:
    """The meet with its lifters' openers of the first two lifts; those of the third are said to the marshal."""
    tasks = list(file.events[0].format.tasks)
    said = [
        Opener(event="evt", task=tasks[lift], entry=f"ent_{who}", member=1, load=Load(str(kg), "kg"))
        for (lift, who), kg in openers.items()
        if lift < 2
    ]
    return file.model_copy(update={"openers": tuple(said)})


class Meet:
    """The meet as it is played: what the people do next, and the caller's cards beside it."""

    def __init__(
        self, hands: Hands, size: Size, openers: dict[tuple[int, int], int], chance: random.Random, tell: Callable[[str], None]
    ) -> None:
        self.hands, self.size, self.openers, self.chance, self.tell = hands, size, openers, chance, tell
        self.caller = Caller({who: weight_of(who) for who in range(1, size.lifters + 1)}, len(size.lifts_s))
        self.called = self.offline = 0

    def play(self) -> None:
        """One flight after another."""
        for number in range(self.size.lifters // self.size.flight):
            flight = list(range(number * self.size.flight + 1, (number + 1) * self.size.flight + 1))
            self.hands.checks_the_bar()
            heat, lanes = f"heat_{number + 1}", range(1, self.size.flight + 1)
            for lift, second in enumerate(self.size.lifts_s):
                self.hands.server.go_was((second + 2) * 1000, heat=heat, lanes=lanes)
                self.openers_of(lift, flight)
                for round_now in range(ATTEMPTS):
                    begun = time.monotonic()
                    at = (number, lift, round_now)
                    self.play_round(lift, flight, round_now, cut=at == CUT, before_cut=at == (*CUT[:2], CUT[2] - 1))
                    self.tell(f"  {heat}, lift {lift + 1}, round {round_now + 1}: {time.monotonic() - begun:.0f} s")
                if (number, lift) == REPLACED:
                    self.hands.sit("left referee")
            self.hands.server.go_was(OVER_S * 1000, heat=heat, lanes=lanes)
            self.hands.signs_all(self.size.flight, more=flight[-1] < self.size.lifters)

    def openers_of(self, lift: int, flight: list[int]) -> None:
        """The openers of the first two lifts are put in with one touch; those of the third declared one by one."""
        for who in flight:
            self.caller.cards[lift, who].next_kg = self.openers[lift, who]
        if lift < 2:
            self.hands.puts_in_openers()
            return
        for who in flight:
            self.declare(lift, who, self.openers[lift, who])

    def declare(self, lift: int, who: int, kg: int) -> None:
        if (who - PHONES_LANE) % self.size.flight:
            self.hands.marshal_declares(who, kg, len(self.caller.cards[lift, who].tries) + 1)
        else:
            self.hands.phone_declares(kg)

    def play_round(self, lift: int, flight: list[int], round_now: int, cut: bool, before_cut: bool) -> None:
        """All attempts of one round; in the one that is cut the right referee's tablet is without the network. In the round
        before everybody declares: what the rule puts in meanwhile nobody could tell that tablet."""
        for who in self.caller.silent(lift, flight):
            card = self.caller.cards[lift, who]
            card.next_kg, card.by_rule = card.by_the_rule, True
            self.hands.waits_for_the_rule(who, card.next_kg)
        if cut:
            self.hands.is_cut_off("right referee")
        later = []
        for place in range(len(flight)):
            who = self.caller.next(lift, flight)
            assert who is not None
            lights = self.attempt(lift, who, cut)
            good = self.caller.lifted(lift, who, lights)
            silent = not before_cut and place < SILENT_AMONG and self.chance.random() < SILENT
            if round_now < ATTEMPTS - 1 and not silent:
                kg = self.caller.cards[lift, who].tries[-1][0] + (2 if good else 0)
                later.append((who, kg, lights))
                if not cut:
                    self.declared(lift, *later.pop())
            elif cut:
                later.append((who, 0, lights))
        if not cut:
            return
        self.hands.comes_back("right referee")
        for who, kg, lights in later:
            if kg:
                self.declared(lift, who, kg, lights)

    def declared(self, lift: int, who: int, kg: int, lights: list[bool]) -> None:
        self.declare(lift, who, kg)
        self.caller.cards[lift, who].next_kg = kg

    def attempt(self, lift: int, who: int, cut: bool) -> list[bool]:
        """One attempt, from the call to the lights. What the three referees said."""
        hands, card = self.hands, self.caller.cards[lift, who]
        assert card.next_kg is not None
        hands.call(who, card.next_kg, card.by_rule)
        self.called += 1
        there = REFEREES[:2] if cut else REFEREES
        if cut:
            hands.turns_by_hand("right referee", who)
        hands.turned_to(who, card.next_kg, there)
        hands.read_clocks()
        hands.begins()
        said = {seat: self.chance.random() < GOOD for seat in REFEREES}
        for seat in self.chance.sample(REFEREES, 3):
            hands.decides(seat, said[seat])
        lights = [said[seat] for seat in REFEREES]
        if cut:
            self.offline += 1
        else:
            hands.lit(lights)
            hands.board_shows(who, [*card.tries, (card.next_kg, lights.count(True) > 1)], lights)
        return lights

    def differs(self) -> int:
        """How many totals and places differ from those by hand: in what is published, and on the board."""
        table = self.caller.table()
        (event,) = self.hands.desk.page.context.request.get(f"{self.hands.server.url}/results.json").json()["events"]
        rows = next(one["rows"] for one in event["standings"] if one["score"] == "score")
        told = {row["name"]: (int(row["score"]), row["place"]) for row in rows if row["place"]}
        by_hand = {lifter(who): (total, place) for who, total, place in table}
        shown = self.hands.first_standing()
        board = {name: (int(score), int(place)) for name, (place, score) in shown.items() if place.isdigit()}
        names = by_hand.keys() | told.keys() | board.keys()
        return sum(by_hand.get(name) != other.get(name) for other in (told, board) for name in names)
