"""The page of trust and its files, and what a second door changes for sessions and pairing."""

import html
import re
from pathlib import Path

import pytest

from app.lan.addresses import lan_addresses
from app.lan.secure import Secure
from tests.builders.halls import LAPTOP, ON_THE_LAN, House
from tests.doors.test_pairing_page import PAGE

needs_a_network = pytest.mark.skipif(not lan_addresses(), reason="this machine has no network")
IPAD = "Mozilla/5.0 (iPad; CPU OS 17_4 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.4 Safari/604.1"
ANDROID = "Mozilla/5.0 (Linux; Android 14; Tablet) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0 Safari/537.36"


@pytest.fixture
def secure(house: House, tmp_path: Path) -> Secure:
    """The house with a second door."""
    made = Secure(tmp_path / "certificates", 30, "", 80, 8766)
    house.app.state.secure = made
    return made


def test_without_https_the_page_of_trust_leads_to_pairing(house: House) -> None:
    answer = house.browser().get("/trust")
    assert (answer.status_code, answer.headers["location"]) == (303, "/pair")
    missing = house.browser().get("/trust/lane-ledger.crt")
    assert missing.status_code == 404 and "HTTPS switched off" in missing.json()["sentence"]


@needs_a_network
def test_the_page_asks_the_fixed_name_first_and_may_ask_nobody_else(house: House, secure: Secure) -> None:
    host = lan_addresses()[0]
    page = house.browser(ON_THE_LAN).get("/trust", headers={"host": host, "accept": "text/html"})
    assert f'data-origins="https://lane-ledger.local:8766 https://{host}:8766"' in page.text
    asked = next(part for part in page.headers["content-security-policy"].split("; ") if part.startswith("connect-src"))
    assert asked == f"connect-src 'self' ws://{host} wss://{host} https://lane-ledger.local:8766 https://{host}:8766"


@pytest.mark.parametrize(
    ("system", "device"), [(IPAD, "apple"), (ANDROID, "android"), ("", "linux"), ("Windows NT 10.0", "windows")]
)
def test_the_steps_of_the_device_that_asks_are_open(house: House, secure: Secure, system: str, device: str) -> None:
    page = house.browser().get("/trust", headers={"user-agent": system}).text
    assert page.count('<details class="device-steps"') == 6
    assert [part.split('"')[0] for part in page.split('data-device="')[1:] if part.split(">")[0].endswith("open")] == [device]


def test_the_page_speaks_the_language_of_its_device(house: House, secure: Secure) -> None:
    browser = house.browser()
    browser.cookies.set("ll_language", "de")
    page = html.unescape(browser.get("/trust", headers={"user-agent": IPAD}).text)
    assert '<html lang="de"' in page and "Dieses Gerät soll der Leitung vertrauen" in page
    assert f"Zertifikatsvertrauenseinstellungen“. „{secure.about.title}“ einschalten" in page
    assert re.search(r"läuft am \d+\. (?:Jan|Feb|Mär|Apr|Mai|Jun|Jul|Aug|Sep|Okt|Nov|Dez)\w* \d{4} ab", page)


def test_the_page_names_the_certificate_its_end_and_its_fingerprint(house: House, secure: Secure) -> None:
    page = html.unescape(house.browser().get("/trust").text)
    assert f"“{secure.about.title}”" in page
    assert page.replace("</span> <span>", "").count(secure.about.fingerprint.upper()) == 1
    assert (
        secure.about.fingerprint.upper()[:4]
        in house.desk().post("/desk/tablets", data={"role": "lane", "lane": "1"}, headers=PAGE).text
    )


def test_over_https_a_session_has_a_name_that_plain_http_can_neither_read_nor_overwrite(house: House, secure: Secure) -> None:
    browser = house.browser(ON_THE_LAN)
    browser.base_url = "https://localhost"
    answer = browser.post("/pair", json={"token": house.invitation(1).token}, headers={"origin": "https://localhost"})
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith("__Host-ll_device=")
    assert all(part in cookie for part in ("; Secure", "; HttpOnly", "; Path=/", "; SameSite=lax")) and "Domain" not in cookie
    assert browser.get("/lane/packet").status_code == 200
    token = cookie.partition("=")[2].partition(";")[0]
    thief = house.browser(ON_THE_LAN)
    thief.cookies.set("__Host-ll_device", token)
    assert thief.get("/lane/packet").status_code == 401, "over plain HTTP that name means nothing"


@needs_a_network
def test_a_page_of_one_door_writes_nothing_through_the_other(house: House, secure: Secure) -> None:
    host = lan_addresses()[0]
    answer = house.tablet(1).post("/marks", json={"marks": []}, headers={"host": f"{host}:8766", "origin": f"http://{host}"})
    assert answer.status_code == 403


@needs_a_network
def test_an_invitation_leads_to_the_plain_page_even_from_a_secure_desk(house: House, secure: Secure) -> None:
    desk = house.desk()
    page = desk.post("/desk/tablets", data={"role": "lane", "lane": "1"}, headers=PAGE).text
    assert f"http://{lan_addresses()[0]}:80/trust</strong>" in page and "the first time, it is shown how to trust" in page.lower()


@needs_a_network
def test_the_pairing_page_of_a_plain_connection_names_the_better_way(house: House, secure: Secure) -> None:
    host = lan_addresses()[0]
    plain = house.browser(ON_THE_LAN).get("/pair", headers={"host": host, **PAGE})
    assert 'href="/trust"' in plain.text
    assert 'href="/trust"' not in house.browser(LAPTOP).get("/pair", headers=PAGE).text, "the laptop needs none"


def test_only_a_screen_over_https_is_told_the_plain_door(house: House, secure: Secure) -> None:
    browser = house.browser()
    assert 'data-plain-port=""' in browser.get("/lane").text
    browser.base_url = "https://localhost:8766"
    page = browser.get("/lane")
    assert 'data-plain-port="80"' in page.text
    assert "https://localhost:80" in page.headers["content-security-policy"]
