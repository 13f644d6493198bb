"""What can be wrong with a channel or with another board: how it is noticed, how soon, and what is told.

Probes take their words from here, and the guide's table of faults is written from it. What conditioning
finds in the values stands in `condition.kinds`; DS18B20s have words of their own in `w1_kinds`.
"""

from drydown.condition.kinds import AT_ONCE, Fault
from drydown.reading import Quality

INTERVAL = 1.0  # s between two reads of one probe
PATIENCE = 10.0  # s without an answer before a probe counts as absent

LOOP_LOW, LOOP_HIGH = 3.6e-3, 21.0e-3  # A; there and beyond a transmitter reports a fault (NAMUR NE 43)
LOOP_LEAST, LOOP_MOST = 3.8e-3, 20.5e-3  # A; between these it measures (NAMUR NE 43)

MOST_BYTES, MOST_RECORDS = 20_000, 200  # of a message
EARLY = 5.0  # s that a sender's clock may be ahead of ours
OLDEST = 3600.0  # s; no probe may ask for older readings than that
RATE = 20.0  # messages a second that are read of one sender
BURST = 60.0  # messages that may come at once
CALM = 30.0  # s without one message too many, after which a flood is over
MUTED = 10.0  # s for which the broker is asked to keep a sender's messages who floods
FLOOD = 100  # messages too many between two looks, one second, before that
LIES, LIES_WITHIN = 3, 60.0  # messages refused within so many s make a sender a liar

HUNG = Fault(
    "a probe hangs",
    Quality.BAD,
    "its driver does not answer; the other probes are read on",
    f"{PATIENCE:g} s",
    "{probe} has not answered for {seconds:.0f} s: "
    "check its plug and cable; if it stays silent, restart the board",
)
FAILED = Fault(
    "a driver fails", Quality.BAD, "reading it ends in an error", AT_ONCE, "{probe} failed: {error}"
)
NO_DEVICE = Fault(
    "no such device",
    Quality.BAD,
    "the kernel shows no device of that name",
    AT_ONCE,
    "no {family} device is named {device} (there are: {present}): "
    "check its wiring, its address and its driver",
)
TWO_DEVICES = Fault(
    "two devices of one name",
    Quality.BAD,
    "the kernel shows more than one of that name",
    AT_ONCE,
    "{count} {family} devices are named {device}: write {choice} instead",
)
NO_KIND = Fault(
    "a channel of no known kind",
    Quality.BAD,
    "by the letters that its name begins with",
    AT_ONCE,
    "{family} channel {channel} is of no kind that drydown reads: channels begin with {kinds}",
)
NO_CHANNEL = Fault(
    "no such channel",
    Quality.BAD,
    "the device has no file for it",
    AT_ONCE,
    "{device} has no channel {channel} that gives a number "
    "(it has: {present}): check the channel's name and the wiring",
)
CHANNEL_FAULT = Fault(
    "the driver reports a fault",
    Quality.BAD,
    "the channel's `_fault` file says so",
    AT_ONCE,
    "{channel} of {device} reports a broken or missing sensor: check its plug and cable",
)
UNREADABLE = Fault(
    "a channel can't be read",
    Quality.BAD,
    "the kernel gives an error for its file",
    AT_ONCE,
    "{file} cannot be read ({error}): check the device's wiring and supply",
)
BUSY = Fault(
    "a channel is in use",
    Quality.BAD,
    "the kernel says that it is busy: another program has switched the device's buffer on",
    AT_ONCE,
    "{file} cannot be read while the buffer of {device} is on: "
    "end the program that uses it, or write 0 into its buffer/enable",
)
NO_NUMBER = Fault(
    "a channel gives no number",
    Quality.BAD,
    "its file holds something else",
    AT_ONCE,
    "{file} holds no number: check the device's driver",
)
UNCALIBRATED = Fault(
    "no finite number after calibration",
    Quality.BAD,
    "what gain and zero make of it",
    AT_ONCE,
    "{probe} gives no finite number: check its gain, its zero and its driver",
)
LOOP_DEAD = Fault(
    "current loop dead",
    Quality.BAD,
    f"{LOOP_LOW * 1000:g} mA or less (NAMUR NE 43)",
    AT_ONCE,
    "the current loop carries {milliamperes:.2f} mA, where "
    f"{LOOP_LOW * 1000:g} mA or less says that a wire is broken, or the transmitter dead or faulty",
)
LOOP_SHORTED = Fault(
    "current loop shorted",
    Quality.BAD,
    f"{LOOP_HIGH * 1000:g} mA or more (NAMUR NE 43)",
    AT_ONCE,
    "the current loop carries {milliamperes:.2f} mA, where "
    f"{LOOP_HIGH * 1000:g} mA or more says that wires are shorted, or the transmitter faulty",
)
LOOP_BEYOND = Fault(
    "current loop at its stop",
    Quality.DOUBTFUL,
    f"outside {LOOP_LEAST * 1000:g} to {LOOP_MOST * 1000:g} mA, but no fault signal (NAMUR NE 43)",
    AT_ONCE,
    "the current loop carries {milliamperes:.2f} mA, outside the "
    f"{LOOP_LEAST * 1000:g} to {LOOP_MOST * 1000:g} mA in which a transmitter measures: "
    "what it measures is beyond its range",
)
BOARD_SILENT = Fault(
    "another board is silent",
    Quality.BAD,
    "nothing that can be used has come from it",
    "`max_age` of the probe, 30 s unless configured",
    "board {board} has not sent {name} for {seconds:.0f} s: {mend}",
)

RETAINED = Fault(
    "a retained message",
    Quality.BAD,
    "the broker marks it",
    "that message is not read",
    "it is a retained message, whose age nobody knows: send without the retain flag",
)
NOT_SENML = Fault(
    "a message that is not SenML of the tank",
    Quality.BAD,
    f"its schema, its units, a size above {MOST_BYTES} bytes or {MOST_RECORDS} records",
    "that message is not read",
    "it is not SenML of this tank: {error}",
)
SENT_EARLY = Fault(
    "a message from the future",
    Quality.BAD,
    f"a time in it is more than {EARLY:g} s ahead of the board's clock",
    "that message is not read",
    "{name} is stamped {seconds:.0f} s in the future: set both clocks, or send no time",
)
SENT_LATE = Fault(
    "an old message",
    Quality.BAD,
    f"a time in it is more than {OLDEST:g} s ago",
    "that message is not read",
    "{name} is {seconds:.0f} s old: set both clocks, or send no time",
)
LIAR = Fault(
    "a board whose messages can't be used",
    Quality.BAD,
    f"{LIES} messages within {LIES_WITHIN:g} s could not be used",
    f"with the last of them; it is over {LIES_WITHIN:g} s later; `watch-degraded` tells, after its delay",
    "messages of board {board} cannot be used: {reason}",
)
FLOODER = Fault(
    "a board that floods",
    Quality.BAD,
    f"more than {RATE:g} messages a second; the rest are not read, and if there are very many the broker is "
    f"asked to keep them for {MUTED:g} s at a time",
    f"with the first too many; it is over after {CALM:g} s without one. `watch-degraded` tells of it, "
    "after its delay",
    "board {board} floods: more than "
    f"{RATE:g} messages a second came from it, and the rest are not read: check what it runs",
)

FAULTS: tuple[Fault, ...] = tuple(fault for fault in list(globals().values()) if isinstance(fault, Fault))
"""Every kind that channels and boards can have, in the order in which they stand here."""
