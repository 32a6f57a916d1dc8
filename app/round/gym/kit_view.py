"""The pages of a kit in a gym as frozen values: what a kit would open here, and what is open."""

from dataclasses import dataclass

from app.hall.hall import Hall
from app.round.gym.handing_in import words_by
from app.round.gym.opened import Offer, Opened, Over, begins, binding_here, is_open, kept_opening, refuse_over
from app.round.gym.sending import is_bound, kept_address
from app.round.rule_words import rules_of
from app.round.times import both_times, left_words
from app.rules.round.kit import BadKit
from app.rules.round.rule import Rule
from app.rules.round.words import shown
from app.rules.values.words import say

KEY_GROUP = 8  # hex digits of a key that stand together


@dataclass(frozen=True, slots=True)
class OfferPage:
    """What is in a kit, before it is opened. print: who signed it, as the letters that end a slip; key: the whole key, in groups.
    events, divisions: each with what is said of it. rules: what the round asks of a gym. does: what opening it does here. over:
    that its deadline is over, empty where it is not."""

    name: str
    print: str
    key: tuple[str, ...]
    slip: str
    deadline: str
    left: str
    events: tuple[tuple[str, str], ...]
    divisions: tuple[tuple[str, str], ...]
    rules: tuple[str, ...]
    does: str
    over: str


@dataclass(frozen=True, slots=True)
class KitPage:
    """What is open here. gym: its number, 0 before the slip. binding: the file that binds its key, as text, empty before.
    is_bound: headquarters' server has answered that it did. words: whether films show one; opening: the opening word as it was
    typed; entries: number, name and film word of each."""

    name: str
    print: str
    deadline: str
    left: str
    rules: tuple[str, ...]
    gym: int
    binding: str
    is_bound: bool
    address: str
    words: bool
    opening: str
    entries: tuple[tuple[int, str, str], ...]


def offer_page(hall: Hall, offer: Offer) -> OfferPage:
    """What a kit would open here. Raises BadKit, NotEmpty where it can't be."""
    rule, start = offer.opened.kit.rule, offer.opened.kit.start
    counts = f"{say('list.events', n=len(start.events))} and {say('list.divisions', n=len(start.divisions))}"
    again = is_open(hall.settings.data, offer.content)
    empty = not again and begins(hall, offer)
    return OfferPage(
        name=rule.name,
        print=offer.opened.print,
        key=tuple(offer.opened.key[at : at + KEY_GROUP] for at in range(0, len(offer.opened.key), KEY_GROUP)),
        slip=f"The slip of gym {offer.slip.gym} is of the headquarters that signed this kit." if offer.slip else "",
        deadline=both_times(rule.deadline_ms, rule.zone),
        left=left_words(rule.deadline_ms - hall.time.wall_ms()),
        events=tuple((event.name, ", ".join(part.does or part.name for part in event.parts)) for event in rule.events),
        divisions=tuple((one.name, f"{one.places} to be invited" if one.places else "") for one in rule.divisions),
        rules=rules_of(rule),
        does=f"This laptop's hall is empty. {counts} come in, with nobody entered. Nothing else on this laptop changes."
        if empty
        else "This laptop's hall has this competition already. Nothing in it changes; the round is added to it.",
        over="" if again else _over(rule, hall.time.wall_ms()),
    )


def _over(rule: Rule, now_ms: int) -> str:
    try:
        refuse_over(rule, now_ms)
    except Over as wrong:
        return str(wrong)
    return ""


def kit_page(hall: Hall, opened: Opened) -> KitPage:
    """What is open here now."""
    data, rule = hall.settings.data, opened.kit.rule
    try:
        opening = kept_opening(data, rule)
    except BadKit:
        opening = ""
    roster = hall.projection.roster
    known = opening and opened.gym and roster is not None
    return KitPage(
        name=rule.name,
        print=opened.print,
        deadline=both_times(rule.deadline_ms, rule.zone),
        left=left_words(rule.deadline_ms - hall.time.wall_ms()),
        rules=rules_of(rule),
        gym=opened.gym,
        binding=binding_here(data).decode(),
        is_bound=is_bound(data),
        address=kept_address(data),
        words=bool(rule.film_word),
        opening=shown(opening),
        entries=tuple(words_by(opened, roster, opening)) if known and roster else (),
    )
