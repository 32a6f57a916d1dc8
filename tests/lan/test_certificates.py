"""The folder of certificates: kept from start to start, made anew when it must be, whatever the clock shows."""

import asyncio
import os
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from app.lan import certificates
from app.lan.certificates import Certificates, NoCertificate
from app.lan.secure import Secure
from tests.lan.handshakes import refusal

NOW = datetime(2027, 3, 6, 9, 0, tzinfo=UTC)
ADDRESSES = ["127.0.0.1", "192.168.1.10"]


def opened(folder: Path, now: datetime = NOW, name: str = "", days: int = 30) -> Certificates:
    found = Certificates(folder / "certificates", now, days, name)
    found.cover(ADDRESSES)
    return found


def test_the_next_start_finds_the_same_authority_and_writes_nothing(tmp_path: Path) -> None:
    first = opened(tmp_path)
    before = {path: path.stat().st_mtime_ns for path in first.room.iterdir()}
    second = opened(tmp_path, NOW + timedelta(days=3))
    assert second.about == first.about and second.trouble == ""
    assert {path: path.stat().st_mtime_ns for path in first.room.iterdir()} == before


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps a folder of the user's for the user by other means")
def test_only_the_owner_can_read_the_keys(tmp_path: Path) -> None:
    room = opened(tmp_path).room
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in (room, room / "authority.key", room / "server.pem")}
    assert modes == {room.name: 0o700, "authority.key": 0o600, "server.pem": 0o600}
    (room / "authority.key").chmod(0o644)  # as a copied folder may have it
    opened(tmp_path)
    assert stat.S_IMODE((room / "authority.key").stat().st_mode) == 0o600


def test_a_new_address_gets_a_new_certificate_from_the_same_authority(tmp_path: Path) -> None:
    found = opened(tmp_path)
    assert not found.cover(ADDRESSES)
    assert found.cover([*ADDRESSES, "10.20.30.40"])
    assert found.about.fingerprint == opened(tmp_path).about.fingerprint
    assert {"192.168.1.10", "10.20.30.40"} <= set(found.about.addresses), "the old one may come back with the next cable"


def test_an_address_that_anybody_in_the_internet_could_have_is_left_out(tmp_path: Path) -> None:
    found = opened(tmp_path)
    found.cover(["8.8.8.8", "10.1.1.1"])
    assert "8.8.8.8" not in found.about.addresses and "10.1.1.1" in found.about.addresses


def test_an_authority_that_is_about_to_end_is_followed_by_another(tmp_path: Path) -> None:
    first = opened(tmp_path)
    assert opened(tmp_path, NOW + timedelta(days=28)).about == first.about
    assert opened(tmp_path, NOW + timedelta(days=29, hours=12)).about.fingerprint != first.about.fingerprint


def test_a_clock_stepped_far_ahead_and_back_finds_the_authority_that_tablets_trust(tmp_path: Path) -> None:
    first = opened(tmp_path)
    astray = opened(tmp_path, NOW + timedelta(days=400))
    assert astray.about.fingerprint != first.about.fingerprint
    assert opened(tmp_path, NOW + timedelta(hours=1)).about == first.about


def test_a_clock_stepped_back_keeps_the_authority_and_says_so(tmp_path: Path) -> None:
    first = opened(tmp_path)
    back = opened(tmp_path, NOW - timedelta(days=900))
    assert back.about == first.about
    assert back.trouble.startswith("This computer's clock shows 17 September 2024, before its certificate")
    assert back.cover(["10.9.9.9"]) and back.about.ends == first.about.ends, "a new address is served all the same"


def test_a_clock_that_was_never_set_makes_no_certificate(tmp_path: Path) -> None:
    with pytest.raises(NoCertificate, match="Set the clock and start again"):
        opened(tmp_path, datetime(2000, 1, 1, tzinfo=UTC))


def test_half_an_authority_left_by_a_power_cut_is_passed_over(tmp_path: Path) -> None:
    half = tmp_path / "certificates" / "01"
    half.mkdir(parents=True)
    (half / "authority.key").write_bytes(b"-----BEGIN")
    found = opened(tmp_path)
    assert found.room.name == "02"
    assert opened(tmp_path).about == found.about


def test_a_key_that_is_spoiled_is_told(tmp_path: Path) -> None:
    found = opened(tmp_path)
    (found.room / "authority.key").write_bytes(b"spoiled")
    with pytest.raises(NoCertificate, match="Move that folder away"):
        found.cover(["10.5.5.5"])


def test_a_name_that_the_organiser_chooses_is_vouched_for(tmp_path: Path) -> None:
    plain = opened(tmp_path)
    named = opened(tmp_path, name="score.home.arpa")
    assert named.about.fingerprint != plain.about.fingerprint, "the old authority can't vouch for it"
    assert "score.home.arpa" in named.about.names and "score.home.arpa" not in plain.about.names
    assert opened(tmp_path, name="score.home.arpa").about == named.about


def test_a_running_server_follows_the_laptop_to_another_address(tmp_path: Path) -> None:
    secure = Secure(tmp_path / "certificates", 30, "", 8765, 8766)
    authority = (next((tmp_path / "certificates").glob("01")) / "authority.crt").read_text()
    assert refusal(authority, secure.context, "lane-ledger.local") == ""
    assert refusal(authority, secure.context, "10.77.0.5") != ""
    assert secure.follow(["10.77.0.5"])
    assert refusal(authority, secure.context, "10.77.0.5") == ""
    assert secure.origin(secure.name) == "https://lane-ledger.local:8766"


def test_a_start_with_certificates_loads_nothing_that_makes_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = opened(tmp_path)
    monkeypatch.setattr(certificates, "_issue", None)
    monkeypatch.setattr(certificates, "_make", None)
    assert opened(tmp_path).about == first.about


def test_a_laptop_that_joins_another_network_is_followed_by_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    found = ["192.168.1.10"]
    monkeypatch.setattr("app.lan.secure.LOOK_S", 0.01)
    monkeypatch.setattr("app.lan.secure.lan_addresses", lambda: list(found))
    monkeypatch.setattr("app.lan.secure.certain_addresses", lambda: ["127.0.0.1", *found])
    secure = Secure(tmp_path / "certificates", 30, "192.168.1.10", 8765, 8766)
    assert secure.covers("192.168.1.10") and not secure.covers("10.44.0.2")

    async def move() -> None:
        watching = asyncio.create_task(secure.watch())
        await asyncio.sleep(0.05)
        found[:] = ["10.44.0.2"]
        for _ in range(200):
            await asyncio.sleep(0.02)
            if secure.covers("10.44.0.2"):
                break
        watching.cancel()
        await asyncio.wait([watching])

    asyncio.run(move())
    assert secure.covers("10.44.0.2") and secure.covers("192.168.1.10")
    assert secure.name == "192.168.1.10", "tablets keep the host that they were paired under"
