"""The route to what runs taught of a tank and its blower, told from the store."""

from http import HTTPStatus

from fastapi import APIRouter

from drydown_api.answers import LearnedAnswer
from drydown_api.problems import documented
from drydown_api.recorded import Reader
from drydown_api.tanks import TankOf

router = APIRouter(prefix="/api/v1/tanks/{tank}/learned", tags=["learned"])


@router.get("", responses=documented(HTTPStatus.NOT_FOUND, HTTPStatus.SERVICE_UNAVAILABLE))
def learned(tank: TankOf, reader: Reader) -> LearnedAnswer:
    """What earlier runs taught of the tank and its blower, in words and as numbers with their ranges."""
    from drydown_api.lesson_told import told  # here, so that the pages do without numpy until somebody asks

    return told(reader, tank)
