"""What the API answers about tending a tank: settling, draws, upkeep, the list before a start."""

from drydown_api.answers import Answer, SpreadAnswer


class DrawingAnswer(Answer):
    """How long a draw takes, in s: `whole` down to the standpipe, `takes` for what was `asked`.

    Where that is not `enough`, it is all there is. Volumes in m3 at 15 °C; `flow` (m3/s) is what would run
    now; `drawable` is by the level at `time`. What `draws` do not tell yet is null.
    """

    time: float | None
    drawable: float | None
    draws: int
    flow: SpreadAnswer | None
    whole: SpreadAnswer | None
    asked: float | None
    takes: SpreadAnswer | None
    enough: bool
    said: str


class SettlingAnswer(Answer):
    """What has settled up to `time` since the fuel came to rest; lengths in m, times in Unix s.

    While nothing `settles`, or it is not on record, the rest is null. `height` is from the surface down to
    the standpipe; drops of `smallest` and more have all fallen through it. Those of `size` have `fallen` so
    far, and are below the standpipe at `down_at`. At `drain_at` drops of the usual size are at the bottom.
    `counsel` is what the drains since then tell: again, much, wait, once-more, enough.
    """

    stage: str
    settles: bool
    size: float
    time: float | None = None
    since: float | None = None
    height: float | None = None
    smallest: SpreadAnswer | None = None
    fallen: SpreadAnswer | None = None
    down_at: SpreadAnswer | None = None
    drain_at: SpreadAnswer | None = None
    counsel: str | None = None
    drain_again_at: float | None = None
    said: list[str]


class CheckAnswer(Answer):
    """A thing that was read before a start: well, not-well or unknown."""

    name: str
    sign: str
    said: str


class LookAnswer(Answer):
    """A thing to look at before a start; who did, and when, is null where nobody did within some hours."""

    item: str
    said: str
    time: float | None
    who: str | None


class StartListAnswer(Answer):
    """What to go through before a start of the blower, at `time`."""

    time: float
    read: list[CheckAnswer]
    asked: list[LookAnswer]


class FilterAnswer(Answer):
    """The filter's element since it was `changed`: m3 (at 15 °C) drawn through it, in `lasted` s.

    `left` is the share of its flow when new. `reasons` for a change: faded, litres.
    """

    changed: float | None
    by: str | None
    drawn: float
    lasted: float
    left: SpreadAnswer | None
    reasons: list[str]
    said: str


class PartAnswer(Answer):
    """A part to look after, `last` done then; since then the blower ran `blown` of `every_blown` s, and
    `lasted` of `every` s went by. Never noted: counted from the first run on record.
    """

    part: str
    last: float | None
    by: str | None
    blown: float
    every_blown: float | None
    lasted: float
    every: float | None
    due: bool


class UpkeepAnswer(Answer):
    """What is to be looked after. How often is common practice, no more."""

    filter: FilterAnswer
    parts: list[PartAnswer]
