"""Why a run took longer than another, from what was recorded of both."""

from drydown.differences import explain
from drydown.explained import Conditions
from drydown.quantities import ZERO_CELSIUS
from drydown.texts import differences as texts
from drydown_pages.runs.compare import Against, Laid


def against(first: Laid, other: Laid, limit: float) -> Against:
    """What made `other` take longer than `first`; `limit` of methanol is a mass fraction."""
    before, after = _conditions(first), _conditions(other)
    if before is None or after is None:
        return Against(texts.not_gone(other.name, first.name), "")
    found = explain(before, after, limit)
    return Against(
        texts.difference(after.took - before.took, other.name, first.name),
        texts.most(found),
        tuple(texts.shares(found)),
    )


def _conditions(laid: Laid) -> Conditions | None:
    review = laid.review
    start, volume = review.methanol_start, review.totals.volume
    if review.gone_after is None or start is None or volume is None or laid.fuel is None:
        return None
    return Conditions(start, laid.fuel + ZERO_CELSIUS, volume, laid.flow, review.gone_after)
