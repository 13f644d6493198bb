"""forward.md: how to send the record on to a server, what stands there then, and what if it fails."""

import json
from collections.abc import Iterator
from pathlib import Path

from drydown.bus.records import SPREADS
from drydown.forward import deliver, line_protocol, service
from drydown.forward.line_protocol import ESTIMATE, EVENT, READING, Series, event_line, series_lines
from drydown.forward.progress import progress_path, refused_path
from drydown.guide import markdown
from drydown.quantities import DERIVED, MEASURED
from drydown.store.arrived import MOST
from drydown.texts.amounts import duration

CONFIGURATION = """\
```toml
[forward]
url = "https://harbour.local:8086"
org = "co-op"
bucket = "fuel"
token_file = "/etc/drydown/forward.token"   # the token alone
# ca_file = "/etc/drydown/harbour.pem"      # where no public authority signed the server's certificate
```"""

TOLD = {
    "alarm": "name of the alarm",
    "change": "what became of it",
    "command": "what a person asked for",
    "level": "what the level told: a filling, a draw, …",
    "priority": "of an alarm or notice",
    "stage": "that began",
}
"""What the tags of an event are about."""

SAMPLE = 1_789_200_000_000  # Unix ms
HERE = Path()


def page() -> str:
    """The whole page."""
    return markdown.page(
        "Sending the record on",
        "`drydown forward` sends everything that comes into the store on to a server with the write "
        "interface of InfluxDB v2 (`POST /api/v2/write`, line protocol), and remembers how far it has come. "
        "The store on the board stays the record: pages, alarms and estimates need no server, and nothing "
        "comes back from it. A server that fails, hangs or refuses touches neither watcher nor recorder.",
        *_setting_up(),
        *_what_stands_there(),
        *_failing(),
    )


def _setting_up() -> Iterator[str]:
    yield "## Setting it up"
    yield CONFIGURATION
    yield (
        "1. Make the bucket, and a token that may write it and do nothing else. Put it into the file: "
        "`sudo install -m 0640 -g drydown /dev/stdin /etc/drydown/forward.token`, paste, Ctrl-D.\n"
        "2. `drydown check` tries the server without writing anything, and says what to mend.\n"
        "3. Start the recorder again: from now on it lists what comes in.\n"
        "4. On a board run `deploy/install` again: it enables `drydown-forward` where `[forward]` stands in "
        "`/etc/drydown/site.toml`, and disables it where it does not. Elsewhere: "
        "`drydown forward --config site.toml`."
    )
    yield (
        "What is in the store already is sent too, all of it, the oldest first. The same holds after a "
        f"restored backup, for another `url`, `org` or `bucket`, when `{progress_path(HERE).name}` in the "
        f"site's folder is deleted, and after an outage in which more than {MOST:,} stretches came in."
    )
    yield (
        "With victoria-metrics say `-retentionPeriod`, as it forgets after a month otherwise, and "
        "`-dedup.minScrapeInterval=1ms`, so that a point that comes twice counts once. It keeps numbers "
        "alone: texts and the bodies of events stay in the board's store."
    )


def _what_stands_there() -> Iterator[str]:
    yield "## What stands there"
    yield markdown.table(("measurement", "tags", "fields"), _measurements())
    yield (
        "Numbers are floats, what is on or off is 1 or 0, times are those of the reading in nanoseconds. The "
        f"tag `{'='.join(line_protocol.UNSURE)}` is only on what was read before anybody had set the board's "
        "clock. When the clock is set, the same is sent once more with its right time and without that tag: "
        "leave out what has it. A reading that is judged later is sent again; then `quality` stands beside "
        "it (1 doubtful, 2 bad; none where it is good). Thinning of the board's store takes nothing from the "
        "server."
    )
    yield "A reading, an estimate with its range, and an event:"
    yield "```\n" + "\n".join(_samples()) + "\n```"
    yield "### Readings"
    yield markdown.table(("`name`", "`unit`"), _names())
    yield (
        "Those with a range, marked ±, have `low` and `high` beside `value`: the 5 % and 95 % points. Units "
        "are symbols of SenML (RFC 8428): `Cel` is °C, `/` a share of one, `%RH` relative humidity. Where "
        "there is no unit, there is no tag."
    )
    yield "### Estimates"
    yield markdown.table(("`name`", "`unit`"), _estimates())
    yield (
        "One a minute while there is something to estimate. Contents are by mass; times are Unix time in s; "
        "`emission` is in kg/s, for which SenML has no unit."
    )
    yield "### Events"
    yield (
        "Each has the field `happened`, which is 1, and `body`, its JSON as it stands in the store. The last "
        "six digits of its time tell two of one millisecond apart. These tags are there where an event has "
        "them:"
    )
    yield markdown.table(("tag", "what it is"), ((f"`{name}`", TOLD[name]) for name in line_protocol.TOLD))


def _failing() -> Iterator[str]:
    yield "## Order, repeats, failures"
    yield (
        f"Points go in batches of about {service.LINES:,}, the oldest first. How far it has come is written "
        f"down at least every {duration(service.SAVE)} while it sends. After a power cut what was sent since "
        "then is sent again, with the same tags and the same time, which changes nothing. Nothing is left "
        "out."
    )
    yield markdown.table(("the server", "what drydown does"), _failures())
    yield (
        "Every kind of failure is said in one sentence in the log of `drydown forward`, once until it "
        "changes, and `drydown check` says it when it is asked. What somebody has to mend, points that were "
        f"refused, and a server that was away for {duration(service.LONG_AWAY)} raise `watch-degraded`, with "
        "priority low. What a server had said to have and then lost, as in a power cut of its own, is not "
        f"sent again by itself: stop the sender, delete `{progress_path(HERE).name}` and start it, and "
        "everything is sent."
    )
    yield (
        "What leaves the board: names of site and tanks, readings, and in events also what people wrote and "
        "the names that they gave. Use https:// where the way to the server is not your own."
    )


def _measurements() -> Iterator[tuple[str, str, str]]:
    about, numbers = "`name`, `site`, `tank`, `unit`", "`value`, `low`, `high`"
    yield f"`{READING}`", about, f"{numbers}, `text`, `quality`, `reason`"
    yield f"`{ESTIMATE}`", about, f"{numbers}, `text`"
    told = ", ".join(f"`{name}`" for name in line_protocol.TOLD)
    yield f"`{EVENT}`", f"`kind`, `site`, `tank`; where it has them {told}", "`happened`, `body`"


def _samples() -> Iterator[str]:
    ranged = (("", 0.0042), ("/low", 0.0031), ("/high", 0.0055))
    for name, unit, value in [
        ("fuel/temperature", "Cel", 41.5),
        *((f"estimate/methanol{end}", "/", value) for end, value in ranged),
    ]:
        row = (SAMPLE, value, None, None, None)
        yield from series_lines(Series("boathouse", "heron", name, unit), [row], is_sure=True)
    body = json.dumps({"kind": "stage", "time": SAMPLE / 1000, "stage": "bubbling", "by": "drydown"})
    yield event_line("boathouse", "heron", "stage", SAMPLE, "a", body, is_sure=True)


def _names() -> Iterator[tuple[str, str]]:
    both = {name: quantity.unit for name, quantity in (MEASURED | DERIVED).items()}
    for name, unit in both.items():
        if name.rpartition("/")[2] not in line_protocol.ENDS:
            yield _ranged(name, is_ranged=f"{name}/low" in both), f"`{unit}`" if unit else ""


def _estimates() -> Iterator[tuple[str, str]]:
    for name, unit in SPREADS.items():
        stem = name.removeprefix(line_protocol.BEGINS)
        yield _ranged(stem, is_ranged=True), f"`{unit}`" if unit else ""
    yield "`run_time`", "`s`"
    yield "`methanol_done`: 1 or 0", ""
    yield "`verdict`: its name, in the field `text`", ""


def _ranged(name: str, *, is_ranged: bool) -> str:
    return f"`{name}` ±" if is_ranged else f"`{name}`"


def _failures() -> Iterator[tuple[str, str]]:
    first, longest = duration(service.AWAY_FIRST), duration(service.AWAY_LONGEST)
    yield (
        "can't be reached, is busy (408, 429), or fails (5xx)",
        f"waits, at first {first}, each time longer, or as long as the server asks for, but at most "
        f"{longest}; then goes on where it was",
    )
    first, longest = duration(service.REFUSED_FIRST), duration(service.REFUSED_LONGEST)
    yield (
        "refuses the token (401, 403), knows no such bucket (404), or has a certificate that is not trusted",
        f"says which, and tries again, at first after about {first}, at most {longest}: token and "
        "certificate are read anew each time; after a change of `[forward]` itself start it anew",
    )
    yield (
        "refuses a batch (400, 413, 422)",
        "halves it until the bad points stand alone, writes each with the server's words into "
        f"`{refused_path(HERE).name}` in the site's folder (at most {deliver.LARGEST / 1e6:g} MB), and goes "
        "on with everything else; delete that file when you have seen it",
    )
