"""The page that says what a vehicle's tank takes in the cold: the questions, and the answer."""

from collections.abc import Mapping
from dataclasses import dataclass

from drydown.blend.cloud import CLOUD_POINTS, measured
from drydown.blend.filling import VehicleTank, Weather, cloud_point_now, fill
from drydown.estimate.result import Spread
from drydown.quantities import ZERO_CELSIUS
from drydown.texts import blend as texts
from drydown.texts.amounts import GALLON, degree, degrees
from drydown.texts.language import say
from drydown.texts.liking import LIKING
from drydown_pages.typed import TypedError, number

LITRE = 0.001  # m³
FULL = 0.8  # of the tank, to which it is filled where nobody says otherwise
COLDEST, WARMEST = -60.0, 50.0  # °C that make sense as an answer
LARGEST = 1000.0  # L


@dataclass(frozen=True, slots=True)
class Question:
    """A field of the form: its name, label and hint, what was answered, and what is wrong with that."""

    name: str
    label: str
    hint: str = ""
    answer: str = ""
    trouble: str = ""
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Answer:
    """What the page says once every question is answered: the sentence first, then why."""

    sentence: str
    told: tuple[str, ...]
    is_possible: bool


@dataclass(frozen=True, slots=True)
class BlendPage:
    """The form and, where there is one, the answer."""

    feedstock: str  # whose typical cloud point stands for one that nobody measured
    questions: tuple[Question, ...]
    answer: Answer | None
    cautions: tuple[str, ...]


def blend_page(feedstock: str, given: Mapping[str, str]) -> BlendPage:
    """The page for what was answered so far, which may be nothing."""
    reader = _Reader(given)
    tank = reader.tank()
    up_to = reader.up_to(tank)
    weather = reader.weather()
    own = reader.own(CLOUD_POINTS[feedstock])
    diesel = reader.diesel()
    answer = None
    if tank and up_to is not None and weather and own and diesel and not reader.is_wrong:
        answer = _answer(tank, up_to, weather, own, diesel)
    return BlendPage(feedstock, tuple(reader.questions), answer, tuple(map(say, texts.CAUTIONS)))


def _answer(tank: VehicleTank, up_to: float, weather: Weather, own: Spread, diesel: Spread) -> Answer:
    now = texts.now(tank, cloud_point_now(tank, own, diesel), weather)
    filling = fill(tank, up_to, weather, own, diesel)
    if filling is None:
        return Answer(say("No blend is safe in this cold."), (texts.helpless(diesel, weather), now), False)
    told = (texts.outcome(filling, weather), texts.room(filling, weather), texts.energy_told(filling), now)
    return Answer(texts.sentence(filling), tuple(one for one in told if one), True)


class _Reader:
    """Reads the answers one after the other, in the units that are liked, and notes what is wrong."""

    def __init__(self, given: Mapping[str, str]) -> None:
        self._given = given
        self.questions: list[Question] = []
        self.is_wrong = False

    def tank(self) -> VehicleTank | None:
        in_litres = LIKING.get().volume == "litres"
        unit, size = ("L", LITRE) if in_litres else ("gal", GALLON)
        largest = LARGEST * LITRE / size
        whole = self._number(
            "size", say("How much the vehicle’s tank holds, in {unit}", unit=unit), "", 0.1, largest
        )
        holds = self._number(
            "holds", say("How much is in it now, in {unit}", unit=unit), "", 0.0, whole or largest
        )
        share = self._number("share", say("How much of that is your own fuel, in %"), "", 0.0, 100.0)
        if whole is None or holds is None or share is None:
            return None
        return VehicleTank(whole * size, holds * size, share / 100.0)

    def up_to(self, tank: VehicleTank | None) -> float | None:
        hint = say("{full} where you say nothing: room is left to correct it", full=f"{FULL * 100:.0f}")
        full = self._number("up_to", say("How full you want it, in %"), hint, 1.0, 100.0, FULL * 100)
        return None if tank is None or full is None else tank.size * full / 100.0

    def weather(self) -> Weather | None:
        low = self._warmth("low", say("The coldest night that is foretold, in {degree}", degree=degree()), "")
        margin = self._difference(
            "margin",
            say("Keep in hand, in {degree}", degree=degree()),
            say("between the cloud point and the cold"),
            3.0,
        )
        colder = self._difference(
            "colder",
            say("It may yet turn colder by, in {degree}", degree=degree()),
            say("room is kept for that"),
            5.0,
        )
        if low is None or margin is None or colder is None:
            return None
        return Weather(low, margin, colder)

    def own(self, typical: Spread) -> Spread | None:
        hint = say(
            "if you measured it; else what is usual for its oil or fat is taken, which is a wide range"
        )
        found = self._warmth(
            "cloud", say("Your own fuel’s cloud point, in {degree}", degree=degree()), hint, needed=False
        )
        return measured(found) if found is not None else typical

    def diesel(self) -> Spread | None:
        hint = say("ask who sells it; winter diesel has a lower one")
        found = self._warmth("diesel", say("The diesel’s cloud point, in {degree}", degree=degree()), hint)
        return None if found is None else measured(found)

    def _warmth(self, name: str, label: str, hint: str, needed: bool = True) -> float | None:
        least, most = (degrees(ZERO_CELSIUS + one) for one in (COLDEST, WARMEST))
        found = self._number(name, label, hint, least, most, needed=needed)
        if found is None:
            return None
        return ZERO_CELSIUS + (found if LIKING.get().temperature == "celsius" else (found - 32.0) / 1.8)

    def _difference(self, name: str, label: str, hint: str, usual: float) -> float | None:
        kelvins = 1.0 if LIKING.get().temperature == "celsius" else 1.8
        found = self._number(name, label, hint, 0.0, 30.0 * kelvins, usual * kelvins)
        return None if found is None else found / kelvins

    def _number(
        self,
        name: str,
        label: str,
        hint: str,
        least: float,
        most: float,
        usual: float | None = None,
        needed: bool = True,
    ) -> float | None:
        """The answer, `usual` while nothing was answered at all; None where there is none."""
        given = self._given.get(name, "").strip()
        if not given and (usual is not None or not needed or not self._given):
            answer = "" if usual is None else f"{usual:g}"
            self.questions.append(Question(name, label, hint, answer, needed=needed))
            return usual
        try:
            found, trouble = number(given, least, most), ""
        except TypedError as error:
            found, trouble, self.is_wrong = None, str(error), True
        self.questions.append(Question(name, label, hint, given, trouble, needed))
        return found
