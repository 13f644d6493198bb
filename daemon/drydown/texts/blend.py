"""What goes into a vehicle's tank for the cold, in words."""

from drydown.blend.filling import Filling, VehicleTank, Weather
from drydown.estimate.result import Spread
from drydown.texts.amounts import celsius, degree, litres, ranged, share, steps

LEAST = 0.0001  # m³; less is not worth pouring

CAUTIONS = (
    "The cloud point is where wax begins to block a filter. Kay's rule, which this rests on, is a first "
    "estimate: look at a jar of the blend after a night outside before you rely on it.",
    "Mix while both fuels are well above their cloud points: own fuel into diesel, then drive or stir.",
    "Ask what your vehicle's maker allows and what your local law and taxes say about such blends.",
    "Fuel that was not tested gets no better by blending: water, soap and glycerin block filters too.",
)


def sentence(filling: Filling) -> str:
    """What to do, in one sentence."""
    if filling.take_out > LEAST:
        return f"Take out {litres(filling.take_out)}, then fill up with {litres(filling.diesel)} of diesel."
    diesel, own = filling.diesel > LEAST, filling.own > LEAST
    if diesel and own:
        return f"Add {litres(filling.diesel)} of diesel and {litres(filling.own)} of your own fuel."
    if diesel:
        return f"Add {litres(filling.diesel)} of diesel, and none of your own fuel."
    if own:
        return f"Add {litres(filling.own)} of your own fuel."
    return "Add nothing: leave it as it is."


def outcome(filling: Filling, weather: Weather) -> str:
    """What is in the tank then, and how it stands the cold that is foretold."""
    after = filling.after
    contents = f"The tank then holds {litres(after.holds)}, {share(after.share)} of it your own fuel."
    clouds = f"It clouds at about {ranged(filling.cloud_point, celsius)}; {celsius(weather.low)} is foretold."
    spare = f"{steps(weather.margin):g} {degree()} are kept in hand."
    return f"{contents} {clouds} {spare}"


def room(filling: Filling, weather: Weather) -> str:
    """What can still be done if it turns colder than foretold."""
    left = filling.after.size - filling.after.holds
    if filling.after.share == 0.0:
        return ""
    if left < LEAST:
        return "There is no room left to correct it: if it turns colder, fuel has to come out first."
    bears = f"If it turns colder, fill the {litres(left)} of room that are left with diesel:"
    enough = filling.bears <= weather.low - weather.colder
    verdict = "" if enough else " That is less than the cold you fear: park it where it is warmer, then."
    return f"{bears} the blend then bears {celsius(filling.bears)}.{verdict}"


def energy_told(filling: Filling) -> str:
    """What a litre of the blend gives against diesel."""
    lost = 1.0 - filling.energy.median
    return "" if lost < 0.002 else f"A litre of it gives about {share(lost)} less than one of diesel."


def now(tank: VehicleTank, cloud_point: Spread, weather: Weather) -> str:
    """How what is in the tank stands the cold, as it is."""
    if tank.holds < LEAST:
        return ""
    about = f"What is in it now clouds at about {ranged(cloud_point, celsius)}"
    if cloud_point.high <= weather.low - weather.margin:
        return f"{about}: it bears {celsius(weather.low)} as it is."
    if cloud_point.low > weather.low:
        return f"{about}: it does not bear {celsius(weather.low)}."
    return f"{about}: it may not bear {celsius(weather.low)}."


def helpless(diesel: Spread, weather: Weather) -> str:
    """Where diesel itself may cloud."""
    return (
        f"This diesel itself may cloud at {celsius(diesel.high)}; {celsius(weather.low)} is foretold, and "
        f"{steps(weather.margin):g} {degree()} are to be kept in hand. No mixing of the two "
        "helps: "
        "ask for diesel made for colder weather, or park the vehicle where it is warmer."
    )
