"""The list of films' addresses: the last address of a line counts, whatever was written and however it ended."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.alone import takes
from app.lan.certificate import write_secret
from app.round import film_list, room_files
from app.round.film_list import FILMS, has_film, keep_films, keep_some, kept_films, kept_list
from app.round.gym.film_notes import NOTES, keep_notes, kept_notes, note_in, print_field
from app.round.kept_records import NoRound
from app.rules.round.records import LineKey
from app.rules.round.state import RoundState
from app.store.rounds import ROOM

LINES: list[LineKey] = [(1001, "sq"), (1002, "sq"), (2001, 'a "b", c')]
ADDRESSES = ["", "https://a.example/1", "film,2.mp4", 'film"3".mp4']
some = st.dictionaries(st.sampled_from(LINES), st.sampled_from(ADDRESSES), max_size=3)
then = st.sampled_from(["", "forget", "power", "typed"])
Acts = list[tuple[dict[LineKey, str], str]]


def a_room(folder: Path) -> Path:
    (folder / ROOM).mkdir(exist_ok=True)
    return folder / ROOM / FILMS


def is_free(data: Path) -> bool:
    """Whether another process could have the room to itself now."""
    with (data / room_files.LOCK).open("ab") as file:
        return takes(file)


def forget() -> None:
    """What another process knows of the list."""
    film_list._READ.clear()


@settings(max_examples=40, deadline=None)
@given(acts=st.lists(st.tuples(some, then), max_size=12))
def test_the_last_address_of_a_line_counts(tmp_path_factory: pytest.TempPathFactory, acts: Acts) -> None:
    data = tmp_path_factory.mktemp("data")
    file, kept = a_room(data), dict[LineKey, str]()
    for films, then in acts:
        keep_some(data, films)
        kept = {key: address for key, address in {**kept, **films}.items() if address}
        if then == "forget":
            forget()
        if then == "power" and file.is_file() and file.read_text().startswith(film_list.HEAD):  # amid the next row
            forget()
            file.write_bytes(file.read_bytes() + b"1001,sq,https://a.exa")
        if then == "typed":
            forget()
            file.write_text("number,event,film\r\n" + kept_list(data).strip())
        assert kept_films(data) == kept and all(has_film(data, key) == (key in kept) for key in LINES)


def test_one_more_address_costs_what_the_first_did(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file, written = a_room(tmp_path), [0]

    def counted(path: Path, content: bytes) -> None:
        written[0] += len(content)
        write_secret(path, content)

    monkeypatch.setattr(room_files, "write_secret", counted)
    for n in range(60):
        keep_some(tmp_path, {(1000 + n, "sq"): f"https://films.example/{n}"})
    assert written[0] < 200, "the list is written whole once"
    keep_some(tmp_path, {(1000, "sq"): "https://films.example/0"})
    size = file.stat().st_size
    monkeypatch.setattr(film_list, "MOST_REPLACED", 20)
    for n in range(200):
        keep_some(tmp_path, {(1000, "sq"): f"https://films.example/{n % 7}"})
    assert file.stat().st_size < 4 * size and len(kept_films(tmp_path)) == 60


def test_what_was_typed_stands_in_place_of_all_before(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    a_room(tmp_path)

    def alone(path: Path, content: bytes) -> None:
        assert film_list._ONE_AT_A_TIME.locked() and not is_free(tmp_path), "who adds to what they read writes the old list back"
        write_secret(path, content)

    monkeypatch.setattr(room_files, "write_secret", alone)
    keep_some(tmp_path, {LINES[0]: "one.mp4", LINES[1]: "two.mp4"})
    keep_films(tmp_path, "", RoundState())
    assert kept_films(tmp_path) == {} and kept_list(tmp_path) == ""
    keep_some(tmp_path, {LINES[1]: "three.mp4"})
    assert kept_list(tmp_path) == "1002,sq,three.mp4\n"


def test_notes_of_films_that_can_not_be_read_go_aside_before_others_take_their_place(tmp_path: Path) -> None:
    file = a_room(tmp_path).parent / NOTES
    broken = [b'[{"entry": 1001, "event": "sq", "pri', b"["]
    for content, print in zip(broken, ("ab" * 32, "cd" * 32), strict=True):
        file.write_bytes(content)
        assert kept_notes(tmp_path) == {}
        keep_notes(tmp_path, [])
        for typed in (print, "ef" * 32):
            keep_notes(tmp_path, [note_in(LINES[0], {print_field(LINES[0]): typed}, ())])
            assert kept_notes(tmp_path)[LINES[0]].print == typed
    assert [one.read_bytes() for one in sorted(file.parent.glob("*.unread*"))] == broken


@pytest.mark.parametrize(
    ("kept", "told"),
    [
        (None, "Is a directory"),
        (b"\xff\xfe", "it is no list of entries"),
        (b"1001,sq\n", "Line 1 of the films"),
        (film_list.HEAD.encode() + b"\n1001,sq\n", "it is no list of entries"),
    ],
)
def test_a_list_that_can_not_be_read_says_why_and_what_to_do(tmp_path: Path, kept: bytes | None, told: str) -> None:
    file = a_room(tmp_path)
    if kept is None:
        file.mkdir()
    else:
        file.write_bytes(kept)
    with pytest.raises(NoRound, match=f"{told}.*move it elsewhere"):
        kept_films(tmp_path)
    with pytest.raises(NoRound, match=told):
        keep_some(tmp_path, {LINES[0]: "one.mp4"})
