"""The kinds of entries, a table: what each holds, in SI units, and what is allowed.

An entry changes nothing that is watched; it is recorded, and read when a batch is looked back on.
"""

from collections.abc import Mapping
from dataclasses import dataclass

LONGEST_NAME = 64


@dataclass(frozen=True, slots=True)
class Number:
    """A field with a number from `least` to `most`, in an SI unit ("1": none)."""

    unit: str
    least: float
    most: float
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Choice:
    """A field with one of some words."""

    allowed: tuple[str, ...]
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Name:
    """A field with a short text of one's own."""

    needed: bool = True


Field = Number | Choice | Name

VOLUME = Number("m3", 0.0, 2.0)  # larger than any finishing tank
METHOD = Name(needed=False)
AGO = Number("s", 0.0, 604_800.0, needed=False)  # before the entry, when the sample was taken

KINDS: Mapping[str, Mapping[str, Field]] = {
    "drained": {
        "seen": Choice(("dark", "milky", "clear")),
        "volume": Number("m3", 0.0, 2.0, needed=False),
    },
    "solubility-test": {"result": Choice(("clear", "cloudy", "drops")), "method": METHOD, "ago": AGO},
    "soap-test": {"value": Number("kg/kg", 0.0, 0.1), "method": METHOD, "ago": AGO},
    "flash-point-test": {"value": Number("K", 253.15, 523.15), "method": METHOD, "ago": AGO},
    "appearance-test": {"result": Choice(("bright", "hazy", "cloudy", "sediment")), "ago": AGO},
    "ph-test": {"value": Number("1", 0.0, 14.0), "method": METHOD, "ago": AGO},
    "cloud-point-test": {"value": Number("K", 223.15, 323.15), "method": METHOD, "ago": AGO},
    "sent": {"volume": VOLUME, "to": Name()},
    "upkeep": {"part": Choice(("filter", "cover-cloth", "air-filter", "bubbler", "hoses", "blower"))},
    "checked": {
        "item": Choice(
            (
                "drain-closed",
                "vent-open",
                "cover-on",
                "no-flame",
                "hoses",
                "blower-outside",
                "earthed",
                "somebody-near",
            )
        ),
        "answer": Choice(("yes", "no")),
    },
    "released": {},
}
"""By the name of the kind: its fields by name."""
