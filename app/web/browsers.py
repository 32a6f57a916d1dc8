"""Browsers: the oldest that the screens are made for, and what kind says it is asking.

The tests hold every page to the oldest by public compatibility data. What kind asks is said in words that somebody at the desk
can compare with what they hold in their hands.
"""

from collections.abc import Mapping
from typing import Final

OLDEST: Final[Mapping[str, tuple[int, ...]]] = {"iPadOS": (15, 6), "Chrome": (106,), "Firefox": (102,)}
"""Name -> version: the last that an iPad and an Android tablet of 2014 can have (from memory, no source), a Firefox of 2022."""

# In this order: many browsers name others too, for old servers' sake.
BROWSERS = (
    *(("edg/", "Edge"), ("opr/", "Opera"), ("samsungbrowser", "Samsung Internet"), ("firefox", "Firefox")),
    *(("fxios", "Firefox"), ("crios", "Chrome"), ("chrome", "Chrome"), ("safari", "Safari")),
)
SYSTEMS = (
    *(("ipad", "an iPad"), ("iphone", "an iPhone"), ("android", "Android"), ("cros", "a Chromebook")),
    *(("windows", "Windows"), ("macintosh", "a Mac"), ("linux", "Linux")),
)
MOST_LOOKED_AT = 400  # characters; what comes after is of no use


def browser_words(user_agent: str) -> str:
    """A user agent in a few words, `Chrome on Android`; empty if it says nothing known. It is a claim, and shown as one."""
    told = user_agent[:MOST_LOOKED_AT].lower()
    browser = next((words for part, words in BROWSERS if part in told), "")
    system = next((words for part, words in SYSTEMS if part in told), "")
    return f"{browser or 'A browser'} on {system}" if system else browser


def oldest_words() -> str:
    """`iPadOS 15.6, Chrome 106 or Firefox 102`, as the screens and the guide say it."""
    *before, last = (f"{name} {'.'.join(map(str, version))}" for name, version in OLDEST.items())
    return f"{', '.join(before)} or {last}"
