"""Reads forms as a person filled them in: what they typed becomes a command, in SI units."""

from collections.abc import Mapping, Sequence
from typing import Any

from drydown.logbook.entry import EntryError, entry_of
from drydown.logbook.kinds import KINDS
from drydown.orders import LONGEST_AGO
from drydown.quality.kinds import TESTS
from drydown.quality.soap import soap
from drydown.quantities import ZERO_CELSIUS
from drydown.texts.amounts import GALLON, degrees
from drydown.texts.language import later, say
from drydown.texts.liking import LIKING
from drydown_pages.quality import words_of
from drydown_pages.typed import TypedError, number

MINUTE = 60.0  # s
LITRE, LARGEST = 0.001, 2.0  # m³; as the kinds of entries have it
SOMEBODY = later("somebody at the page")
ML, GRAM = 1e-6, 1e-3  # m³, kg
MOST_TITRATED, MOST_WEIGHED = 100.0, 500.0  # mL, g
WARMTHS = {"flash-point-test": (273.15, 523.15), "cloud-point-test": (223.15, 323.15)}  # K


class FormError(ValueError):
    """A form that can't be taken: what is wrong, by field."""

    def __init__(self, troubles: Mapping[str, str]) -> None:
        super().__init__("; ".join(f"{name}: {said}" for name, said in troubles.items()))
        self.troubles = dict(troubles)


def order_of_form(typed: Mapping[str, str]) -> dict[str, Any]:
    """The command that a form means, without who gives it. Raises FormError."""
    kind = typed.get("kind", "")
    if kind not in TESTS:
        raise FormError({"kind": f"allowed is {', '.join(TESTS)}"})
    reader = _Reader(typed)
    ago = reader.number("ago", 0.0, LONGEST_AGO / MINUTE, 0.0) * MINUTE
    method = typed.get("method", "")
    if TESTS[kind].methods and method not in TESTS[kind].methods:
        reader.troubles["method"] = say("Say how it was found.")
    values: dict[str, Any] = {"ago": ago} if ago else {}
    values |= {"method": method} if TESTS[kind].methods else {}
    result = _result(kind, reader)
    if reader.troubles:
        raise FormError(reader.troubles)
    if TESTS[kind].feeds:
        sigma = TESTS[kind].methods[method].sigma(float(result))
        return {"command": "bench-test", "quantity": kind, "value": result, "sigma": sigma, **values}
    name = "result" if isinstance(result, str) else "value"
    return {"command": "entry", "entry": kind, "values": {name: result, **values}}


def entry_of_form(typed: Mapping[str, str]) -> dict[str, Any]:
    """The command of any other entry of the logbook, without who makes it. Raises FormError."""
    kind = typed.get("entry", "")
    told = {name: typed.get(name, "").strip() for name in KINDS.get(kind, {})}
    values: dict[str, Any] = {name: value for name, value in told.items() if value}
    if "volume" in values:
        size = LITRE if LIKING.get().volume == "litres" else GALLON
        try:
            values["volume"] = number(values["volume"], 0.0, round(LARGEST / size)) * size
        except TypedError as error:
            raise FormError({"volume": str(error)}) from error
    try:
        entry = entry_of(kind, values, SOMEBODY)
    except EntryError as error:
        raise FormError({kind: str(error)}) from error
    return {"command": "entry", "entry": entry.kind, "values": dict(entry.values)}


class _Reader:
    """Reads one field after the other, and notes what is wrong with each."""

    def __init__(self, typed: Mapping[str, str]) -> None:
        self._typed = typed
        self.troubles: dict[str, str] = {}

    def number(self, name: str, least: float, most: float, usual: float | None = None) -> float:
        typed = self._typed.get(name, "").strip()
        if not typed and usual is not None:
            return usual
        try:
            return number(typed, least, most)
        except TypedError as error:
            self.troubles[name] = str(error)
            return least

    def one_of(self, name: str, allowed: Sequence[str]) -> str:
        typed = self._typed.get(name, "")
        if typed not in allowed:
            self.troubles[name] = say("Choose what you saw.")
        return typed


def _result(kind: str, reader: _Reader) -> float | str:
    words = words_of(kind)
    if words:
        return reader.one_of("result", [word for word, _ in words])
    match kind:
        case "methanol":
            return reader.number("value", 0.0, 50.0) / 100.0
        case "water":
            return reader.number("value", 0.0, 500_000.0) / 1e6
        case "soap-test":
            acid = reader.number("acid", 0.0, MOST_TITRATED) * ML
            blank = reader.number("blank", 0.0, MOST_TITRATED, 0.0) * ML
            fuel = reader.number("fuel", 0.1, MOST_WEIGHED) * GRAM
            return min(soap(acid, fuel, blank), 0.1)
        case "ph-test":
            return reader.number("value", 0.0, 14.0)
    least, most = WARMTHS[kind]
    found = reader.number("value", round(degrees(least)), round(degrees(most)))
    return ZERO_CELSIUS + (found if LIKING.get().temperature == "celsius" else (found - 32.0) / 1.8)
