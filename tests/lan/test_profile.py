"""The profile for iPads: a property list that names our authority, takes it off again by itself, and replaces itself."""

import plistlib
from datetime import UTC, datetime
from pathlib import Path

from app.lan.certificates import Certificates
from app.lan.profile import profile

NOW = datetime(2027, 3, 6, 9, 0, tzinfo=UTC)


def test_a_profile_carries_the_authority_and_ends_with_it(tmp_path: Path) -> None:
    found = Certificates(tmp_path, NOW, 30)
    read = plistlib.loads(profile(found.about, found.authority_der()))
    (payload,) = read["PayloadContent"]
    assert (read["PayloadType"], payload["PayloadType"]) == ("Configuration", "com.apple.security.root")
    assert payload["PayloadContent"] == found.authority_der()
    assert read["PayloadDisplayName"] == found.about.title and read["PayloadRemovalDisallowed"] is False
    assert read["RemovalDate"] == found.about.ends.replace(tzinfo=None)


def test_the_same_authority_gives_the_same_profile_and_another_gives_another(tmp_path: Path) -> None:
    found, other = Certificates(tmp_path / "one", NOW, 30), Certificates(tmp_path / "two", NOW, 30)
    assert profile(found.about, found.authority_der()) == profile(found.about, found.authority_der())
    mine, theirs = (plistlib.loads(profile(one.about, one.authority_der()))["PayloadUUID"] for one in (found, other))
    assert mine != theirs
