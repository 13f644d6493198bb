"""What a person typed into a form, read: numbers with a point or a comma, refused in a sentence."""

import math


class TypedError(ValueError):
    """What was typed can't be used; the text says what is allowed."""


def number(typed: str, least: float, most: float) -> float:
    """A number from `least` to `most`. Raises TypedError."""
    try:
        found = float(typed.strip().replace(",", ".").replace("−", "-"))
    except ValueError:
        found = math.nan
    if not least <= found <= most:
        raise TypedError(f"This has to be a number from {_said(least)} to {_said(most)}.")
    return found


def _said(value: float) -> str:
    return f"{value:.4g}".replace("-", "−")
