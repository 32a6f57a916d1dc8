"""What a server really holds: the competition file is read back and compared, mark by mark, with what the tablets made.

A server's own acknowledgements and pages are not asked: what loses a mark may also say that it is there.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from app.results.competition_file import read_file
from app.rules.records.marks import Mark


@dataclass(frozen=True, slots=True)
class ReadBack:
    """How many marks a competition file holds, lacks, holds twice, holds that no tablet made, holds otherwise than made."""

    there: int
    lost: int
    doubled: int
    strange: int
    changed: int

    @property
    def wrong(self) -> int:
        """How many marks are not as they were made."""
        return self.lost + self.doubled + self.strange + self.changed

    @property
    def words(self) -> str:
        """What was found, in words."""
        said = [f"{self.lost:,} lost", f"{self.doubled:,} doubled"]
        said += [f"{self.strange:,} that no tablet made"] if self.strange else []
        said += [f"{self.changed:,} changed"] if self.changed else []
        return ", ".join(said)


def read_back(made: Mapping[str, Mark], file: bytes) -> ReadBack:
    """Compares the marks that tablets made, by id, with a competition file. Raises BadFile."""
    there = read_file(file).marks
    ids = {mark.id for mark in there}
    return ReadBack(
        there=len(there),
        lost=sum(1 for identity in made if identity not in ids),
        doubled=sum(count - 1 for count in Counter((mark.device, mark.epoch, mark.seq) for mark in there).values()),
        strange=sum(1 for identity in ids if identity not in made),
        changed=sum(1 for mark in there if mark.id in made and mark != made[mark.id]),
    )
