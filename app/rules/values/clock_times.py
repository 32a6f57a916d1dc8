"""Times as people read them, m:ss. static/js/words/clock_times.js is its twin; both pass tests/vectors/words.json."""

from fractions import Fraction

from app.rules.values.units import Rounding, decimal_text, round_to
from app.rules.values.words import say


def minutes_text(seconds: int) -> str:
    """Whole seconds from 0 on as m:ss."""
    return f"{seconds // 60}:{seconds % 60:02d}"


def hours_text(seconds: int) -> str:
    """Whole seconds from 0 on as m:ss, or h:mm:ss from an hour on."""
    hours, rest = divmod(seconds, 3600)
    return f"{hours}:{rest // 60:02d}:{rest % 60:02d}" if hours else minutes_text(rest)


def clock_text(ms: int, decimals: int = 0) -> str:
    """Milliseconds as m:ss with so many decimals of the second (0 to 3), what is beyond them cut off; nothing below 0:00."""
    whole, rest = divmod(max(0, ms), 1000)
    return f"{minutes_text(whole)}.{f'{rest:03d}'[:decimals]}" if decimals else minutes_text(whole)


def clock_ms_text(ms: int) -> str:
    """A moment of the heat clock as m:ss.s, with a minus before GO."""
    return f"{'-' if ms < 0 else ''}{clock_text(abs(ms), 1)}"


def exact_text(seconds: Fraction) -> str:
    """Seconds as m:ss, with as many decimals of the second as it has (three at the most, rounded there)."""
    told = round_to(abs(seconds), Fraction(1, 1000), Rounding.NEAREST)
    decimals = decimal_text(told % 1, 3).removeprefix("0")
    return f"{'-' if seconds < 0 and told else ''}{minutes_text(int(told))}{decimals}"


def ago_text(ms: int) -> str:
    """How long ago something was, as people say it: `just now`, `5 min ago`, `3 h ago`, `2 days ago`."""
    minutes = max(0, ms) // 60_000
    if minutes < 120:
        return say("ago.minutes", n=minutes)
    hours = minutes // 60
    return say("ago.hours", n=hours) if hours < 48 else say("ago.days", n=hours // 24)


def span_text(minutes: int) -> str:
    """Minutes as a person says them: `45 min`, `2 h`, `2 h 05 min`."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02d} min" if rest else f"{hours} h"
