"""The copy of the results for any web space, as files by name: one page of plain HTML that asks nobody for anything."""

import io
import zipfile

from app.hall.hall import Hall
from app.results.public_copy import public_copy
from app.web.assets import served_bytes
from app.web.pages import render, static_file

BESIDE = (
    "css/web/tokens.css",
    "css/web/base.css",
    "css/web/parts.css",
    "css/results/results.css",
    "css/results/podium.css",
    "icon.svg",
)
FONTS = (
    *(f"fonts/atkinson-next-{weight}{part}.woff2" for weight in (400, 700) for part in ("", "-west", "-more")),
    "fonts/LICENSE-atkinson-hyperlegible-next.txt",
)
WHEN = (1980, 1, 1, 0, 0, 0)  # the same content makes the same bytes


def copy_files(hall: Hall, *, initials: bool, now: int | None = None, every_s: int = 0) -> dict[str, bytes]:
    """All files of the copy, by their path in its folder, as of `now` (wall clock, ms). Raises NothingThere.

    every_s: how often the copy is made anew while somebody may be looking at it; 0 for one that stays as it is.
    """
    view = public_copy(hall, hall.time.wall_ms() if now is None else now, initials=initials)
    page = render("results/copy.html", view=view, initials=initials, demo=hall.settings.demo, every_s=every_s)
    beside = {path: served_bytes(static_file(path)) for path in (*BESIDE, *FONTS)}
    return {"index.html": page.encode(), **beside, **view.files}


def zipped(files: dict[str, bytes]) -> bytes:
    """The files as one ZIP archive."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, content in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(f"results/{path}", WHEN), content, zipfile.ZIP_DEFLATED)
    return packed.getvalue()
