"""The route to the alarms' sheets: what each alarm tells, whether it stands or not."""

from dataclasses import asdict

from fastapi import APIRouter

from drydown.alarms.terms import TERMS
from drydown.texts.sheets import SHEETS, Sheet
from drydown_api.state_answers import SheetAnswer

router = APIRouter(prefix="/api/v1/alarms", tags=["alarms"])

BY_NAME = {terms.name: terms for terms in TERMS}


def _answer(alarm: str, cause: str, sheet: Sheet) -> SheetAnswer:
    terms = BY_NAME[alarm]
    deadline = terms.deadlines[cause]
    return SheetAnswer(alarm=alarm, cause=cause, priority=terms.least, deadline=deadline, **asdict(sheet))


ANSWER = [_answer(*of, sheet) for of, sheet in SHEETS.items()]


@router.get("")
async def sheets() -> list[SheetAnswer]:
    """What happened, what it can lead to, what to do and how fast: for every alarm and each of its causes."""
    return ANSWER
