"""The language that the competition has chosen for its screens. It is a setting of this hall, and in no file that leaves it."""

from time import monotonic

from app.rules.values.words import ENGLISH
from app.store.database import Database
from app.store.devices import get_setting, put_setting
from app.wording import languages

SETTING = "language"
READ_AGAIN_S = 2.0  # another process of this server may have stored another one


class HallLanguage:
    """The language of one hall, as last read."""

    def __init__(self) -> None:
        self._code, self._read_s = "", 0.0

    async def now(self, database: Database) -> str:
        """The competition's language; English where nothing was chosen."""
        if not self._code or monotonic() - self._read_s > READ_AGAIN_S:
            said = await database.aread(lambda session: get_setting(session, SETTING)) or ENGLISH
            self._code, self._read_s = said if said in languages() else ENGLISH, monotonic()
        return self._code

    async def choose(self, database: Database, language: str) -> None:
        """Chooses it. Pages that are open go on as they are; tablets change when they can spare a moment."""
        await database.awrite(lambda session: put_setting(session, SETTING, language))
        self._code = ""
