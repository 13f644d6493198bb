"""The state as OpenMetrics, read by the reference parser (test-only)."""

from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from prometheus_client.metrics_core import Metric
from prometheus_client.openmetrics import parser

from support.demo_place import DemoPlace, demo_place
from support.problem import check_problem
from support.served import served
from support.site_file import write_site

pytestmark = pytest.mark.broker


@pytest.fixture(scope="module")
def boathouse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """Just after the blower was started with the vent shut."""
    with demo_place(tmp_path_factory.mktemp("boathouse")) as place:
        place.play(87.5)
        yield place


def parsed(text: str) -> Iterator[Metric]:
    families: Iterator[Metric] = parser.text_string_to_metric_families(text)  # type: ignore[no-untyped-call]
    return families


def test_a_parser_reads_what_the_state_says(boathouse: DemoPlace) -> None:
    with httpx.Client(base_url=boathouse.address, trust_env=False) as api:
        answer, state = api.get("/metrics"), api.get("/api/v1/tanks/heron").json()
    assert answer.headers["content-type"].startswith("application/openmetrics-text; version=1.0.0")
    families = {family.name: family for family in parsed(answer.text)}
    temperature = families["drydown_fuel_temperature_celsius"]
    assert temperature.unit == "celsius"
    assert temperature.samples[0].labels == {"tank": "heron"}
    assert temperature.samples[0].value == pytest.approx(state["readings"]["fuel/temperature"]["value"])
    methanol = {
        sample.labels["bound"]: sample.value for sample in families["drydown_estimate_methanol_ratio"].samples
    }
    assert methanol == pytest.approx(state["estimate"]["methanol"])
    assert any(sample.labels["alarm"] == "vent-closed" for sample in families["drydown_alarm"].samples)
    assert families["drydown_blower_running_seconds"].type == "counter"
    assert families["drydown_blower_starts"].samples[0].value == state["blower"]["starts"]


def test_without_a_watcher_it_says_so(tmp_path: Path) -> None:
    with served(write_site(tmp_path, "boathouse", ["heron"], 1)) as client:
        check_problem(client.get("/metrics"), 503, "The watcher")
