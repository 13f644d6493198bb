"""Fixtures that every test may ask for, and how hypothesis tries."""

from hypothesis import HealthCheck, settings

pytest_plugins = ["support.broker"]

settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")
