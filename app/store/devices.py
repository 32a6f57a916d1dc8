"""Paired devices, invitations to pair, and the settings of this installation. Secrets are kept as hashes only."""

from dataclasses import asdict, dataclass

from sqlalchemy import CursorResult, delete, update
from sqlmodel import Session, col, select

from app.store.rows import needed, put
from app.store.tables import DeviceRow, PairingRow, SettingRow


@dataclass(frozen=True, slots=True)
class Device:
    """A paired browser: the desk, a lane's tablet, a lifter's phone. Times are Unix time in milliseconds."""

    id: str
    role: str
    lane: int | None
    name: str
    token_hash: str
    paired_wall_ms: int
    revoked_wall_ms: int | None = None


@dataclass(frozen=True, slots=True)
class Pairing:
    """An invitation to pair, used once: by the token in its QR code or by its short code."""

    id: str
    role: str
    lane: int | None
    token_hash: str
    code_hash: str
    expires_wall_ms: int
    used_wall_ms: int | None = None


def devices(session: Session) -> tuple[Device, ...]:
    """All devices ever paired, oldest first, also those whose rights have ended."""
    rows = session.exec(select(DeviceRow).order_by(col(DeviceRow.paired_wall_ms), col(DeviceRow.id)))
    return tuple(_device(row) for row in rows)


def device(session: Session, key: str) -> Device | None:
    """One device by its id."""
    row = session.get(DeviceRow, key)
    return None if row is None else _device(row)


def device_by_token(session: Session, token_hash: str) -> Device | None:
    """The device that holds this token, if its rights have not ended."""
    wanted = select(DeviceRow).where(DeviceRow.token_hash == token_hash, col(DeviceRow.revoked_wall_ms).is_(None))
    row = session.exec(wanted).first()
    return None if row is None else _device(row)


def put_device(session: Session, device: Device) -> None:
    """Stores a device, new or changed."""
    put(session, DeviceRow(**asdict(device)))


def revoke_device(session: Session, key: str, wall_ms: int) -> None:
    """Ends a device's rights; the first end stands. Raises NotThere."""
    row = needed(session, DeviceRow, key, "device")
    if row.revoked_wall_ms is None:
        row.revoked_wall_ms = wall_ms
        session.flush()


def pairings(session: Session) -> tuple[Pairing, ...]:
    """All invitations that are kept, the soonest to expire first."""
    rows = session.exec(select(PairingRow).order_by(col(PairingRow.expires_wall_ms), col(PairingRow.id)))
    return tuple(_pairing(row) for row in rows)


def pairing_by_token(session: Session, token_hash: str) -> Pairing | None:
    """The invitation whose QR code carries this token, used or not."""
    row = session.exec(select(PairingRow).where(PairingRow.token_hash == token_hash)).first()
    return None if row is None else _pairing(row)


def pairings_by_code(session: Session, code_hash: str) -> tuple[Pairing, ...]:
    """The invitations with this short code, the newest first: a code may have been used before."""
    wanted = select(PairingRow).where(PairingRow.code_hash == code_hash).order_by(col(PairingRow.expires_wall_ms).desc())
    return tuple(_pairing(row) for row in session.exec(wanted))


def put_pairing(session: Session, pairing: Pairing) -> None:
    """Stores an invitation, new or changed."""
    put(session, PairingRow(**asdict(pairing)))


def use_pairing(session: Session, key: str, wall_ms: int) -> bool:
    """Uses an invitation up. False when it was used before, has expired, or is not there: of two who try, one succeeds."""
    open_still = (col(PairingRow.id) == key, col(PairingRow.used_wall_ms).is_(None), col(PairingRow.expires_wall_ms) > wall_ms)
    result = session.connection().execute(update(PairingRow).where(*open_still).values(used_wall_ms=wall_ms))
    return _changed(result) == 1


def forget_pairings(session: Session, expired_before_ms: int) -> int:
    """Removes invitations that expired before this time; returns how many."""
    old = delete(PairingRow).where(col(PairingRow.expires_wall_ms) < expired_before_ms)
    return _changed(session.connection().execute(old))


def setting(session: Session, name: str) -> str | None:
    """A named value of this installation."""
    row = session.get(SettingRow, name)
    return None if row is None else row.value


def put_setting(session: Session, name: str, value: str) -> None:
    """Keeps a named value."""
    put(session, SettingRow(name=name, value=value))


def delete_setting(session: Session, name: str) -> None:
    """Forgets a named value, if it is there."""
    session.connection().execute(delete(SettingRow).where(col(SettingRow.name) == name))


def _changed(result: CursorResult[object]) -> int:
    return result.rowcount


def _device(row: DeviceRow) -> Device:
    return Device(**row.model_dump())


def _pairing(row: PairingRow) -> Pairing:
    return Pairing(**row.model_dump())
