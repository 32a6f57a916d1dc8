"""The table of authority, every cell of it, against the law in words. The tablets' twin walks the same cells (tests/vectors)."""

import pytest

from app.rules.records.authority import AUTHORITY, MOMENTS, cell, effect_of
from app.rules.records.kinds import JUDGED, KINDS, OF_THE_BAR, PLACED, ROWS, UNTIMED
from app.rules.records.seats import BY_DEVICE, SEATS, SHEET_KINDS, SHEETS, Seat, SheetKind
from tests.vectors.authority_scenes import MINE, Trial, a_trial, trials

OWN_SHEET: dict[str, str] = {
    "lane": "lane",
    "second": "second",
    "third": "third",
    "shadow": "shadow",
    "centre": "lane",
    "left": "second",
    "right": "third",
}


def takes(seat: Seat, sheet: SheetKind, trial: Trial) -> bool:
    """The law: the desk writes anything; the head judge on films; a judge on the sheet of their seat; the lifter's phone declares
    and plans as the lifter, tells of the bar as a loader, and takes back its own word on the bar, on the lane judge's sheet. A
    coach does the first half of that, at a platform the loaders the second; the marshal declares, plans and notes as anybody,
    calls, and takes back what this very device said of these."""
    kind, by, device, struck = trial
    if seat == "desk":
        return True
    if seat == "review":
        return sheet == "video"
    if seat in OWN_SHEET:
        return sheet == OWN_SHEET[seat]
    lifter = kind in ("declare", "plan") and by == "lifter"
    loader = kind == "loaded" and by == "loader"
    back = kind == "strike" and struck == "loaded" and device == MINE
    if seat == "marshal":
        own = kind == "strike" and struck == "declare" and device == MINE
        return sheet == "lane" and (kind in ("declare", "called", "plan", "note") or own)
    may = {"lifter": lifter or loader or back, "coach": lifter, "loaders": loader or back}
    return sheet == "lane" and may[seat]


@pytest.mark.parametrize("seat", SEATS)
def test_every_cell_takes_what_the_law_takes_and_nothing_else(seat: Seat) -> None:
    wrong = []
    for sheet in SHEET_KINDS:
        for trial in trials():
            mark, about = a_trial(sheet, trial)
            effects = [effect_of(seat, MINE, mark, about, moment) for moment in MOMENTS]
            # At every moment alike: an odd mark is stored and flagged, and the judge on the floor is the witness.
            took = {effect != "refused" for moment, effect in zip(MOMENTS, effects, strict=True) if moment != "away"}
            if took != {takes(seat, sheet, trial)} or effects[MOMENTS.index("away")] != "refused":
                wrong.append((sheet, trial, effects))
    assert wrong == []


# The law of what waits for a ruling: a mark of a live sheet for a time or a run that was not yet; and a phone's word on the bar
# once the judge's hand is on it, or on the sheet. A load declared while the bar is out is for the next lift.
LIVE = ("lane", "second", "third", "shadow")
PHONES: dict[str, set[str]] = {
    "loaded": {"bar-out", "decided", "signed"},
    "strike": {"bar-out", "decided", "signed"},
    "declare": {"signed"},
}


def waiting(seat: Seat, sheet: SheetKind, kind: str) -> set[str]:
    """The moments at which a mark that could change a number waits."""
    if kind not in PLACED and kind not in ("strike", "sign"):
        return set()
    loaders = {kind: PHONES[kind] for kind in ("loaded", "strike")}
    phones = {"lifter": PHONES, "coach": {"declare": PHONES["declare"]}, "loaders": loaders}.get(seat, {})
    return ({"ahead", "no-run"} if sheet in LIVE else set()) | phones.get(kind, set())


def test_what_a_taken_mark_does_follows_from_its_sheet_its_kind_and_its_moment() -> None:
    for seat in SEATS:
        for sheet in AUTHORITY[seat].sheets:
            for kind in AUTHORITY[seat].kinds:
                found = dict(zip(MOMENTS, (cell(seat, sheet, kind, moment) for moment in MOMENTS), strict=True))
                assert found.pop("signed-off") == "kept", "nothing that comes after the sign-off changes a number"
                assert found.pop("away") == "refused"
                assert {moment for moment, effect in found.items() if effect == "waits"} == waiting(seat, sheet, kind)
                found = {moment: effect for moment, effect in found.items() if effect != "waits"}
                if kind not in PLACED and kind not in ("strike", "sign"):
                    assert set(found.values()) == {"told"}
                elif sheet != "lane":
                    assert set(found.values()) == {SHEETS[sheet].does}
                else:
                    beside = {found.pop(moment) for moment in ("before", "rest", "after")}
                    assert beside == {"flagged" if kind in PLACED - UNTIMED else "counts"}
                    assert set(found.values()) == {"counts"}


def test_no_lane_stands_in_the_table_and_each_seat_is_one_device() -> None:
    assert not any(character.isdigit() for row in SEATS.values() for character in f"{row}")
    assert {(row.role, row.sheet): seat for seat, row in SEATS.items()} == BY_DEVICE and len(BY_DEVICE) == len(SEATS)
    assert set(AUTHORITY) == set(SEATS)
    assert [seat for seat, grant in AUTHORITY.items() if grant.brings] == ["desk"]


def test_every_kind_and_every_kind_of_sheet_has_its_row() -> None:
    assert set(ROWS) == set(KINDS) and tuple(SHEETS) == SHEET_KINDS
    assert PLACED == JUDGED | OF_THE_BAR and not JUDGED & OF_THE_BAR
    assert [kind for kind, row in ROWS.items() if not row.word or not row.told] == []
