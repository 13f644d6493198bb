"""Entries of the logbook, and other things that people told, as sentences."""

from collections.abc import Mapping
from typing import Any

from drydown.quality.results import results_of
from drydown.texts import quality
from drydown.texts.amounts import litres

SEEN = {"dark": "dark glycerin", "milky": "something milky", "clear": "clear fuel"}
PARTS = {
    "filter": "the filter's element",
    "cover-cloth": "the cover's cloth",
    "air-filter": "the blower's air filter",
    "bubbler": "the drilled pipe",
    "blower": "the blower",
}
ITEMS = {
    "drain-closed": "the drain is closed",
    "vent-open": "the vent is open",
    "cover-on": "the cover is on",
    "no-flame": "there is no flame or spark near",
    "hoses": "hoses and clamps are tight",
    "blower-outside": "the blower draws its air from outside the vapour",
}


def said(line: Mapping[str, Any]) -> str:
    """An entry that was recorded, as a sentence."""
    who, values = line["who"], line["values"]
    tests = results_of([line])
    if tests:
        return f"{who} tested the fuel: {quality.told(tests[0])}."
    match line["entry"]:
        case "drained":
            much = f", {litres(values['volume'])}" if "volume" in values else ""
            return f"{who} drained {SEEN[values['seen']]}{much}."
        case "sent":
            return f"{who} put {litres(values['volume'])} into {values['to']}."
        case "upkeep":
            return f"{who} changed or cleaned {PARTS[values['part']]}."
        case "checked":
            answer = "" if values["answer"] == "yes" else " (no!)"
            return f"{who} looked whether {ITEMS[values['item']]}{answer}."
        case "released":
            return f"{who} released the fuel."
    return f"{who} entered something that this drydown does not know."
