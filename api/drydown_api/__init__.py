"""The status API."""
