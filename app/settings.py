"""The settings of one server: read once, at start, from the command line and from LANE_LEDGER_… variables."""

from pathlib import Path

from pydantic import AliasChoices, Field, field_validator
from pydantic_settings import BaseSettings, SettingsConfigDict

from app.lan.names import in_private_range, is_local_name

DEFAULT_PORT = 8765
LOOPBACK_HOSTS = ("127.0.0.1", "localhost", "::1")


class Settings(BaseSettings):
    """Where the server keeps its data and how it is reached. A value given in code wins over the environment.

    https: also speak HTTPS to the hall, on `https_port` (the port after `port` if not given). name: the one host that tablets
    keep for the event, a .local or home.arpa name or a fixed private address; our own .local name if not given.
    processes: how many server processes share the work; more than one needs a database server.
    certificate_days: how long the certificate of a first start is good: the event and its preparation.
    database_url: a PostgreSQL database in place of the file in the data folder; DATABASE_URL names it too, as hosts commonly do.
    desk_hours, desk_idle_hours: how long a login of the desk or the head judge lasts, and how long without being used;
    lane_hours, lane_idle_hours: the same for a lane's devices, which a heat under way outlasts.
    go_asks_minutes: elsewhere than on this computer the desk's page asks before a GO once it was untouched for so long; 0: never.
    backups: the second place that backups go to, such as a folder on a USB stick, every `backup_minutes`.
    connections, streams: how many may be open at once, in all and for each address, this computer's own apart. pages_per_second:
    how fast an address without a session is served. In a hall whose phones all come from one address raise these three.
    port_patience: for how many seconds a start tries for its ports, when a server before it is still letting them go.
    marks_per_second: how many are taken from one device for long, where something else than hands counts.
    """

    model_config = SettingsConfigDict(env_prefix="LANE_LEDGER_", frozen=True, extra="forbid", populate_by_name=True)

    data: Path = Path("data")
    host: str = "0.0.0.0"
    port: int = Field(default=DEFAULT_PORT, ge=0, le=65535)
    port_patience: float = Field(default=30, ge=0, le=600)
    https: bool = True
    https_port: int | None = Field(default=None, ge=0, le=65535)
    name: str = ""
    certificate_days: int = Field(default=30, ge=2, le=365)
    database_url: str = Field(default="", repr=False, validation_alias=AliasChoices("LANE_LEDGER_DATABASE_URL", "DATABASE_URL"))
    processes: int = Field(default=1, ge=1, le=64)
    desk_hours: float = Field(default=72, gt=0, le=24 * 365)
    desk_idle_hours: float = Field(default=12, gt=0, le=24 * 365)
    lane_hours: float = Field(default=14 * 24, gt=0, le=24 * 365)
    lane_idle_hours: float = Field(default=72, gt=0, le=24 * 365)
    go_asks_minutes: float = Field(default=3, ge=0, le=24 * 60)
    backups: Path | None = None
    backup_minutes: float = Field(default=5, ge=0.05, le=24 * 60)
    connections: int = Field(default=1000, ge=50, le=20_000)
    connections_per_address: int = Field(default=40, ge=8, le=20_000)
    streams: int = Field(default=150, ge=1, le=10_000)
    streams_per_address: int = Field(default=4, ge=1, le=10_000)
    pages_per_second: float = Field(default=10, ge=1, le=10_000)
    marks_per_second: float | None = Field(default=None, ge=1, le=1_000_000)
    open_browser: bool = True
    demo: bool = False

    @field_validator("name")
    @classmethod
    def _fixed_host(cls, name: str) -> str:
        lower = name.strip().lower().rstrip(".")
        if lower and not (is_local_name(lower) or in_private_range(lower)):
            raise ValueError("a name must end in .local or .home.arpa; or give a private address such as 192.168.1.10")
        return lower

    @field_validator("data", "backups")
    @classmethod
    def _can_be_told(cls, folder: Path | None) -> Path | None:
        try:
            str(folder.absolute() if folder else "").encode()
        except UnicodeEncodeError:
            raise ValueError(
                "its name, or that of a folder above it, has letters that this system's encoding can't read"
            ) from None
        return folder

    @property
    def on_server(self) -> bool:
        """Whether everything is kept in a database server, and not in a file of the data folder."""
        return bool(self.database_url) and not self.database_url.startswith("sqlite")

    def database(self) -> str:
        """The URL of the database: as given, or a SQLite file in the data directory."""
        return self.database_url or f"sqlite:///{self.store_file.absolute().as_posix()}"

    @property
    def store_file(self) -> Path:
        """The SQLite file in the data directory."""
        return self.data / "lane-ledger.sqlite3"

    @property
    def speaks_https(self) -> bool:
        """Whether there is anybody to speak HTTPS to: this computer alone trusts itself over plain HTTP."""
        return self.https and self.to_the_hall

    @property
    def to_the_hall(self) -> bool:
        """Whether other computers are let in at all."""
        return self.host not in LOOPBACK_HOSTS

    def session_ms(self, role: str) -> tuple[int, int]:
        """How long a session of a role lasts, and how long unused, in milliseconds."""
        desk = role in ("desk", "review")
        whole, idle = (self.desk_hours, self.desk_idle_hours) if desk else (self.lane_hours, self.lane_idle_hours)
        return round(whole * 3_600_000), round(idle * 3_600_000)

    def secure_port(self, port: int) -> int:
        """The port for HTTPS, if `port` is the one for plain HTTP; 0 means any free one."""
        if self.https_port is not None:
            return self.https_port
        return 0 if self.port == 0 else port + 1 if port < 65535 else port - 1
