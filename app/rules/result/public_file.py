"""A competition file for everybody: what results rest on is in it, what is nobody else's business is not."""

from app.rules.records.document import CompetitionFile
from app.rules.records.judges import Judge


def without_private(file: CompetitionFile) -> CompetitionFile:
    """The file without what was noted of people and decides nothing: judges' hours and notes, reaches, what lifters mean to lift,
    the words of protests. Rulings stay, with their reasons. The digests of events are the same, because none covers any of it.
    """
    judges = tuple(Judge(id=one.id, name=one.name, club=one.club) for one in file.judges)
    return file.model_copy(update={"judges": judges, "measures": (), "openers": (), "protests": (), "seal": None})
