"""The keys of the desk and of the review: one table, from which the page's list is drawn and its script binds them.

A template writes `aria-keyshortcuts="{{ on_key("go") }}"` on what a key is for; a key whose thing is not there does nothing.
What would set a clock off, or change a result, is never done by one key: it takes you there, and Enter does it. Hold is the one
exception, since it can't wait and is taken back by one press. Keys can be switched off on each browser (WCAG 2.2, 2.1.4).
"""

from dataclasses import dataclass
from typing import Literal

Act = Literal["press", "go to", "open", "on", "back"]


@dataclass(frozen=True, slots=True)
class Key:
    """A key: what templates call it, what it says on the key, what it does in words, and how.

    press: as if it were clicked. go to: it gets the focus. open: it unfolds, and its first field gets the focus. on, back: the
    focus walks along the page's list.
    """

    name: str
    key: str
    words: str
    act: Act


@dataclass(frozen=True, slots=True)
class KeyGroup:
    """Keys that belong together, under a title."""

    title: str
    keys: tuple[Key, ...]


KEYS = (
    KeyGroup(
        "On every page",
        (
            Key("search", "/", "Search", "press"),
            Key("keys", "?", "This list", "press"),
            Key("next_step", "D", "What the day needs next", "press"),
            Key("on", "J", "Down the list: heats, flags, the day", "on"),
            Key("back", "K", "Up the list", "back"),
        ),
    ),
    KeyGroup(
        "A heat",
        (
            Key("go", "G", "To GO; Enter gives it", "go to"),
            Key("hold", "H", "Hold, at once", "press"),
            Key("go-on", "R", "To Resume; Enter resumes", "go to"),
            Key("abort", "A", "Abort: say why", "open"),
            Key("restart", "T", "Restart: say why", "open"),
            Key("close", "E", "Close early: say why", "open"),
            Key("lanes", "L", "To the lanes", "go to"),
            Key("next_heat", "N", "The next heat, once this one is over", "press"),
        ),
    ),
    KeyGroup(
        "Flags",
        (
            Key("next_flag", "N", "The next flag", "press"),
            Key("all_flags", "B", "Back to all flags", "press"),
            Key("decisions", "C", "To the decisions; arrows choose", "go to"),
            Key("why", "W", "To your name and why", "go to"),
            Key("by_hand", "M", "Another ruling on this lane", "open"),
        ),
    ),
)

_BY_NAME = {key.name: key.key for group in KEYS for key in group.keys}


def on_key(name: str) -> str:
    """What a key is called on the keyboard. Raises KeyError."""
    return _BY_NAME[name]
