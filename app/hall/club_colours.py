"""The colours of the clubs that an entry's members belong to, as they stand beside its name."""

from collections.abc import Mapping

from app.rules.records.roster import Roster

Worn = Mapping[str, tuple[str, ...]]  # the colours of each entry, by its id


def club_colours(roster: Roster) -> Worn:
    """By entry the colours of its clubs, each once, in the order of its members; none of a club that has none."""
    colours = {club.id: club.colour for club in roster.clubs if club.colour}
    if not colours:
        return {}
    worn = {athlete.id: colours.get(athlete.club or "", "") for athlete in roster.athletes}
    return {entry.id: tuple(dict.fromkeys(worn[one] for one in entry.members if worn.get(one))) for entry in roster.entries}
