"""A judge at a tablet, imitated: taps when a person would, sends as a tablet does, looks when the board shows it."""

import asyncio
from collections.abc import Iterator, Sequence
from dataclasses import replace

from app.hall.lane_scores import lane_score
from app.rehearsal.clock import Took, true_ms
from app.rehearsal.tablet import Tablet
from app.rehearsal.watcher import Watcher
from app.rules.count.tally import fold
from app.rules.records.marks import Mark
from app.rules.result.scoring import score
from app.rules.workout.formats import Format

TOGETHER_MS = 50  # where a heat runs faster, taps that fall due within it are one: at sixty times the speed, of three seconds


class Lane:
    """Makes the marks of a script on a tablet, each when it is due. `acks`: when each was acknowledged, how long after the tap.

    `watchers` are told of each total that a tap makes.
    """

    def __init__(self, tablet: Tablet, format: Format, script: Sequence[Mark], watchers: Sequence[Watcher] = ()) -> None:
        self.tablet = tablet
        self.acks: Took = []
        self._format, self._script, self._watchers = format, script, watchers
        self._assignment = tablet.outbox.seat.sheet.partition("/")[0]
        self._made = asyncio.Event()
        self._over = False
        self._tapped: dict[str, float] = {}

    async def judge(self, go_ms: float, speed: float = 1) -> None:
        """Taps through the heat, then waits until everything is sent. `go_ms` is the GO in this machine's time, in which the heat
        runs so many times as fast."""
        sending = asyncio.create_task(self._send())
        try:
            for due in together(self._script, TOGETHER_MS * (speed - 1)):
                await asyncio.sleep(max(0.0, go_ms + due[-1].at / speed - true_ms()) / 1000)
                self._tap(due)
        finally:
            self._over = True
            self._made.set()
            await sending
        await self.tablet.send_all()

    def _tap(self, marks: Sequence[Mark]) -> None:
        outbox = self.tablet.outbox
        for mark in marks:
            outbox.take(replace(mark, epoch=outbox.epoch))
            self._tapped[mark.id] = true_ms()
        made = lane_score(score(self._format, self._format.scores[0], fold(self._format, outbox.marks.values())))
        for watcher in self._watchers:
            watcher.tapped(self._assignment, made)
        self._made.set()

    async def _send(self) -> None:
        while not self._over:
            await self._made.wait()
            self._made.clear()
            while due := self.tablet.outbox.due():
                if await self.tablet.send_some():
                    now = true_ms()
                    self.acks += [(now, now - self._tapped.pop(m.id)) for m in due if m.id in self.tablet.outbox.safe]


def together(marks: Sequence[Mark], within_ms: float) -> Iterator[list[Mark]]:
    """Marks in order, in groups of no more than so much time from first to last."""
    group: list[Mark] = []
    for mark in marks:
        if group and mark.at - group[0].at > within_ms:
            yield group
            group = []
        group.append(mark)
    if group:
        yield group
