"""What is not known of a tank before it is watched: each unknown with its range, as a table without numpy."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Parameter:
    """One unknown: "uniform" (a to b), "normal" (mean a, σ b) or "log-normal" (median a, σ of the ln b)."""

    name: str
    shape: str
    a: float
    b: float
    stays: bool = False  # belongs to tank or blower: learned from run to run


# Spreads: judgement (common practice, no source); see README.md beside this file.
# First the ones that drive the rates, then those that only set the start or what is read.
DRIVING = (
    Parameter("flow", "log-normal", 1.0, 0.25, True),  # true over rated
    Parameter("partition", "log-normal", 0.87, 0.13, True),  # approach × partition beyond the models
    Parameter("blend", "uniform", 0.0, 1.0, True),  # UNIFAC … Dortmund
    Parameter("desorption", "normal", 1.03, 0.065, True),  # heat, over what Gibbs–Helmholtz says
    Parameter("water_approach", "uniform", 0.80, 1.0, True),
    Parameter("solution_heat", "uniform", 0.0, 1.0),  # share of water's heat of solution that counts
    Parameter("saturation", "uniform", -0.12, 1.12),  # line of He et al. … Fregolente et al.
    Parameter("isotherm", "uniform", 0.885, 1.165),
    Parameter("rise", "uniform", 4.0, 20.0, True),  # K, discharge over intake, warm
    Parameter("warm_up", "log-normal", 800.0, 0.48, True),  # s
    Parameter("loss", "uniform", 2.0, 15.0, True),  # W/K
    Parameter("wall", "log-normal", 13000.0, 0.5, True),  # J/K
    Parameter("wall_time", "log-normal", 420.0, 0.65, True),  # s
    Parameter("heat_capacity", "normal", 2010.0, 55.0),  # J/(kg K)
    Parameter("air_offset", "normal", 0.0, 0.45, True),  # K
    Parameter("air_unknown", "normal", 0.0, 10.0),  # K, where air was never measured
    Parameter("humidity_offset", "normal", 0.0, 0.026, True),
    Parameter("humidity_unknown", "uniform", 0.18, 0.97),
    Parameter("air_drift", "normal", 0.0, 1.0),  # K/h since it was last measured
    Parameter("humidity_drift", "normal", 0.0, 0.04),  # 1/h
    Parameter("lag", "uniform", 8.0, 95.0, True),  # s
    Parameter("mixing", "log-normal", 38.0, 0.35, True),  # s, in which bubbles undo the layers
    Parameter("layering", "normal", -0.01, 0.025, True),  # of fuel − air: the probe's layer after long rest
    Parameter("discharge_offset", "normal", -0.25, 0.4, True),  # K, probe and hose
)
STARTING = (
    Parameter("methanol", "log-normal", 0.012, 0.69),
    Parameter("water", "log-normal", 0.60, 0.31),  # of saturation
    Parameter("layer", "normal", 0.0, 0.65),  # K, the probe's layer over the mean before mixing
    Parameter("fuel_offset", "normal", 0.0, 0.2, True),  # K
)
PARAMETERS = DRIVING + STARTING
INDEX = {p.name: i for i, p in enumerate(PARAMETERS)}
STAYING = tuple(i for i, p in enumerate(PARAMETERS) if p.stays)
NAMES = tuple(PARAMETERS[i].name for i in STAYING)
