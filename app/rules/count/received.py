"""What the desk knew when marks came, and what therefore waits for a ruling: by the receipts, asked of the table of authority.

Told here: which marks were made for a time, or a run, that was not yet; and when a word on the bar from a call screen was said.
Such a word is said at the later of two moments, its own time and its receipt, for the phone could write any time on it. So
whatever comes later than the judge's tap changes nothing that the tap began. Of what came before what the order of receipt
knows, and the desk's clock, which also knows it of a judge who was offline then. A word that the judge's own mark names had
been read by the judge. A mark whose receipt is not known, or that a ruling lets count, is taken at its own time.
static/js/rules/received.js is the twin.
"""

from collections.abc import Iterable, Mapping, Set

from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally_shape import Flag
from app.rules.records.authority import NOT_YET, Moment, moment_at_receipt, waits
from app.rules.records.holding import Hold, heat_time
from app.rules.records.kinds import LOCKS, OF_THE_BAR, PLACED, ROWS
from app.rules.records.marks import Mark, at_another

Marks = dict[str, Mark]


def let_count(clock: SheetClock) -> frozenset[str]:
    """The ids of the marks that a ruling lets count, for it names them or judges their lift: nothing is held against them."""
    named = {str(mark) for ruling in clock.ruled if ruling.kind == "admit" for mark in ruling.body["marks"]}
    return frozenset(named | {str(ruling.body["mark"]) for ruling in clock.ruled if ruling.kind == "lift"})


def ahead_of(mark: Mark, marks: Mapping[str, Mark], clock: SheetClock) -> Moment | None:
    """The moment of the table at which a mark waits because it was made for a time, or a run, that was not yet when it came; None
    where it does not. `marks` are all of the sheet by id, at the times that their tablets gave them."""
    moment = moment_at_receipt(mark, clock.given) if mark.receipt is not None else None
    return moment if moment in NOT_YET and waits(mark, moment, _about(marks, mark)) else None


def as_heard(marks: Marks, clock: SheetClock, flags: list[Flag]) -> Marks:
    """The marks with each word on the bar from elsewhere at the moment at which it was said, without those that were said, or
    taken back, too late; these are flagged. `marks` are at their moments on the true heat clock."""
    elsewhere = {mark.id for mark in marks.values() if _is_from_elsewhere(marks, mark)}
    words = {key: marks[key] for key in elsewhere if marks[key].receipt is not None}
    if not words:
        return marks
    hands = _hands(marks, elsewhere)
    read = {hand.body.get("declared") for hand in hands}
    said = {key: word if key in read else _said(word, hands, clock.holds) for key, word in words.items()}
    heard = {**marks, **said}
    for word in said.values():
        lock = _locked(heard, word, hands)
        if lock is not None and waits(word, lock, _about(marks, word)):
            flags.append(Flag(word.id, lock))
            del heard[word.id]
    return heard


def is_judged(marks: Marks) -> bool:
    """Whether somebody judged anything: a word from elsewhere, a declaration from the lifter's phone, is no work yet. One of
    which it is not known when it came is taken for the judge's."""
    placed = (mark for mark in marks.values() if mark.kind in PLACED)
    return any(mark.receipt is None or not _is_from_elsewhere(marks, mark) for mark in placed)


def _about(marks: Mapping[str, Mark], mark: Mark) -> Mark | None:
    return marks.get(mark.body["mark"]) if mark.kind == "strike" else None


def _is_from_elsewhere(marks: Marks, mark: Mark) -> bool:
    """Whether a mark is a word on the bar, or takes one back, that the judge's hand can end."""
    if mark.kind not in OF_THE_BAR and mark.kind != "strike":
        return False
    about = _about(marks, mark)
    return any(waits(mark, lock, about) for lock in LOCKS)


def _hands(marks: Marks, elsewhere: Set[str]) -> list[Mark]:
    """What the judge did at the bar, and the signatures of the sheet, that the judge did not take back; in order."""
    taken_back = {mark.body["mark"] for mark in marks.values() if mark.kind == "strike" and mark.id not in elsewhere}
    left = (mark for mark in marks.values() if mark.id not in elsewhere and mark.id not in taken_back)
    return sorted((mark for mark in left if _is_hand(mark)), key=lambda mark: mark.order)


def _is_hand(mark: Mark) -> bool:
    return mark.kind in OF_THE_BAR or (ROWS[mark.kind].locks is not None and mark.body.get("who") != "athlete")


def _said(word: Mark, hands: Iterable[Mark], holds: tuple[Hold, ...]) -> Mark:
    """A word at the later of its own time and its receipt, where the judge did something between the two."""
    receipt = word.receipt
    if receipt is None:
        return word
    came = None if receipt.clock is None else heat_time(receipt.clock, holds).ms
    before = [hand.at for hand in hands if hand.order > word.order and _came_before(hand, word, came)]
    return at_another(word, max(before[-1] + 1, came or 0)) if before else word


def _came_before(hand: Mark, word: Mark, came: int | None) -> bool:
    """Whether the judge's mark was made before a word was received: `came`, in ms on the heat clock, by the desk's."""
    if word.receipt is None or word.receipt.again:
        return True
    if hand.receipt is not None and not hand.receipt.again and hand.receipt.number < word.receipt.number:
        return True
    return came is not None and hand.at + hand.err < came


def _locked(marks: Marks, word: Mark, hands: Iterable[Mark]) -> Moment | None:
    """By what the judge's hand had ended it when a word was said: the signature of the sheet, or, for a word that is taken
    back, what was done at its bar since. What was on a bar is asked when the bar is known: see lift_floor.py."""
    before = [hand for hand in hands if hand.order < word.order]
    if any(hand.kind == "sign" for hand in before):
        return "signed"
    about = _about(marks, word)
    if about is None:
        return None
    since = [ROWS[hand.kind].locks for hand in before if hand.order > about.order and not _another_bar(about, hand)]
    return next((lock for lock in reversed(since) if lock is not None), None)


def _another_bar(word: Mark, hand: Mark) -> bool:
    """Whether two marks are known to be about two bars: other declarations or windows. Not other members: a word is on the bar of
    its declaration, whoever it says that lifts it."""
    pairs = [(word.body.get("declared"), hand.body.get("declared")), (word.win, hand.win)]
    return any(one is not None and two is not None and one != two for one, two in pairs)
