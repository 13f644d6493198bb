"""Starts of the blower as the watcher may tell of them."""

from dataclasses import replace

from drydown.estimate.result import Prospect, Spread

NOW = Prospect(
    warmer_by=0.0,
    wait=0.0,
    methanol_gone_in=Spread(2750.0, 1800.0, 4800.0),
    dry_in=Spread(4300.0, 3000.0, 9000.0),
    water_least=Spread(380e-6, 300e-6, 450e-6),
    emission_peak=Spread(1.5e-3, 8e-4, 2.6e-3),
    fresh_air=Spread(17.0, 8.0, 32.0),
    fresh_air_against_fire=Spread(0.6, 0.3, 1.2),
)
NEVER = replace(NOW, dry_in=None, water_least=Spread(620e-6, 510e-6, 700e-6))
