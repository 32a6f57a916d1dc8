"""Devices and invitations: an invitation is taken once, a pairing ends once, secrets are found by their hash."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from app.store import devices
from app.store.database import Database
from app.store.devices import Device, Invitation

LANE_3 = Device("dev_1", "lane", 3, "Lane 3 tablet", "hash-of-token", 100)
OPEN = Invitation("inv_1", "lane", 3, "hash-of-qr", "hash-of-code", expires_wall_ms=1_000)


def test_a_device_is_found_by_its_token_until_its_pairing_ends(database: Database) -> None:
    database.write(lambda s: devices.put_device(s, LANE_3))
    assert database.read(lambda s: devices.device_of_token(s, "hash-of-token")) == LANE_3
    assert database.read(lambda s: devices.device_of_token(s, "another")) is None
    ended = database.write(lambda s: devices.revoke_device(s, "dev_1", 500))
    assert ended is not None and ended.revoked_wall_ms == 500
    assert database.read(lambda s: devices.device_of_token(s, "hash-of-token")) is None
    assert database.read(devices.welcome_devices) == ()


def test_a_pairing_ends_once_and_an_ended_one_is_not_renamed(database: Database) -> None:
    database.write(lambda s: devices.put_device(s, LANE_3))
    assert database.write(lambda s: devices.rename_device(s, "dev_1", "Window side")) is True
    assert [device.name for device in database.read(devices.welcome_devices)] == ["Window side"]
    database.write(lambda s: devices.revoke_device(s, "dev_1", 500))
    assert database.write(lambda s: devices.revoke_device(s, "dev_1", 600)) is None
    assert database.write(lambda s: devices.rename_device(s, "dev_1", "Ghost")) is False


@pytest.mark.parametrize("secret", ["hash-of-qr", "hash-of-code"])
def test_an_open_invitation_is_found_by_either_secret(database: Database, secret: str) -> None:
    database.write(lambda s: devices.put_invitation(s, OPEN))
    assert database.read(lambda s: devices.find_invitation(s, secret, 999)) == OPEN
    assert database.read(lambda s: devices.find_invitation(s, secret, 1_000)) is None


def test_of_twenty_who_take_one_invitation_one_succeeds(database: Database) -> None:
    database.write(lambda s: devices.put_invitation(s, OPEN))
    takers = [Device(f"dev_{n}", "lane", 3, "", f"hash-{n}", n) for n in range(20)]
    with ThreadPoolExecutor(20) as pool:
        took = list(pool.map(lambda who: database.write(lambda s: devices.take_invitation(s, "inv_1", who, 500)), takers))
    assert sum(took) == 1
    assert [device.id for device in database.read(devices.welcome_devices)] == [f"dev_{took.index(True)}"]
    assert database.read(lambda s: devices.find_invitation(s, "hash-of-qr", 500)) is None


def test_an_expired_invitation_makes_no_device(database: Database) -> None:
    database.write(lambda s: devices.put_invitation(s, OPEN))
    assert database.write(lambda s: devices.take_invitation(s, "inv_1", LANE_3, 1_000)) is False
    assert database.read(devices.welcome_devices) == ()


def test_long_expired_invitations_are_forgotten(database: Database) -> None:
    day = 24 * 3600 * 1000
    later = Invitation("inv_2", "lifter", 1, "qr-2", "code-2", expires_wall_ms=OPEN.expires_wall_ms + day)
    database.write(lambda s: devices.put_invitation(s, OPEN))
    database.write(lambda s: devices.put_invitation(s, later))
    kept = database.read(lambda s: s.connection().exec_driver_sql("SELECT id FROM pairing").scalars().all())
    assert kept == ["inv_2"]


def test_a_setting_is_kept_changed_and_forgotten(database: Database) -> None:
    assert database.write(lambda s: devices.put_setting_once(s, "tone", "low")) is True
    assert database.write(lambda s: devices.put_setting_once(s, "tone", "high")) is False
    assert database.read(lambda s: devices.get_setting(s, "tone")) == "low"
    database.write(lambda s: devices.put_setting(s, "tone", "off"))
    assert database.read(lambda s: devices.get_setting(s, "tone")) == "off"
    database.write(lambda s: devices.delete_setting(s, "tone"))
    assert database.read(lambda s: devices.get_setting(s, "tone")) is None
