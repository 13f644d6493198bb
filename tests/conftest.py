"""Fixtures that every test may ask for, how hypothesis tries, and which files come first."""

import pytest
from hypothesis import HealthCheck, settings

pytest_plugins = ["support.broker"]

settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Those of the browser, which share it; then the largest, which take longest and would end alone."""
    items.sort(key=lambda item: ("browser" not in item.path.parts, -item.path.stat().st_size))
