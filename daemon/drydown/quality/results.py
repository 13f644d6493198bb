"""What was found of one batch's fuel: results in one shape, whether the estimate took them or the logbook."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from drydown.quality.kinds import TESTS


@dataclass(frozen=True, slots=True)
class Result:
    """A test's result: a number in its SI unit or a word. `time` is when the sample was taken (Unix s)."""

    kind: str
    value: float | str
    sigma: float | None
    method: str
    who: str
    time: float


def results_of(commands: Iterable[Mapping[str, Any]]) -> tuple[Result, ...]:
    """The tests among recorded commands (lines with their time), in the order in which samples were taken."""
    return tuple(sorted(_found(commands), key=lambda result: result.time))


def latest(results: Iterable[Result]) -> dict[str, Result]:
    """The last result of each kind."""
    return {result.kind: result for result in results}


def _found(commands: Iterable[Mapping[str, Any]]) -> Iterator[Result]:
    for line in commands:
        if line["command"] == "bench-test":
            told = (line["quantity"], line["value"], line["sigma"], line.get("method", ""))
            yield Result(*told, line["who"], line["time"] - line.get("ago", 0.0))
        elif line["command"] == "entry" and line["entry"] in TESTS:
            yield _entered(line["entry"], line["values"], line)


def _entered(kind: str, values: Mapping[str, Any], line: Mapping[str, Any]) -> Result:
    value, method = values.get("value", values.get("result")), values.get("method", "")
    way = TESTS[kind].methods.get(method)
    sigma = way.sigma(value) if way and isinstance(value, float) else None
    return Result(kind, value, sigma, method, line["who"], line["time"] - values.get("ago", 0.0))
