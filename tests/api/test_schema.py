"""Whatever the description allows, and what it does not, is answered as it says: tried by schemathesis."""

from collections.abc import Iterator
from contextlib import suppress
from http import HTTPStatus
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import Case, GenerationMode
from schemathesis.core.result import Ok
from schemathesis.schemas import BaseSchema

from support.demo_place import demo_place

pytestmark = pytest.mark.broker

ENDLESS = r"/events$"  # streams that end with the server alone
EXAMPLES = 12  # an operation and mode
MODES = (GenerationMode.POSITIVE, GenerationMode.NEGATIVE)


@pytest.fixture(scope="module")
def described(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BaseSchema]:
    """The description of a real server, beside a tank that lives and a store that was written."""
    with demo_place(tmp_path_factory.mktemp("boathouse")) as place:
        place.play(40)
        with place.living():
            schema = schemathesis.openapi.from_url(f"{place.address}/openapi.json")
            yield schema.exclude(path_regex=ENDLESS)


@pytest.mark.parametrize("mode", MODES)
def test_every_answer_is_as_described(described: BaseSchema, mode: GenerationMode) -> None:
    tried = 0
    for found in described.get_all_operations():
        assert isinstance(found, Ok), found
        operation = found.ok()

        @settings(
            max_examples=EXAMPLES,
            derandomize=True,
            database=None,
            phases=(Phase.explicit, Phase.generate),
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy(generation_mode=mode))
        def check(case: Case[Any]) -> None:
            answer = case.call(timeout=30)
            if answer.status_code != HTTPStatus.REQUEST_ENTITY_TOO_LARGE:  # before any route has seen it
                case.validate_response(answer)

        with suppress(Unsatisfiable):  # an operation that takes nothing cannot be given anything wrong
            check()
            tried += 1
    assert tried > 15
