"""The state of every tank as OpenMetrics, for whatever gathers figures from many machines."""

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from http import HTTPStatus

from fastapi import APIRouter, Response

from drydown.quantities import DERIVED, MEASURED
from drydown_api.live import State
from drydown_api.problems import documented, streamed
from drydown_api.tanks import LiveOf, refuse_when_away

router = APIRouter(tags=["metrics"])

MEDIA_TYPE = "application/openmetrics-text; version=1.0.0; charset=utf-8"
UNITS: Mapping[str | None, str] = {
    "Cel": "celsius",
    "m": "meters",
    "m3": "cubic_meters",
    "m3/s": "cubic_meters_per_second",
    "s": "seconds",
    "kg": "kilograms",
    "%RH": "percent",
    "/": "ratio",
}
"""What OpenMetrics calls the units of SenML; a name ends with its unit."""

COUNTED = (("drydown_blower_running", "seconds", "total"), ("drydown_blower_starts", None, "starts"))
"""What only grows: name, unit, and where it stands in the state of the blower."""

BELIEFS = {"methanol": "ratio", "water": "ratio", "water_floor": "ratio", "emission": "kilograms_per_second"}


@router.get("/metrics", responses=streamed(MEDIA_TYPE) | documented(HTTPStatus.SERVICE_UNAVAILABLE))
async def metrics(live: LiveOf) -> Response:
    """What the watcher last said of each tank, in the text form of OpenMetrics 1.0."""
    await live.refresh()
    refuse_when_away(live)
    return Response("".join(f"{line}\n" for line in _families(live.states)), media_type=MEDIA_TYPE)


def _families(states: Mapping[str, State]) -> Iterator[str]:
    for name, quantity in (MEASURED | DERIVED).items():
        points = [
            (f'tank="{_escaped(tank)}"', reading.get("value"))
            for tank, state in sorted(states.items())
            if (reading := state["readings"].get(name)) and reading.get("quality", "good") != "bad"
        ]
        yield from _family(f"drydown_{re.sub('[^a-z0-9]+', '_', name)}", UNITS.get(quantity.unit), points)
    for belief, unit in BELIEFS.items():
        points = [
            (f'tank="{_escaped(tank)}",bound="{bound}"', value)
            for tank, state in sorted(states.items())
            for bound, value in ((state.get("estimate") or {}).get(belief) or {}).items()
        ]
        yield from _family(f"drydown_estimate_{belief}", unit, points)
    standing = [
        (f'tank="{_escaped(tank)}",alarm="{alarm["alarm"]}",priority="{alarm["priority"]}"', True)
        for tank, state in sorted(states.items())
        for alarm in state["alarms"]
    ]
    yield from _family("drydown_alarm", None, standing)
    for name, per, key in COUNTED:
        counts = [
            (f'tank="{_escaped(tank)}"', state["blower"][key]) for tank, state in sorted(states.items())
        ]
        yield from _family(name, per, counts, "counter")
    yield "# EOF"


def _family(
    name: str, unit: str | None, points: Sequence[tuple[str, object]], kind: str = "gauge"
) -> Iterator[str]:
    told = [(labels, float(value)) for labels, value in points if isinstance(value, bool | int | float)]
    if not told:
        return
    whole = f"{name}_{unit}" if unit else name
    yield f"# TYPE {whole} {kind}"
    if unit:
        yield f"# UNIT {whole} {unit}"
    for labels, value in told:
        if math.isfinite(value):
            yield f"{whole}{'_total' * (kind == 'counter')}{{{labels}}} {value:.9g}"


def _escaped(label: str) -> str:
    return label.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
