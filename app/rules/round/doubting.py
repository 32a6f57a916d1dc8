"""Doubts: why a line may be worth a look though no other rule asks for one. A doubt changes no score and decides nothing.

Two come from a gym's marks when its hand-in is checked: repetitions faster than the movement is believed to allow, and ones that
came too evenly for a hand; a third then from its films: one of them is the very file that another gym handed in (a film may show
several of one gym). The fourth comes from all claims once they are drawn: a score far better than the middle of its
division. One far below it is not doubted: nobody gains by it. Too fast and far off are the rules by which a hall's review names
lanes (count/doubts.py).
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from statistics import median

from app.rules.count.doubts import Bounds, far_off, too_fast
from app.rules.count.fold_windows import too_fast as follows_too_fast
from app.rules.count.sheets import formats_by_assignment, ruled_sheets
from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark
from app.rules.records.resting import parts
from app.rules.round.hand_in import HandInLine, entry_numbers
from app.rules.round.records import LineKey
from app.rules.round.rule import DoubtRule, EventRule
from app.rules.round.state import RoundState
from app.rules.round.told import shown_score
from app.rules.values.units import decimal_text
from app.rules.workout.formats import CountTask, Format

MOST_TOLD = 2  # sentences


def same_film(state: RoundState, gym: int, lines: Sequence[HandInLine]) -> dict[LineKey, str]:
    """Why lines that a gym hands in are doubted by the prints of their films, as sentences, by entry number and event."""
    own = {one.film_print for one in lines if one.film_print}
    if not own or state.rules.doubts is None:
        return {}
    claims = (one.claim for one in state.lines.values())
    others = {one.film_print: one.entry for one in claims if one.film_print in own and one.gym != gym}
    return {
        (one.entry, one.event): f"Its film is the same file as that of entry {others[one.film_print]}."
        for one in lines
        if one.film_print in others
    }


def doubts_of(rule: DoubtRule, file: CompetitionFile, gym: int) -> dict[LineKey, str]:
    """Why lines of a gym are doubted by its marks, as sentences, by entry number and event."""
    numbers = entry_numbers(file, gym)
    found: dict[LineKey, str] = {}
    for event, part in parts(file).items():
        formats, marks = formats_by_assignment(part), _by_sheet(part)
        sheets = ruled_sheets(part, part.runs, part.rulings)
        for heat in part.heats:
            for lane in heat.lanes:
                own = marks.get(sheets.get(lane.id, {}).get("lane", ""), [])
                if said := list(_odd(rule, formats[lane.id], own)):
                    found[numbers[lane.entry], event] = _told(said)
    return found


def _told(said: Sequence[str]) -> str:
    """Sentences as a record of the round has room for them."""
    more = f" And {len(said) - MOST_TOLD} more of the kind." if len(said) > MOST_TOLD else ""
    return " ".join(said[:MOST_TOLD]) + more


def _by_sheet(part: CompetitionFile) -> dict[str, list[Mark]]:
    """The marks of each sheet in order."""
    found: dict[str, list[Mark]] = defaultdict(list)
    for mark in sorted(part.marks, key=lambda one: (one.at, one.device, one.seq)):
        found[mark.sheet].append(mark)
    return found


def _odd(rule: DoubtRule, format: Format, marks: Sequence[Mark]) -> Iterator[str]:
    """What is odd about the repetitions of one judge's sheet, window by window."""
    struck = {mark.body["mark"] for mark in marks if mark.kind == "strike"}
    for index in range(len(format.windows)):
        reps = [mark for mark in marks if mark.kind == "rep" and mark.win == index and mark.id not in struck]
        if fast := len(too_fast(format, index, reps)) or _counted_too_fast(format, index, reps):
            yield f"Window {index + 1}: {fast} of {len(reps)} repetitions came faster than the movement is believed to allow."
        if is_too_even(rule, [mark.at for mark in reps]):
            yield f"Window {index + 1}: {len(reps)} repetitions came more evenly than a hand makes them."


def _counted_too_fast(format: Format, index: int, reps: Sequence[Mark]) -> int:
    task = format.tasks.get(format.windows[index].task or "")
    if not isinstance(task, CountTask):
        return 0
    fastest = format.movements[task.movement].fastest_ms
    return sum(follows_too_fast(fastest, before, mark) for before, mark in pairwise(reps))


def is_too_even(rule: DoubtRule, times: Sequence[int]) -> bool:
    """Whether the middle half of the gaps between times, of which there must be enough, lies within the rule's share of their
    median. A few long rests change nothing. The share that a kit is made with is our own, no source."""
    gaps = sorted(after - before for before, after in pairwise(times))
    if len(gaps) < rule.even_least:
        return False
    return gaps[3 * len(gaps) // 4] - gaps[len(gaps) // 4] < rule.even * Fraction(median(gaps))


def far_doubts(state: RoundState) -> dict[LineKey, str]:
    """Why lines of the roll are doubted by their claims, as sentences: far better than the middle of their division."""
    return state.once("far", lambda: dict(_far(state)))


def _far(state: RoundState) -> Iterator[tuple[LineKey, str]]:
    rule = state.rules.doubts
    groups: dict[tuple[str, str], dict[LineKey, Fraction]] = defaultdict(dict)
    for key, line in state.on_the_roll() if rule else ():
        groups[line.claim.division, key[1]][key] = line.claimed
    for (_, event), claimed in sorted(groups.items()):
        assert rule is not None, "without a rule nothing is grouped"
        yield from _far_of(rule, state.rules.event(event), claimed)


def _far_of(rule: DoubtRule, event: EventRule | None, claimed: Mapping[LineKey, Fraction]) -> Iterator[tuple[LineKey, str]]:
    for key, z in far_off(claimed, Bounds(far=rule.far, least=rule.far_least)).items():
        if event is not None and event.worth(z) < 0:
            score, far = shown_score(event, claimed[key]), decimal_text(abs(z), 1)
            yield key, f"{score} is far better than the middle of its division: modified z-score {far}."
