"""What can be wrong with a 1-Wire probe: how it is noticed, how soon, and what is told."""

from drydown.condition.kinds import AT_ONCE, Fault
from drydown.reading import Quality

PATIENCE = 8.0  # s for an answer, before its bus counts as hung: eight on parasite power take 6 s

SILENT = Fault(
    "a DS18B20 gives no answer",
    Quality.BAD,
    "the kernel shows nothing after five attempts without a right checksum",
    AT_ONCE,
    "{serial} gave no answer: check its plug, its cable and the pull-up resistor",
)
CHECKSUM = Fault(
    "a DS18B20 fails its checksum",
    Quality.BAD,
    "the kernel says NO (before Linux 5.8; later ones show nothing)",
    AT_ONCE,
    "{serial} failed its checksum (CRC), so that its temperature cannot be believed: "
    "check its plug, or use a shorter or shielded cable",
)
SHORTED = Fault(
    "the 1-Wire data line is shorted",
    Quality.BAD,
    "nothing but zeros, whose checksum is right",
    AT_ONCE,
    "{serial} reads nothing but zeros: the 1-Wire data line is shorted to ground",
)
POWER_ON = Fault(
    "a DS18B20 has lost its power",
    Quality.BAD,
    "85.0 °C, and the byte beside it says that it has not converted yet",
    AT_ONCE,
    "{serial} gives 85.0 °C, the value it holds when it has just been powered: check its supply and its plug",
)
STARVED = Fault(
    "a DS18B20 has too little power",
    Quality.BAD,
    "127.9 °C, and the byte beside it says that it has not converted",
    AT_ONCE,
    "{serial} gives 127.9 °C, the value of a probe whose power breaks down while it converts: "
    "give it a supply of its own by its third wire",
)
NO_TEMPERATURE = Fault(
    "a DS18B20 gives no temperature",
    Quality.BAD,
    "what the kernel shows can't be read",
    AT_ONCE,
    "{serial} gave an answer that is no temperature: check its plug and cable",
)
AWAY = Fault(
    "a DS18B20 is unplugged",
    Quality.BAD,
    "the kernel's search misses it ten times",
    "as soon as the kernel has missed it, about two minutes; until then it gives no answer",
    "{serial} is not on the 1-Wire bus ({present}): check its plug and cable",
)
NO_BUS = Fault(
    "there is no 1-Wire bus",
    Quality.BAD,
    "the kernel has no folder for it",
    AT_ONCE,
    "there is no 1-Wire bus here, so {serial} cannot be read: "
    "switch it on (dtoverlay=w1-gpio in the board's config.txt) and restart the board",
)
HUNG = Fault(
    "a 1-Wire bus hangs",
    Quality.BAD,
    "the kernel does not come back; probes on other buses are read on",
    f"{PATIENCE:g} s",
    "{bus} has not answered for {seconds:.0f} s, so that {serial} cannot be read: unplug its "
    "probes one by one to find the one that holds it up; if it stays silent, restart the board",
)

FAULTS: tuple[Fault, ...] = tuple(fault for fault in list(globals().values()) if isinstance(fault, Fault))
"""Every kind that 1-Wire probes can have, in the order in which they stand here."""
