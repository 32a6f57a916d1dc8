"""What headquarters publishes is kept written for any web space by what changed; with the standing once that is published."""

from pathlib import Path

import pytest

from app.files import FileRefused
from app.round import published_pages
from app.round_heads import keep_heads
from app.rules.round import records as r
from app.settings import Settings
from tests.builders.round_house import DICE, a_round_house

CLAIMS = {1001: (14, 12), 1002: (5, 4), 2001: (18, 17), 2002: (6, 5)}


class Enough(Exception):
    """Raised to end what would go on for ever."""


def test_only_what_changed_is_written_and_the_standing_in_pages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(published_pages, "ENTRIES", 3)
    folder, told, seen = tmp_path / "site", list[str](), list[dict[str, int]]()
    monkeypatch.setattr("app.rules.round.films._draws", lambda _state, _lines: 0)  # no film is drawn: it can be published at once
    with a_round_house(tmp_path, CLAIMS, places=0, drawn=False) as there:

        def add(kind: type[r.Kept], **said: object) -> None:
            there.headquarters.add([(kind, said)], there.house.clocks.wall)

        def wait(_: float) -> None:
            seen.append({file.name: file.stat().st_mtime_ns for file in folder.iterdir()})
            headquarters, clocks = there.headquarters, there.house.clocks
            match len(seen):
                case 2:
                    clocks.pass_ms(headquarters.state.rules.deadline_ms - clocks.wall + 1)
                    headquarters.close_roll(clocks.wall)
                case 3:
                    headquarters.draw(DICE, ["Perrin Vale"], clocks.wall)
                    add(r.Published)
                case 4:
                    raise Enough

        with pytest.raises(Enough):
            keep_heads(Settings(data=tmp_path), folder, 30, told.append, wait, behind=0)
        with pytest.raises(FileRefused, match="is the most often"):
            keep_heads(Settings(data=tmp_path), folder, 1, told.append, wait, behind=0)
    assert seen[0] == seen[1] and "roll.txt" in seen[2], "a turn without news writes nothing"
    assert {name for name in seen[2] if seen[2][name] != seen[1].get(name)} == {"roll.txt", "index.html", "published.json"}
    assert len(told) == 3 and "standing-01-001.html" in seen[3] and "standing-01-002.html" in seen[3]
    first, second = ((folder / f"standing-01-00{n}.html").read_text(encoding="utf-8") for n in (1, 2))
    assert "<td>1<td>2001<td>Mill Row<td>35" in first and "<td>4<td>1002<td>Slate Barn<td>9" in second
    assert "standing-01-002.html" in (folder / "index.html").read_text(encoding="utf-8")
