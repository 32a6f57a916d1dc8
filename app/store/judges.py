"""Writing who judges."""

from sqlmodel import Session, col, select

from app.rules.records.judges import Judge
from app.store.refusals import InUse, several
from app.store.rows import count, needed, put
from app.store.tables.main import AssignmentRow, ClubRow, JudgeRow


def put_judge(session: Session, judge: Judge) -> None:
    """Stores a judge; lanes that chose this judge show the name as it is spelt now. Raises NotThere for an unknown club."""
    if judge.club is not None:
        needed(session, ClubRow, judge.club, "club")
    plain = judge.model_dump(mode="json", exclude={"club"})
    put(session, JudgeRow(**plain, club_id=judge.club))
    for lane in session.exec(select(AssignmentRow).where(AssignmentRow.judge_id == judge.id)):
        lane.judge = judge.name
    session.flush()


def delete_judge(session: Session, key: str) -> None:
    """Removes a judge. Raises InUse for one who stands on a lane, NotThere."""
    row = needed(session, JudgeRow, key, "judge")
    lanes = count(session, AssignmentRow, col(AssignmentRow.judge_id) == key)
    if lanes:
        raise InUse(f"{row.name} judges {several(lanes, 'lane', 'lanes')}. Tick “Away” instead, or give those lanes to others.")
    session.delete(row)
