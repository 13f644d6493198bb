"""Where things are said on the broker: every topic of a tank, made and read in one place."""

from dataclasses import dataclass

ROOT = "drydown"


@dataclass(frozen=True, slots=True)
class TankTopics:
    """The topics of one tank, all below `drydown/SITE/TANK/`."""

    site: str
    tank: str

    @property
    def base(self) -> str:
        """What every topic of the tank begins with, without the last slash."""
        return f"{ROOT}/{self.site}/{self.tank}"

    @property
    def base_name(self) -> str:
        """What every SenML name of the tank begins with."""
        return f"{self.site}/{self.tank}/"

    @property
    def readings(self) -> str:
        """SenML: what was read, and what is worked out from it."""
        return f"{self.base}/readings"

    @property
    def estimates(self) -> str:
        """SenML: what the estimator believes."""
        return f"{self.base}/estimates"

    @property
    def run(self) -> str:
        """JSON: stages (retained), notices and commands."""
        return f"{self.base}/run"

    @property
    def online(self) -> str:
        """JSON, retained: whether the watcher is connected. The broker says no in its place."""
        return f"{self.base}/online"

    def alarm(self, name: str) -> str:
        """JSON, retained: the last change of one alarm."""
        return f"{self.base}/alarms/{name}"

    def recorded(self, recorder: str) -> str:
        """JSON, retained: the number of the batch up to which a recorder has committed everything."""
        return f"{self.base}/recorded/{recorder}"

    def recorder_trouble(self, recorder: str) -> str:
        """Text, retained: what a recorder's store suffers from; empty while nothing is wrong."""
        return f"{self.base}/recorder-trouble/{recorder}"

    def probe(self, name: str) -> str:
        """What another board measured."""
        return f"{self.base}/probe/{name}"


def tank_of(topic: str) -> tuple[TankTopics, str] | None:
    """The tank that a topic belongs to, and what stands below it; None for a topic that is not ours."""
    parts = topic.split("/", 3)
    if len(parts) < 4 or parts[0] != ROOT or not all(parts):
        return None
    return TankTopics(parts[1], parts[2]), parts[3]
