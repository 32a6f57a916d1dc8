"""The next thing for headquarters to do, as one button or as what it waits for. Whether it may be done is asked of the rules."""

from dataclasses import dataclass
from typing import Any

from app.round.times import shown_time
from app.rules.round import records as r
from app.rules.round.due import due_now
from app.rules.round.fold import why_not
from app.rules.round.guards import appeal_until
from app.rules.round.moves import DRAWN, OPEN, PUBLISHED, ROLLED
from app.rules.round.state import LineState, RoundState


@dataclass(frozen=True, slots=True)
class NextStep:
    """What comes next, in words. act: what the button does, empty where there is only to wait, or where `link` leads to what is
    to be decided. button: its words."""

    words: str
    act: str = ""
    button: str = ""
    link: str = ""


def next_step(state: RoundState, now_ms: int) -> NextStep:
    """The next step of a round."""
    if count := len(due_now(state, now_ms)):
        return NextStep(f"Due by itself, and not written down yet: {count}.", "go-on", "Write it down")
    if state.stage == OPEN:
        return _open(state, now_ms)
    if state.stage == ROLLED:
        rule = state.rules
        words = (
            f"Publish the root. Only then the dice are rolled, before witnesses and a camera: {rule.dice}, of {rule.sides} sides."
        )
        return NextStep(words, "draw", "Draw the films")
    return _after_draw(state, now_ms) if state.stage in (DRAWN, PUBLISHED) else _signed(state)


def _open(state: RoundState, now_ms: int) -> NextStep:
    rule = state.rules
    if state.waits_for_its_word:
        if now_ms < rule.opens_ms:
            return NextStep(f"The round opens {shown_time(rule.opens_ms, rule.zone)}. Its opening word is made then.")
        return NextStep("The round opens: tell every gym the opening word.", "opening", "Make the opening word")
    if now_ms <= state.deadline_ms:
        return NextStep(f"Hand-ins come in until {shown_time(state.deadline_ms, rule.zone)}.")
    open_yet = [one for one in state.waiting.values() if one.state == "promised"]
    if open_yet:
        until = shown_time(max(one.promise.at for one in open_yet) + rule.grace_ms, rule.zone)
        return NextStep(f"Promised and not in yet: {len(open_yet)}. The last may come until {until}.")
    if waits := sum(one.state == "arrived" for one in state.waiting.values()):
        return NextStep(f"The roll waits until each file is checked. Not checked yet: {waits}.")
    return NextStep("The deadline is over. The roll of all lines is closed, and its root published.", "roll", "Close the roll")


def _after_draw(state: RoundState, now_ms: int) -> NextStep:
    lines = state.lines.values()
    decided = sum(line.state == "looked" or line.appeal == "filed" or is_without_film(state, line, now_ms) for line in lines)
    if decided:
        return NextStep(f"To decide: {decided}.", button="Decide the first", link="#decide")
    if waiting := sum(line.state == "asked" for line in lines):
        return NextStep(f"Films that wait for a look: {waiting}. Reviewers open them by their own links.")
    if state.stage == DRAWN:
        return NextStep("All looks are done and decided.", "published", "Publish the standing")
    if not (sentence := _refused(state, r.Signed, now_ms)):
        return NextStep("No appeal is open, and none may come any more.", "signed", "Sign the standing")
    ends = [appeal_until(state, line) for line in lines if line.state in ("adjusted", "refused")]
    until = f" Until {shown_time(max(ends), state.rules.zone)}." if ends else ""
    return NextStep(f"{sentence}{until}")


def is_without_film(state: RoundState, line: LineState, now_ms: int) -> bool:
    """Whether a line was asked for, its film did not come, and its time is over."""
    over = bool(line.asks) and now_ms > line.asks[0].at + state.rules.film_ms
    return line.state == "asked" and not line.film and not line.sealed and over


def _signed(state: RoundState) -> NextStep:
    waiting = sum(one.state == "offered" for one in state.invitations.values())
    if waiting:
        return NextStep(f"Invitations without an answer yet: {waiting}. One that runs out moves on to the next.")
    return NextStep("Every invitation has its answer. Write the book, so that anybody can recount it.")


def _refused(state: RoundState, kind: type[r.Kept], now_ms: int) -> str:
    record: Any = kind(number=1, at=now_ms)
    return why_not(state, record)
