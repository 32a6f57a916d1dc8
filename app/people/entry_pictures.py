"""An entry's picture at the desk: given, replaced, removed; and whether pictures are published with the results."""

from app.hall.changing import change_roster
from app.hall.doing import done_to
from app.hall.forms import refuse
from app.hall.hall import Hall
from app.hall.organising import found, needed_roster
from app.rules.values.image_bytes import BadPicture, picture_of
from app.store.pictures import are_published, let_publish, put_picture, remove_picture

FIELD = "picture"  # the form's field
NOTHING_CAME = "Choose a picture first."


async def give_picture(hall: Hall, entry: str, data: bytes) -> None:
    """Keeps a picture for an entry, with nothing that its camera wrote beside it. Raises BadForm for what is none, NotThere."""
    done_to(found(needed_roster(hall).entries, entry, "entry").name)
    if not data:
        raise refuse(FIELD, NOTHING_CAME)
    try:
        picture = picture_of(data)
    except BadPicture as wrong:
        raise refuse(FIELD, str(wrong)) from None
    await change_roster(hall, lambda session: put_picture(session, entry, picture))


async def take_picture_away(hall: Hall, entry: str) -> None:
    """Removes an entry's picture for good. Raises NotThere."""
    done_to(found(needed_roster(hall).entries, entry, "entry").name)
    await change_roster(hall, lambda session: remove_picture(session, entry))


def pictures_are_published(hall: Hall) -> bool:
    """Whether the competition says that pictures go out with its results."""
    return hall.database.read(are_published)


async def say_pictures_published(hall: Hall, published: bool) -> None:
    """Says whether they do."""
    await hall.database.awrite(lambda session: let_publish(session, published))
