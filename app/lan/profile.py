"""The configuration profile by which an iPad or iPhone takes our authority's certificate, and lets go of it by itself."""

import plistlib
from uuid import NAMESPACE_URL, uuid5

from app.lan.certificates import About

ROOM = "org.lane-ledger"
WORDS = (
    "Lets this device recognise the laptop that runs the competition. It can vouch for addresses on a local network and for "
    "nothing on the internet, and it expires by itself on the date below."
)


def profile(about: About, authority_der: bytes) -> bytes:
    """The profile as an XML property list. The same authority gives the same one, so a second install replaces the first."""
    payload = {
        "PayloadType": "com.apple.security.root",
        "PayloadVersion": 1,
        "PayloadIdentifier": f"{ROOM}.{about.fingerprint[:16]}.authority",
        "PayloadUUID": _uuid(about, "authority"),
        "PayloadDisplayName": about.title,
        "PayloadCertificateFileName": "lane-ledger.crt",
        "PayloadContent": authority_der,
    }
    whole = {
        "PayloadType": "Configuration",
        "PayloadVersion": 1,
        "PayloadIdentifier": f"{ROOM}.{about.fingerprint[:16]}",
        "PayloadUUID": _uuid(about, "profile"),
        "PayloadDisplayName": about.title,
        "PayloadDescription": WORDS,
        "PayloadOrganization": "Lane Ledger on this competition's laptop",
        "PayloadRemovalDisallowed": False,
        "RemovalDate": about.ends.replace(tzinfo=None),
        "PayloadContent": [payload],
    }
    return plistlib.dumps(whole)


def _uuid(about: About, part: str) -> str:
    return str(uuid5(NAMESPACE_URL, f"{ROOM}/{about.fingerprint}/{part}")).upper()
