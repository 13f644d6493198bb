"""The tests of fuel that a person can do or have done, a table: methods, how sure they are, what is allowed.

Values are in SI units. How sure a method is, is one standard error of a careful person's result.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from drydown.config.model import Fuel
from drydown.physics.limits import EN_14214, Limit
from drydown.texts.language import later


@dataclass(frozen=True, slots=True)
class Method:
    """A way to find the value: its standard error is the larger of a share of the value and a least one."""

    title: str
    share: float = 0.0
    least: float = 0.0

    def sigma(self, value: float) -> float:
        """Standard error of a value found so, in its unit."""
        return max(self.share * value, self.least)


@dataclass(frozen=True, slots=True)
class Test:
    """A kind of test. `feeds`: the content that the estimate takes it for; `good`: the words that are well.

    A test is `due` where fuel should not be released without it.
    """

    title: str
    about: str
    methods: Mapping[str, Method]
    limit: Limit | None = None
    by: str = ""  # whose limit it is
    good: tuple[str, ...] = ()
    feeds: str = ""
    due: bool = False


EN = "EN 14214"
PRACTICE = later("common practice, no source")
OTHER = {"other": Method(later("another way"), 0.2)}
SOAP_LIMIT = EN_14214["sodium and potassium"].high or 0.0
OLEATE, SODIUM = 304.4, 22.99  # g/mol

TESTS: Mapping[str, Test] = {
    "appearance-test": Test(
        later("Appearance"),
        later("Warm a clean glass to room temperature, fill it, and read print through it."),
        {},
        by=PRACTICE,
        good=("bright",),
        due=True,
    ),
    "water": Test(
        later("Water"),
        later("Send a dry, full bottle to be titrated, or use a pressure kit."),
        {
            "karl-fischer": Method(
                later("Karl Fischer, ISO 12937"), 0.06, 20e-6
            ),  # reproducibility; from memory
            "hydride": Method(later("calcium hydride pressure kit"), 0.15, 60e-6),  # from memory
            "crackle": Method(later("crackle in a hot pan"), 0.5, 300e-6),  # common practice, no source
            **OTHER,
        },
        EN_14214["water"],
        EN,
        feeds="water",
        due=True,
    ),
    "methanol": Test(
        later("Methanol"),
        later(
            "A laboratory's gas chromatograph, or the mass that a weighed sample loses when it is kept warm."
        ),
        {
            "chromatograph": Method(later("gas chromatograph, EN 14110"), 0.08, 0.0001),  # from memory
            "weighing": Method(later("loss of mass when warm"), 0.25, 0.0005),  # common practice, no source
            **OTHER,
        },
        EN_14214["methanol"],
        EN,
        feeds="methanol",
    ),
    "flash-point-test": Test(
        later("Flash point"),
        later("Closed cup, by a laboratory, never with a flame beside the tank. Methanol lowers it first."),
        {
            "closed-cup": Method(later("closed cup, ISO 2719 or ASTM D93"), 0.0, 3.0),  # from memory
            "other": Method(later("another way"), 0.0, 8.0),
        },
        EN_14214["flash point"],
        EN,
    ),
    "solubility-test": Test(
        later("Methanol solubility"),
        later(
            "3 mL of fuel in 27 mL of methanol, shaken at room temperature: oil that did not react falls out."
        ),
        {},
        by=PRACTICE,
        good=("clear",),
        due=True,
    ),
    "soap-test": Test(
        later("Soap"),
        later("Titrate with 0.01 N hydrochloric acid and bromophenol blue until blue turns yellow."),
        {"titration": Method(later("titration, after AOCS Cc 17-95"), 0.08, 5e-6), **OTHER},  # from memory
        Limit("kg/kg", high=SOAP_LIMIT * OLEATE / SODIUM),
        later("EN 14214, its sodium as soap"),
        due=True,
    ),
    "ph-test": Test(
        later("pH of the wash water"),
        later("Only where the fuel is washed: dip a strip into the water that was drained."),
        {"strip": Method(later("test strip"), 0.0, 0.5), "meter": Method(later("meter"), 0.0, 0.1)},
        Limit("1", low=6.0, high=8.0),
        PRACTICE,
    ),
    "cloud-point-test": Test(
        later("Cloud point"),
        later("Cool a sample slowly in a glass with a thermometer, and note when the first haze comes."),
        {
            "standard": Method(later("ISO 3015 or ASTM D2500"), 0.0, 1.5),  # from memory
            "glass": Method(later("in a glass"), 0.0, 2.0),
        },
    ),
}
"""By the kind of the logbook's entry, or the content that the estimate is told."""


def limits_of(fuel: Fuel) -> Mapping[str, Limit]:
    """What is allowed by kind, with the configuration's own limits for what the estimate is about."""
    own = {"methanol": fuel.methanol_limit, "water": fuel.water_limit}
    found = {kind: test.limit for kind, test in TESTS.items() if test.limit is not None}
    return found | {kind: Limit("kg/kg", high=high) for kind, high in own.items()}


def is_within(kind: str, value: float | str, limits: Mapping[str, Limit]) -> bool | None:
    """Whether a result is allowed; None where nothing says so."""
    if isinstance(value, str):
        good = TESTS[kind].good
        return value in good if good else None
    return limits[kind].allows(value) if kind in limits else None
