"""A client of the boathouse, whose tank each module of tests lets live to the moment that it is about."""

from collections.abc import Iterator

import httpx
import pytest

from support.demo_place import DemoPlace


@pytest.fixture
def api(boathouse: DemoPlace) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=boathouse.address, trust_env=False, timeout=30) as client:
        yield client
