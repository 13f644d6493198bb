"""What goes into a vehicle's tank for the cold, in words."""

from drydown.blend.filling import Filling, VehicleTank, Weather
from drydown.estimate.result import Spread
from drydown.texts.amounts import celsius, degree, litres, ranged, share, steps
from drydown.texts.language import later, say

LEAST = 0.0001  # m³; less is not worth pouring

CAUTIONS = (
    later(
        "The cloud point is where wax begins to block a filter. Kay's rule, which this rests on, is a first "
        "estimate: look at a jar of the blend after a night outside before you rely on it."
    ),
    later(
        "Mix while both fuels are well above their cloud points: own fuel into diesel, then drive or stir."
    ),
    later("Ask what your vehicle's maker allows and what your local law and taxes say about such blends."),
    later("Fuel that was not tested gets no better by blending: water, soap and glycerin block filters too."),
)


def sentence(filling: Filling) -> str:
    """What to do, in one sentence."""
    diesel, own = litres(filling.diesel), litres(filling.own)
    if filling.take_out > LEAST:
        out = litres(filling.take_out)
        return say("Take out {out}, then fill up with {diesel} of diesel.", out=out, diesel=diesel)
    if filling.diesel > LEAST and filling.own > LEAST:
        return say("Add {diesel} of diesel and {own} of your own fuel.", diesel=diesel, own=own)
    if filling.diesel > LEAST:
        return say("Add {diesel} of diesel, and none of your own fuel.", diesel=diesel)
    if filling.own > LEAST:
        return say("Add {own} of your own fuel.", own=own)
    return say("Add nothing: leave it as it is.")


def outcome(filling: Filling, weather: Weather) -> str:
    """What is in the tank then, and how it stands the cold that is foretold."""
    return say(
        "The tank then holds {volume}, {share} of it your own fuel. It clouds at about {cloud}; {low} is "
        "foretold. {margin} {degree} are kept in hand.",
        volume=litres(filling.after.holds),
        share=share(filling.after.share),
        cloud=ranged(filling.cloud_point, celsius),
        low=celsius(weather.low),
        margin=f"{steps(weather.margin):g}",
        degree=degree(),
    )


def room(filling: Filling, weather: Weather) -> str:
    """What can still be done if it turns colder than foretold."""
    left = filling.after.size - filling.after.holds
    if filling.after.share == 0.0:
        return ""
    if left < LEAST:
        return say("There is no room left to correct it: if it turns colder, fuel has to come out first.")
    values = {"left": litres(left), "bears": celsius(filling.bears)}
    if filling.bears <= weather.low - weather.colder:
        return say(
            "If it turns colder, fill the {left} of room that are left with diesel: the blend then bears "
            "{bears}.",
            **values,
        )
    return say(
        "If it turns colder, fill the {left} of room that are left with diesel: the blend then bears "
        "{bears}. That is less than the cold you fear: park it where it is warmer, then.",
        **values,
    )


def energy_told(filling: Filling) -> str:
    """What a litre of the blend gives against diesel."""
    lost = 1.0 - filling.energy.median
    if lost < 0.002:
        return ""
    return say("A litre of it gives about {lost} less than one of diesel.", lost=share(lost))


def now(tank: VehicleTank, cloud_point: Spread, weather: Weather) -> str:
    """How what is in the tank stands the cold, as it is."""
    if tank.holds < LEAST:
        return ""
    values = {"cloud": ranged(cloud_point, celsius), "low": celsius(weather.low)}
    if cloud_point.high <= weather.low - weather.margin:
        return say("What is in it now clouds at about {cloud}: it bears {low} as it is.", **values)
    if cloud_point.low > weather.low:
        return say("What is in it now clouds at about {cloud}: it does not bear {low}.", **values)
    return say("What is in it now clouds at about {cloud}: it may not bear {low}.", **values)


def helpless(diesel: Spread, weather: Weather) -> str:
    """Where diesel itself may cloud."""
    return say(
        "This diesel itself may cloud at {cloud}; {low} is foretold, and {margin} {degree} are to be kept in "
        "hand. No mixing of the two helps: ask for diesel made for colder weather, or park the vehicle where "
        "it is warmer.",
        cloud=celsius(diesel.high),
        low=celsius(weather.low),
        margin=f"{steps(weather.margin):g}",
        degree=degree(),
    )
