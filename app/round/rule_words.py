"""What a round asks of its gyms and does with their lines, in short."""

from app.rules.round.rule import HOUR, Rule
from app.rules.values.units import decimal_text


def rules_of(rule: Rule) -> tuple[str, ...]:
    """The same, a sentence each."""
    share = decimal_text(rule.near_share * 100)
    film = f"Films show a word of {rule.film_word} letters, first and last." if rule.film_word else "Films show no word."
    return (
        f"The digest of your hand-in arrives by the deadline; its file follows within {rule.grace_ms // HOUR} hours.",
        film,
        f"A film that is asked for comes within {rule.film_ms // HOUR} hours, or its line is refused.",
        f"A look within {decimal_text(rule.near)} or {share} % of a claim, whichever is more, leaves the claim as it is.",
        f"An appeal comes within {rule.appeal_ms // HOUR} hours; an invitation is answered within {rule.invitation_ms // HOUR}.",
    )
