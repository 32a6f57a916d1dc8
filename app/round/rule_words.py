"""What a round asks of its gyms and does with their lines, in short."""

from app.rules.round.rule import HOUR, Rule
from app.rules.values.units import decimal_text
from app.rules.values.words import say

MINUTE = HOUR // 60


def rules_of(rule: Rule) -> tuple[str, ...]:
    """The same, a sentence each."""
    share = decimal_text(rule.near_share * 100)
    film = (
        f"Films show a word of {say('letters', n=rule.film_word)}, first and last." if rule.film_word else "Films show no word."
    )
    return (
        f"The digest of your hand-in arrives by the deadline; its file follows within {in_hours(rule.grace_ms)}.",
        film,
        f"A film that is asked for comes within {in_hours(rule.film_ms)}, or its line is refused.",
        f"A look within {decimal_text(rule.near)} or {share} % of a claim, whichever is more, leaves the claim as it is.",
        f"An appeal comes within {in_hours(rule.appeal_ms)}; an invitation is answered within {in_hours(rule.invitation_ms)}.",
    )


def in_hours(ms: int) -> str:
    """A span in whole hours, or in minutes where it is none."""
    return say("hours", n=ms // HOUR) if ms % HOUR == 0 and ms > HOUR else say("minutes", n=ms // MINUTE, shown=ms // MINUTE)
