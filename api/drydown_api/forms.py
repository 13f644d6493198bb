"""What plain forms of the pages bring: their fields, and who stands in the record for them."""

from http import HTTPStatus
from urllib.parse import parse_qs

from fastapi import Request

from drydown.orders import LONGEST_NAME
from drydown.texts.language import later, say
from drydown_api.access import Visitor
from drydown_api.deeds import printable
from drydown_api.problems import ProblemError
from drydown_pages.entering import SOMEBODY

MOST = 50  # fields


async def typed_in(request: Request) -> dict[str, str]:
    """The fields of a form that was sent, the first of each name. Raises ProblemError."""
    body = (await request.body()).decode("utf-8", "replace")
    try:
        fields = parse_qs(body, max_num_fields=MOST)
    except ValueError as error:
        detail = say("A form of these pages has at most {most} fields: go back and send it again.", most=MOST)
        raise ProblemError(HTTPStatus.BAD_REQUEST, detail, later("Not taken")) from error
    return {name: values[0] for name, values in fields.items()}


def name_of(visitor: Visitor) -> str:
    """Who stands in the record for what this visitor does."""
    return printable(visitor.name)[:LONGEST_NAME] or say(SOMEBODY)
