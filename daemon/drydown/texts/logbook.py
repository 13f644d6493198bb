"""Entries of the logbook, and other things that people told, as sentences."""

from collections.abc import Mapping
from typing import Any

from drydown.quality.results import results_of
from drydown.texts import quality
from drydown.texts.amounts import litres
from drydown.texts.language import later, say

SEEN = {
    "dark": later("dark glycerin"),
    "milky": later("something milky"),
    "clear": later("clear fuel"),
}
PARTS = {
    "filter": later("{who} changed the filter's element."),
    "cover-cloth": later("{who} washed or changed the cover's cloth."),
    "air-filter": later("{who} cleaned the blower's air filter."),
    "bubbler": later("{who} cleaned the drilled pipe."),
    "hoses": later("{who} looked at hoses and clamps, or changed them."),
    "blower": later("{who} looked after the blower."),
}
ITEMS = {
    "drain-closed": later("{who} looked whether the drain is closed: {answer}."),
    "vent-open": later("{who} looked whether the vent is open: {answer}."),
    "cover-on": later("{who} looked whether the cover is on: {answer}."),
    "no-flame": later("{who} looked whether there is no flame or spark near: {answer}."),
    "hoses": later("{who} looked whether hoses and clamps are tight: {answer}."),
    "blower-outside": later("{who} looked whether the blower draws clean air: {answer}."),
    "earthed": later("{who} looked whether the tank is bonded and earthed: {answer}."),
    "somebody-near": later("{who} asked whether somebody stays near: {answer}."),
}
ANSWERS = {"yes": later("yes"), "no": later("no")}


def said(line: Mapping[str, Any]) -> str:
    """An entry that was recorded, as a sentence."""
    who, values = line["who"], line["values"]
    tests = results_of([line])
    if tests:
        return say("{who} tested the fuel: {found}.", who=who, found=quality.found(tests[0]))
    match line["entry"]:
        case "drained" if "volume" in values:
            much = litres(values["volume"])
            return say("{who} drained {seen}, {much}.", who=who, seen=say(SEEN[values["seen"]]), much=much)
        case "drained":
            return say("{who} drained {seen}.", who=who, seen=say(SEEN[values["seen"]]))
        case "sent":
            much = litres(values["volume"])
            return say("{who} put {much} into {place}.", who=who, much=much, place=values["to"])
        case "upkeep":
            return say(PARTS[values["part"]], who=who)
        case "checked":
            return say(ITEMS[values["item"]], who=who, answer=say(ANSWERS[values["answer"]]))
        case "released":
            return say("{who} released the fuel.", who=who)
    return say("{who} entered something that this drydown does not know.", who=who)
