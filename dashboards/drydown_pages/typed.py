"""What a person typed into a form, read: numbers with a point or a comma, refused in a sentence."""

import math

from drydown.texts.language import say


class TypedError(ValueError):
    """What was typed can't be used; the text says what is allowed."""


def number(typed: str, least: float, most: float) -> float:
    """A number from `least` to `most`. Raises TypedError."""
    try:
        found = float(typed.strip().replace(",", ".").replace("−", "-"))
    except ValueError:
        found = math.nan
    if not least <= found <= most:
        told = say("This has to be a number from {least} to {most}.", least=_said(least), most=_said(most))
        raise TypedError(told)
    return found


def _said(value: float) -> str:
    return f"{value:.4g}".replace("-", "−")
