"""The tables of what tanks share: broker, store, notices, buzzer, pages."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from drydown.config.kinds import FileName, Name, Table

QuietHours = Annotated[
    str,
    StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d-([01]\d|2[0-3]):[0-5]\d$"),
    Field(description='two local times of day, like "22:00-07:00"'),
]

PageAddress = Annotated[
    str,
    StringConstraints(pattern=r"^https?://[^\s/?#]+/?$"),
    Field(description='how phones reach the pages, like "http://board.local:8470"'),
]

HeartbeatAddress = Annotated[
    str,
    StringConstraints(pattern=r"^https?://[^\s/?#]+(/\S*)?$"),
    Field(description="an address that begins with http:// or https://"),
]

ServerAddress = Annotated[
    str,
    StringConstraints(pattern=r"^https?://[^\s/?#@]+(/[^\s?#]*)?$"),
    Field(description='where the server is, like "https://harbour.local:8086"'),
]

HostName = Annotated[
    str,
    StringConstraints(pattern=r"^[^\s/]{1,253}$"),
    Field(description="the name or address of a computer"),
]


class Broker(Table):
    """The MQTT broker that the readings go through."""

    host: HostName = "127.0.0.1"
    port: Annotated[int, Field(ge=1, le=65535)] = 1883
    username: str | None = None
    password_file: FileName | None = None
    ca_file: FileName | None = None


class Store(Table):
    """Where the recorder keeps what it is sent."""

    path: FileName | None = None  # default: drydown.sqlite3 in `folder`
    raw_days: Annotated[float, Field(ge=1)] = 90  # older readings are thinned to one a minute
    waiting: Annotated[float, Field(ge=1)] = 500  # megabytes of disk, at most, for what waits for a recorder
    recorder: Name = "store"  # a second recorder of the same site, with its own store, needs another name


class Forward(Table):
    """A server with the InfluxDB v2 write interface that gets everything too."""

    url: ServerAddress
    org: Annotated[str, StringConstraints(min_length=1)]
    bucket: Annotated[str, StringConstraints(min_length=1)]
    token_file: FileName
    ca_file: FileName | None = None


class Route(Table):
    """One way to a person. An address that holds a secret stands in a file of its own."""

    name: Name
    address: str | None = None
    address_file: FileName | None = None
    least: Literal["low", "high", "emergency"] = "low"  # what is less than this is not sent here
    quiet: QuietHours | None = None  # then only emergencies are sent here, and the rest after it

    @model_validator(mode="after")
    def _one_address(self) -> "Route":
        if (self.address is None) == (self.address_file is None):
            raise ValueError("a route needs either address or address_file")
        return self


class Notices(Table):
    """Who is told, and who notices when the board is dead."""

    routes: tuple[Route, ...] = ()
    heartbeat: HeartbeatAddress | None = None
    heartbeat_file: FileName | None = None

    @model_validator(mode="after")
    def _names_differ(self) -> "Notices":
        if len({route.name for route in self.routes}) < len(self.routes):
            raise ValueError("two routes have the same name; each needs its own")
        return self

    @model_validator(mode="after")
    def _one_heartbeat(self) -> "Notices":
        if self.heartbeat is not None and self.heartbeat_file is not None:
            raise ValueError("allowed is either heartbeat or heartbeat_file")
        return self


class Buzzer(Table):
    """Something that makes a noise beside the tanks while an alarm stands that nobody has seen."""

    gpio: Annotated[int, Field(ge=0, le=1023)]
    active: Literal["high", "low"] = "high"
    least: Literal["low", "high", "emergency"] = "high"


class Electricity(Table):
    """What the blower's electricity costs."""

    price: Annotated[float, Field(ge=0, le=1000, description="by the kWh")]
    currency: Annotated[str, StringConstraints(min_length=1, max_length=8)] = "€"


LOOPBACK = ("127.0.0.1", "localhost", "::1")
"""The names by which this board may ask itself."""
EVERYWHERE = ("0.0.0.0", "::")  # listened at, but no address to go to


class Serve(Table):
    """Where the pages are."""

    host: HostName = "127.0.0.1"
    port: Annotated[int, Field(ge=1, le=65535)] = 8470
    address: PageAddress | None = None  # default: of `host` and `port`

    @property
    def home(self) -> str:
        """The address of the pages, for links in notices and for phones; it ends without a slash."""
        name = f"[{self.host}]" if ":" in self.host else self.host
        return (self.address or f"http://{name}:{self.port}").rstrip("/")

    @property
    def home_for_phones(self) -> str | None:
        """The same, where anybody but this board can reach it."""
        alone = self.address is None and (self.host in LOOPBACK or self.host in EVERYWHERE)
        return None if alone else self.home
