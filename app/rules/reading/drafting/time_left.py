"""Statements of the time that a list leaves, and of going on until the bell."""

import re

from app.rules.reading.drafting.state import Drafting, length_of
from app.rules.reading.drafts import Group
from app.rules.reading.grammar import Statement
from app.rules.reading.scan.pieces import words_in

UNTIL = re.compile(r"(?:until|till)\b", re.IGNORECASE)  # `the 3 minutes are over`


class SaysTimeLeft(Drafting):
    """What is done last, for as long as there is time."""

    def _say_bell(self, statement: Statement) -> bool:
        """`50 sit-ups, then max burpees until the horn`: in the time that the list leaves; else round after round."""
        here = self.here
        if here.kind in ("windows", "every") and here.seconds is not None and self._is_a_tail():
            return self._in_what_is_left()
        here.until_bell = True
        return here.kind in ("", "amrap", "windows")

    def _say_remain(self, statement: Statement) -> bool:
        """`then in the remaining time max burpees`, and `max burpees for the rest of the 3 minutes`, where it lasts so long."""
        self._with_the_list_before()
        told, until = statement.tok("DUR", "MIN"), UNTIL.match(statement.toks[0].text) is not None
        follows = next((one.rule for one in self.told if one.rule != "sep" and one.start > statement.start), "")
        if told is not None and (60 if told.kind == "MIN" else length_of(told)) != self.here.seconds:
            return False
        if "first" in words_in(self.talk.text[statement.start : statement.end]):
            return False  # `until the first 4 minutes are over`: of one window, and not of each
        works = self.here.group.works
        if until and self.here.kind == "windows" and works == [self.last] and works[0].most:
            return True  # `max burpees until the 2 minutes are over`, and nothing before
        if statement.tok("LEFTOF") and not self._is_a_tail() and (until or follows != "max"):
            return False  # `take the rest of the 2 minutes easy`
        return self._in_what_is_left()

    def _is_a_tail(self) -> bool:
        """Whether what was told last is done as often as possible, behind a list of so many of each."""
        works = self.here.group.works
        return len(works) > 1 and works[-1] is self.last and bool(works[-1].most) and all(one.amount for one in works[:-1])

    def _in_what_is_left(self) -> bool:
        """What was told last behind a list, or what comes next, is done in the time that the list leaves."""
        works = self.here.group.works
        behind = len(works) > 1 and works[-1] is self.last and bool(works[-1].most)
        last = [works.pop()] if behind else []
        made = self._role("rest-of-time")
        self.here.group.works += last
        return made

    def _with_the_list_before(self) -> None:
        """`30 wall balls, then max cleans with the time left`: the last thing belongs to the list that it follows."""
        here, before = self.here, self.draft.stretches[-2:-1]
        if (
            here.kind == "windows"
            and here.works == [self.last]
            and here.seconds is None
            and before
            and before[0].kind in ("", "time")
        ):
            before[0].group.works += here.works
            before[0].spans += here.spans
            self.draft.stretches.pop()

    def _role(self, role: str) -> bool:
        group = self.here.group
        if group.works or group.rounds > 1 or group.scheme:
            self.here.groups.append(Group())
        self.here.group.role = role  # type: ignore[assignment]
        return True
