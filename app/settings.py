"""The settings of one server: read once, at start, from the command line and from LANE_LEDGER_… variables."""

from pathlib import Path

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict

DEFAULT_PORT = 8765


class Settings(BaseSettings):
    """Where the server keeps its data and how it is reached. A value given in code wins over the environment."""

    model_config = SettingsConfigDict(env_prefix="LANE_LEDGER_", frozen=True, extra="forbid")

    data: Path = Path("data")
    host: str = "0.0.0.0"
    port: int = Field(default=DEFAULT_PORT, ge=0, le=65535)
    database_url: str = ""
    open_browser: bool = True
    demo: bool = False

    def database(self) -> str:
        """The URL of the database: as given, or a SQLite file in the data directory."""
        return self.database_url or f"sqlite:///{self.store_file.absolute().as_posix()}"

    @property
    def store_file(self) -> Path:
        """The SQLite file in the data directory."""
        return self.data / "lane-ledger.sqlite3"
