"""What every answer to a request that can't be met has to be."""

from http import HTTPStatus

import httpx


def check_problem(answer: httpx.Response, status: int, *said: str) -> str:
    """Check it against RFC 9457: media type (section 3), members (3.1), title of about:blank (4.2.1).

    Returns its detail, which has to say all of `said`.
    """
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    body = answer.json()
    assert body.keys() == {"type", "title", "status", "detail"}
    assert (body["type"], body["status"]) == ("about:blank", status)
    assert body["title"] == HTTPStatus(status).phrase  # 422 has another since RFC 9110
    detail: str = body["detail"]
    assert detail[0].isupper() or ": " in detail, "a sentence, or what is wrong with a field"
    assert detail.endswith("."), detail
    assert "Traceback" not in detail
    for part in said:
        assert part in detail, detail
    return detail
