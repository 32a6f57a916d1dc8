"""The hall: everything a command needs, wired together once by the server and handed to every command first."""

from dataclasses import dataclass, field
from typing import Any

from app.live.allowance import Allowances
from app.live.awake import Awake
from app.live.backup_state import BackupState, Packing
from app.live.hub import Hub
from app.live.kept import Kept
from app.live.kept_views import KeptViews
from app.live.presence import Presence
from app.live.projection import Projection
from app.live.reached import Reached
from app.live.relay import Relay
from app.live.servertime import ServerTime
from app.planning.planner import Planner
from app.settings import Settings
from app.store.database import Database
from app.store.language import HallLanguage
from app.store.ledger import Ledger


@dataclass(frozen=True, slots=True)
class Hall:
    """The parts of one running competition. `demo_password`: the desk's, where it is a demo; made at each start, kept nowhere.
    `kept`: what is dear to make, each by its name. `looked`: what was found on sheets that are as they were. `language`: the
    competition's, as last read."""

    settings: Settings
    database: Database
    ledger: Ledger
    projection: Projection
    hub: Hub
    presence: Presence
    time: ServerTime
    relay: Relay
    allowances: Allowances
    backups: BackupState = field(default_factory=BackupState)
    planner: Planner = field(default_factory=Planner)
    reached: Reached = field(default_factory=Reached)
    awake: Awake = field(default_factory=Awake)
    kept: dict[str, Kept[Any]] = field(default_factory=dict)
    looked: KeptViews = field(default_factory=KeptViews)
    packing: Packing = field(default_factory=Packing)
    demo_password: str = ""
    language: HallLanguage = field(default_factory=HallLanguage)
