"""Marks as a tablet sends them, decoded to typed values in one step: what the decoder has proven is not looked at again.

What it can't take is left as plain JSON values, for rules/records/marks.py to say what is wrong with it.
"""

import re
from collections.abc import Mapping
from sys import intern
from typing import Annotated, Any

import msgspec

from app.rules.records.kinds import Kind
from app.rules.records.marks import DEVICE, ID, MOST_MS, MOST_SEQ, MOST_WINDOW, NO_BODY, SHEET, Mark, parse_body, parse_mark


def _like(pattern: re.Pattern[str]) -> msgspec.Meta:
    return msgspec.Meta(pattern=rf"\A(?:{pattern.pattern})\Z")


Number = Annotated[int, msgspec.Meta(ge=1, le=MOST_SEQ)]


class SentMark(msgspec.Struct, forbid_unknown_fields=True, gc=False):
    """A mark whose fields are each what a mark's may be; its body is still to be read."""

    id: Annotated[str, _like(ID)]
    sheet: Annotated[str, _like(SHEET)]
    device: Annotated[str, _like(DEVICE)]
    epoch: Number
    seq: Number
    kind: Kind
    at: Annotated[int, msgspec.Meta(ge=-MOST_MS, le=MOST_MS)]
    err: Annotated[int, msgspec.Meta(ge=0, le=MOST_MS)]
    win: Annotated[int, msgspec.Meta(ge=0, le=MOST_WINDOW)] | None = None
    body: dict[str, Any] = {}

    def mark(self) -> Mark:
        """The mark itself. Raises BadMark for a body that its kind can't have."""
        body = parse_body(self.kind, self.body) or NO_BODY
        sheet, device = intern(self.sheet), intern(self.device)
        return Mark(self.id, sheet, device, self.epoch, self.seq, self.kind, self.at, self.err, self.win, body)


def mark_of(raw: object) -> Mark:
    """A mark that was sent, however far it was read. Raises BadMark with a sentence that names the field."""
    return raw.mark() if isinstance(raw, SentMark) else parse_mark(raw)


def said(raw: object, name: str) -> object:
    """What a mark says of itself under a name, however far it was read; None for nothing."""
    if isinstance(raw, SentMark):
        return getattr(raw, name)
    return raw.get(name) if isinstance(raw, Mapping) else None
