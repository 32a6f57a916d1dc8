"""Sending what a gym hands in to headquarters' server, when somebody presses the button: binding, digest, file, films.

Every receipt that comes back is checked and kept before the next thing goes, so that what was reached stays reached when the line
breaks. What is not a receipt of this kit's headquarters is kept nowhere, whatever the server says.
"""

import json
import re
from collections.abc import Sequence
from hashlib import sha256
from http.client import HTTPException
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.request import HTTPRedirectHandler, Request, build_opener

from app.round.gym.handing_in import films_of, pieces_of, promise_of
from app.round.gym.kept import Kept, keep_receipt, made_content, made_here, read_receipt
from app.round.gym.opened import binding_here, gym_here, kept_kit
from app.round.room_files import keep_in_room
from app.rules.round.kit import ADDRESS, BadKit
from app.store.rounds import ROOM

ADDRESS_FILE, BOUND = "address.txt", "bound.txt"
SHORT_S, FILE_S = 15, 300  # how long an answer is waited for: of half a kB, and of a file
MOST_ANSWER = 4 * 1024 * 1024  # bytes
NOT_AN_ADDRESS = (
    "The address of headquarters' server begins with https:// and has nothing behind the name, such as https://round.example."
)
NOT_AN_ANSWER = "What answers at this address is not headquarters' server."


class NotReached(BadKit):
    """Raised where headquarters' server was not reached, or refused; its text is the sentence to show."""


class _Stays(HTTPRedirectHandler):
    """Follows nobody elsewhere: what is signed goes where it was meant to."""

    def redirect_request(self, *_: Any) -> None:
        """An answer that leads elsewhere stays an answer."""


def asked(method: str, address: str, body: bytes | None, seconds: int) -> Any:
    """What a server answers, as JSON. Raises NotReached."""
    headers = {"Accept": "application/json", "Content-Type": "application/octet-stream"}
    try:
        with build_opener(_Stays).open(Request(address, body, headers, method=method), timeout=seconds) as answer:
            return json.loads(answer.read(MOST_ANSWER))
    except HTTPError as wrong:
        with wrong:
            raise NotReached(_refused(wrong)) from None
    except OSError as wrong:
        why = getattr(wrong, "reason", wrong)
        why = getattr(why, "strerror", None) or why
        raise NotReached(f"Headquarters' server can't be reached: {why}. Save the file, or have the letters read out.") from None
    except (HTTPException, ValueError):
        raise NotReached(NOT_AN_ANSWER) from None


def _refused(wrong: HTTPError) -> str:
    if 300 <= wrong.code < 400:
        return (
            f"This address leads elsewhere, to {wrong.headers.get('Location', 'another')}. Type that in if it is headquarters'."
        )
    try:
        return f"Headquarters' server says: {json.loads(wrong.read(MOST_ANSWER))['sentence']}"
    except (ValueError, KeyError, TypeError, OSError):
        return NOT_AN_ANSWER


def kept_address(data: Path) -> str:
    """Where headquarters' server answers, as it was typed, else as the kit says; empty where neither does. Raises BadKit."""
    file = data / ROOM / ADDRESS_FILE
    return file.read_text(encoding="utf-8") if file.is_file() else kept_kit(data).kit.address


def keep_address(data: Path, typed: str) -> str:
    """Keeps the address of headquarters' server as it was typed; it. Raises BadKit."""
    address = typed.strip().rstrip("/")
    if not address or not re.fullmatch(ADDRESS, address):
        raise BadKit(NOT_AN_ADDRESS)
    if address != kept_address(data):
        keep_in_room(data, ADDRESS_FILE, address.encode())
    return address


def send_binding(data: Path, address: str) -> None:
    """Sends what binds the gym's key, and notes that headquarters' server has bound it. Raises BadKit, NotReached."""
    gym_here(data)
    binding = binding_here(data)
    answer = asked("POST", f"{address}/round/binding", binding, SHORT_S)
    if not isinstance(answer, dict) or answer.get("bound") != sha256(binding).hexdigest():
        raise NotReached(NOT_AN_ANSWER)
    keep_in_room(data, BOUND, sha256(binding).hexdigest().encode())


def is_bound(data: Path) -> bool:
    """Whether headquarters' server has answered that it has bound this very key."""
    file = data / ROOM / BOUND
    return file.is_file() and file.read_text(encoding="ascii") == sha256(binding_here(data)).hexdigest()


def send_digest(data: Path, address: str, digest: str) -> list[Kept]:
    """Sends the digest of a hand-in alone; the receipts that came back. Raises BadKit, NotReached."""
    return _took(data, _promise(data, address, digest))


def _promise(data: Path, address: str, digest: str) -> Any:
    send_binding(data, address)
    return asked("POST", f"{address}/round/promise", promise_of(data, digest), SHORT_S)


def send_all(data: Path, address: str, digest: str) -> list[Kept]:
    """Sends the digest of a hand-in, its file unless headquarters has it, where its films are; the receipts that came back.
    Raises BadKit, NotReached."""
    content = made_content(data, digest)
    if content is None:
        raise BadKit("The file of this hand-in is no longer as it was made. Make it anew.")
    answer = _promise(data, address, digest)
    found = _took(data, answer)
    if answer.get("wanted", True):  # a headquarters that does not say so may lack it
        body = pieces_of(data, digest, content) + content
        found = _took(data, asked("POST", f"{address}/round/hand-in/{digest}", body, FILE_S))
    if films := films_of(data, digest):
        asked("POST", f"{address}/round/hand-in/{digest}/films", films, SHORT_S)
    return found


def ask_again(data: Path, address: str, digest: str) -> list[Kept]:
    """Asks for the receipts of a hand-in. Raises BadKit, NotReached."""
    return _took(data, asked("GET", f"{address}/round/hand-in/{digest}", None, SHORT_S))


def take_receipt(data: Path, content: bytes) -> Kept:
    """Checks and keeps a receipt. Raises BadKit."""
    opened = gym_here(data)
    kept = read_receipt(content, opened.key, opened.kit.rule.id, opened.gym, made_here(data))
    keep_receipt(data, content, kept)
    return kept


def _took(data: Path, answer: Any) -> list[Kept]:
    told: Sequence[Any] = answer.get("receipts", ()) if isinstance(answer, dict) else ()
    if not told or not all(isinstance(one, str) for one in told):
        raise NotReached(NOT_AN_ANSWER)
    return [take_receipt(data, one.encode()) for one in told]
