"""Reads server-sent events as a browser does (HTML standard, section 9.2.6), as far as they are used here."""

import json
from collections.abc import Iterator
from typing import Any

import httpx


def events(answer: httpx.Response) -> Iterator[tuple[str, Any]]:
    """(kind, what the JSON says) of each event as it comes."""
    assert answer.headers["content-type"].startswith("text/event-stream")
    kind, data = "message", ""
    for line in answer.iter_lines():
        field, _, value = line.partition(": ")
        if field == "event":
            kind = value
        elif field == "data":
            data += value
        elif not line:
            yield kind, json.loads(data)
            kind, data = "message", ""
