"""Paired devices, invitations to pair, and the settings of this installation. What others hold is kept as a hash only."""

import secrets
from collections.abc import Collection
from dataclasses import asdict, dataclass, replace
from typing import Any, Literal

from sqlalchemy import ColumnElement, CursorResult, delete, func, update
from sqlmodel import Session, col, or_, select

from app.store.gateway import put
from app.store.news import tell
from app.store.tables.main import DeviceRow, PairingRow, SettingRow

KEPT_MS = 24 * 3600 * 1000  # an invitation outlives its end by a day, in case the wall clock is set back
MOST_BEFORE = 30  # pairings that one browser speaks for; the oldest are let go of

# How a pairing ended. desk: it was sent away. replaced: its browser was paired anew. left: it left by itself. time: it had lasted
# its time. Nothing: it stands, or it ended under an older version, and nobody knows.
Ended = Literal["", "desk", "replaced", "left", "time"]
PROVES: frozenset[str] = frozenset({"replaced", "left", "time"})  # whose key still proves that a browser marked under it


@dataclass(frozen=True, slots=True)
class Former:
    """A pairing of before that a device speaks for: by proof of its key, or by the desk's yes. Its seat stays what it was.

    until_wall_ms: it is of nothing that began later. entries: for whom it stood, see Device.
    """

    id: str
    role: str
    lane: int | None
    sheet: str
    until_wall_ms: int
    entries: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Device:
    """A paired browser: the desk, a lane's tablet, a lifter's phone. Times are Unix time in milliseconds.

    sheet: which counter of its lane a tablet is. address, browser, seen_wall_ms: from where it was last heard of, its kind, when.
    ended: how its pairing ended. before: the pairings that it speaks for, the newest first. entries: the ids of those for whom it
    stands, where its place is theirs.
    """

    id: str
    role: str
    lane: int | None
    name: str
    token_hash: str
    paired_wall_ms: int
    revoked_wall_ms: int | None = None
    sheet: str = "lane"
    address: str = ""
    browser: str = ""
    seen_wall_ms: int | None = None
    ended: str = ""
    before: tuple[Former, ...] = ()
    entries: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Invitation:
    """An invitation to pair, taken once: by the token in its QR code or by its short code.

    sure: whoever takes it is let in at once. Otherwise `word` is what a browser shows that has asked, until the desk answers;
    asked_hash: of the token that will be its session; gives_up: the device that this browser was before. entries: for whom the
    device will stand; name: what it is called then, where the desk has said so.
    """

    id: str
    role: str
    lane: int | None
    token_hash: str
    code_hash: str
    expires_wall_ms: int
    used_wall_ms: int | None = None
    sheet: str = "lane"
    sure: bool = False
    word: str = ""
    asked_hash: str = ""
    address: str = ""
    browser: str = ""
    gives_up: str = ""
    answered_wall_ms: int | None = None
    entries: tuple[str, ...] = ()
    name: str = ""


def welcome_devices(session: Session) -> tuple[Device, ...]:
    """The devices whose pairing stands, oldest first."""
    standing = select(DeviceRow).where(col(DeviceRow.revoked_wall_ms).is_(None))
    rows = session.exec(standing.order_by(col(DeviceRow.paired_wall_ms), col(DeviceRow.id)))
    return tuple(_device(row) for row in rows)


def device_of_token(session: Session, token_hash: str) -> Device | None:
    """The device that holds this token, if its pairing stands."""
    wanted = select(DeviceRow).where(DeviceRow.token_hash == token_hash, col(DeviceRow.revoked_wall_ms).is_(None))
    row = session.exec(wanted).first()
    return None if row is None else _device(row)


def device_proved(session: Session, token_hash: str) -> Device | None:
    """The device whose key this is, if its pairing stands or has ended without the desk's doing: who shows it marked under it."""
    row = session.exec(select(DeviceRow).where(DeviceRow.token_hash == token_hash)).first()
    return None if row is None or not _proves(row) else _device(row)


def devices_among(session: Session, keys: Collection[str]) -> dict[str, Device]:
    """The devices of some ids, whether their pairing stands or not."""
    return {row.id: _device(row) for row in session.exec(select(DeviceRow).where(col(DeviceRow.id).in_(keys)))}


def put_device(session: Session, device: Device) -> None:
    """Stores a device, new or changed."""
    put(session, DeviceRow(**asdict(device)))


def rename_device(session: Session, key: str, name: str) -> bool:
    """Gives a device a name. False when its pairing does not stand."""
    row = _standing(session, key)
    if row is None:
        return False
    row.name = name
    tell(session, "renamed", [key, name])
    return True


def revoke_device(session: Session, key: str, wall_ms: int, sentence: str = "", ended: Ended = "desk") -> Device | None:
    """Ends a device's pairing; `sentence` is shown on its screens. Returns the device, or None when its pairing did not stand."""
    row = _standing(session, key)
    if row is None:
        return None
    row.revoked_wall_ms, row.ended = wall_ms, ended
    tell(session, "gone", [key, sentence])
    return _device(row)


def succeed(session: Session, device: Device, key: str, wall_ms: int, sentence: str) -> Device:
    """A device of a browser that has shown the key of the pairing `key` ("" for none): that one ends, and the device speaks for
    it and for those that it spoke for; not if the desk has ended it meanwhile."""
    row = session.get(DeviceRow, key)
    if row is None or not _proves(row):
        return device
    was = _device(row)
    revoke_device(session, key, wall_ms, sentence, "replaced")
    until = wall_ms if was.revoked_wall_ms is None else was.revoked_wall_ms
    former = Former(was.id, was.role, was.lane, was.sheet, until, was.entries)
    return replace(device, before=(former, *was.before)[:MOST_BEFORE])


def vouch(session: Session, key: str, former: Former) -> bool:
    """A device speaks for a pairing of before, on the desk's word. False when its own pairing does not stand."""
    row = _standing(session, key)
    if row is None:
        return False
    others = [one for one in row.before if one["id"] != former.id]
    row.before = [asdict(former), *others][:MOST_BEFORE]
    tell(session, "vouched", [key])
    return True


def stand_for(session: Session, key: str, entries: Collection[str]) -> bool:
    """A device stands for these entries from now on, and for no others. False when its pairing does not stand."""
    row = _standing(session, key)
    if row is None:
        return False
    row.entries = list(entries)
    tell(session, "vouched", [key])
    return True


def put_invitation(session: Session, invitation: Invitation) -> None:
    """Stores an invitation, and forgets those that expired more than a day earlier."""
    session.connection().execute(delete(PairingRow).where(_expired(invitation.expires_wall_ms - KEPT_MS)))
    put(session, PairingRow(**asdict(invitation)))


def find_invitation(session: Session, secret_hash: str, wall_ms: int) -> Invitation | None:
    """The open invitation whose token or short code has this hash."""
    secret = or_(col(PairingRow.token_hash) == secret_hash, col(PairingRow.code_hash) == secret_hash)
    rows = session.exec(select(PairingRow).where(secret, *_open(wall_ms)).order_by(col(PairingRow.expires_wall_ms).desc()))
    row = rows.first()
    return None if row is None else _invitation(row)


def newest_invitation(session: Session, wall_ms: int) -> int | None:
    """When the open invitation expires that was made last; None where none is open."""
    return session.exec(select(func.max(col(PairingRow.expires_wall_ms))).where(*_open(wall_ms))).one()


def take_invitation(session: Session, key: str, device: Device, wall_ms: int) -> bool:
    """Uses an invitation up and stores the device that it makes. False when it is not open: of two who try, one succeeds."""
    taking = update(PairingRow).where(col(PairingRow.id) == key, *_open(wall_ms)).values(used_wall_ms=wall_ms)
    if _changed(session.connection().execute(taking)) != 1:
        return False
    put_device(session, device)
    return True


def ask_in(session: Session, key: str, asked: Invitation, wall_ms: int) -> bool:
    """Uses an invitation up by asking to be let in. False when it is not open: of two who try, one succeeds."""
    said = {"used_wall_ms": wall_ms, "word": asked.word, "asked_hash": asked.asked_hash}
    said |= {"address": asked.address, "browser": asked.browser, "gives_up": asked.gives_up}
    asking = update(PairingRow).where(col(PairingRow.id) == key, *_open(wall_ms)).values(**said)
    return _changed(session.connection().execute(asking)) == 1


def asking(session: Session, since_wall_ms: int) -> tuple[Invitation, ...]:
    """Who has asked to be let in since a moment and has no answer yet, the first to ask first."""
    waiting = select(PairingRow).where(
        col(PairingRow.word) != "", col(PairingRow.used_wall_ms) >= since_wall_ms, col(PairingRow.answered_wall_ms).is_(None)
    )
    return tuple(_invitation(row) for row in session.exec(waiting.order_by(col(PairingRow.used_wall_ms))))


def asked_by(session: Session, asked_hash: str) -> Invitation | None:
    """The invitation by which a browser has asked to be let in."""
    row = session.exec(select(PairingRow).where(PairingRow.asked_hash == asked_hash, PairingRow.word != "")).first()
    return None if row is None else _invitation(row)


def answer_asking(session: Session, key: str, since_wall_ms: int, wall_ms: int) -> Invitation | None:
    """Notes that whoever asked by an invitation is answered; returns it, or None when nobody waits there (any more)."""
    answering = update(PairingRow).where(
        col(PairingRow.id) == key,
        col(PairingRow.word) != "",
        col(PairingRow.used_wall_ms) >= since_wall_ms,
        col(PairingRow.answered_wall_ms).is_(None),
    )
    if _changed(session.connection().execute(answering.values(answered_wall_ms=wall_ms))) != 1:
        return None
    row = session.get(PairingRow, key, populate_existing=True)
    return None if row is None else _invitation(row)


def see_device(session: Session, key: str, wall_ms: int, address: str) -> None:
    """Keeps when and from where a device was last heard of."""
    row = _standing(session, key)
    if row is not None:
        row.seen_wall_ms, row.address = wall_ms, address or row.address


def revoke_role(session: Session, role: str, but: str, wall_ms: int, sentence: str) -> tuple[str, ...]:
    """Ends all pairings of a role but one device's; `sentence` is shown on their screens. Returns whose."""
    standing = select(DeviceRow).where(DeviceRow.role == role, col(DeviceRow.revoked_wall_ms).is_(None), DeviceRow.id != but)
    rows = session.exec(standing).all()
    for row in rows:
        revoke_device(session, row.id, wall_ms, sentence)
    return tuple(row.id for row in rows)


def get_setting(session: Session, name: str) -> str | None:
    """A named value of this installation."""
    row = session.get(SettingRow, name)
    return None if row is None else row.value


def put_setting(session: Session, name: str, value: str) -> None:
    """Keeps a named value."""
    put(session, SettingRow(name=name, value=value))


def put_setting_once(session: Session, name: str, value: str) -> bool:
    """Keeps a named value unless there is one already; of two who try, one succeeds."""
    if session.get(SettingRow, name) is not None:
        return False
    put_setting(session, name, value)
    return True


def own_secret(session: Session, name: str) -> str:
    """A named secret of this data folder, made when it is first asked for."""
    put_setting_once(session, name, secrets.token_hex(32))
    return get_setting(session, name) or ""


def delete_setting(session: Session, name: str) -> None:
    """Forgets a named value, if it is there."""
    session.connection().execute(delete(SettingRow).where(col(SettingRow.name) == name))


def _expired(wall_ms: int) -> ColumnElement[bool]:
    return col(PairingRow.expires_wall_ms) <= wall_ms


def _open(wall_ms: int) -> tuple[ColumnElement[bool], ...]:
    return col(PairingRow.used_wall_ms).is_(None), col(PairingRow.expires_wall_ms) > wall_ms


def _standing(session: Session, key: str) -> DeviceRow | None:
    row = session.get(DeviceRow, key)
    return row if row is not None and row.revoked_wall_ms is None else None


def _proves(row: DeviceRow) -> bool:
    return row.revoked_wall_ms is None or row.ended in PROVES


def _changed(result: CursorResult[object]) -> int:
    return result.rowcount


def _device(row: DeviceRow) -> Device:
    plain = row.model_dump()
    return Device(**plain | {"before": tuple(_former(one) for one in plain["before"]), "entries": tuple(plain["entries"])})


def _former(plain: dict[str, Any]) -> Former:
    return Former(**plain | {"entries": tuple(plain.get("entries", ()))})  # one of an older version stood for nobody


def _invitation(row: PairingRow) -> Invitation:
    plain = row.model_dump()
    return Invitation(**plain | {"entries": tuple(plain["entries"])})
