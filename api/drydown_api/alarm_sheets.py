"""The route to the alarms' sheets: what each alarm tells, whether it stands or not."""

from dataclasses import asdict

from fastapi import APIRouter

from drydown.texts.sheets import SHEETS
from drydown_api.state_answers import SheetAnswer

router = APIRouter(prefix="/api/v1/alarms", tags=["alarms"])

ANSWER = [SheetAnswer(alarm=alarm, cause=cause, **asdict(sheet)) for (alarm, cause), sheet in SHEETS.items()]


@router.get("")
async def sheets() -> list[SheetAnswer]:
    """What happened, what it can lead to, what to do and how fast: for every alarm and each of its causes."""
    return ANSWER
