"""The description that programs read (OpenAPI): whole, with examples, and true to what is answered."""

from pathlib import Path
from typing import Any

import pytest

from drydown.config.load import load
from drydown_api.app import create_app
from support.site_file import write_site

OPERATIONS = {
    "/api/v1/health",
    "/api/v1/events",
    "/api/v1/blend",
    "/api/v1/tanks/{tank}/batches",
    "/api/v1/tanks/{tank}/batches.csv",
    "/api/v1/tanks/{tank}/drawing",
    "/api/v1/tanks/{tank}/upkeep",
    "/api/v1/tanks",
    "/api/v1/tanks/{tank}",
    "/api/v1/tanks/{tank}/events",
    "/api/v1/tanks/{tank}/series",
    "/api/v1/tanks/{tank}/lines",
    "/api/v1/tanks/{tank}/happenings",
    "/api/v1/tanks/{tank}/outlook",
    "/api/v1/tanks/{tank}/plan",
    "/api/v1/tanks/{tank}/settling",
    "/api/v1/tanks/{tank}/start-list",
    "/api/v1/alarms",
    "/api/v1/tanks/{tank}/stage",
    "/api/v1/tanks/{tank}/tests",
    "/api/v1/tanks/{tank}/notes",
    "/api/v1/tanks/{tank}/logbook",
    "/api/v1/tanks/{tank}/release",
    "/api/v1/tanks/{tank}/draws",
    "/api/v1/tanks/{tank}/drains",
    "/api/v1/tanks/{tank}/alarms/{alarm}/shelve",
    "/api/v1/tanks/{tank}/alarms/{alarm}/unshelve",
    "/api/v1/tanks/{tank}/readings.csv",
    "/api/v1/tanks/{tank}/readings.sensml",
    "/api/v1/tanks/{tank}/runs/{start}/archive",
    "/api/v1/tanks/{tank}/runs/{start}/course",
    "/metrics",
    "/api/v1/tanks/{tank}/runs",
    "/api/v1/tanks/{tank}/learned",
    "/api/v1/tanks/{tank}/learned/worth",
    "/api/v1/tanks/{tank}/learned/forget",
    "/api/v1/tanks/{tank}/alarms/{alarm}/acknowledge",
    "/api/v1/tanks/{tank}/alarms/{alarm}/reset",
    "/api/v1/tanks/{tank}/supply/restore",
}


@pytest.fixture
def description(tmp_path: Path) -> dict[str, Any]:
    return create_app(load(write_site(tmp_path, "boathouse", ["heron"], 1))).openapi()


def test_it_lists_every_route_and_no_page(description: dict[str, Any]) -> None:
    assert description["paths"].keys() == OPERATIONS
    assert description["openapi"].startswith("3.")
    assert "no safety system" in description["info"]["description"]


def test_every_operation_says_what_it_does_and_what_can_go_wrong(description: dict[str, Any]) -> None:
    for path, operations in description["paths"].items():
        for operation in operations.values():
            assert operation["description"].endswith(".")
            if "{tank}" in path:
                assert "404" in operation["responses"], path
            for status, answer in operation["responses"].items():
                if int(status) >= 400:
                    assert answer["content"].keys() == {"application/problem+json"}, path


def test_every_reference_leads_somewhere(description: dict[str, Any]) -> None:
    found: list[str] = []

    def walk(part: Any) -> None:
        if isinstance(part, dict):
            found.extend(value for key, value in part.items() if key == "$ref")
            for value in part.values():
                walk(value)
        elif isinstance(part, list):
            for value in part:
                walk(value)

    walk(description)
    assert found
    schemas = description["components"]["schemas"]
    assert {reference.removeprefix("#/components/schemas/") for reference in found} == schemas.keys()
