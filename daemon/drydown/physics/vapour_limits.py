"""The limits at which methanol vapour burns or harms: plain numbers, without numpy."""

LOWER_FLAMMABLE_LIMIT = 0.060  # mole fraction in air, NIOSH Pocket Guide and NFPA 325
UPPER_FLAMMABLE_LIMIT = 0.36  # mole fraction in air, NIOSH Pocket Guide and NFPA 325
SAFE_SHARE_OF_LOWER_LIMIT = 0.25
"""Share of the lower flammable limit to stay below: NFPA 69, and common practice."""

FLASH_POINT = 284.15  # K (11 °C, closed cup; 11 to 12 °C are reported), NIOSH Pocket Guide

EXPOSURE_LIMIT = 200e-6  # mole fraction, 8 h mean: OSHA PEL and NIOSH REL, NIOSH Pocket Guide
SHORT_EXPOSURE_LIMIT = 250e-6  # mole fraction, 15 min mean: NIOSH REL-STEL, NIOSH Pocket Guide
DANGER_TO_LIFE = 6000e-6  # mole fraction, IDLH, NIOSH Pocket Guide

ODOUR_THRESHOLD = 160e-6
"""Mean mole fraction at which people smell it, from 4e-6 to 6000e-6 by the person: smelling nothing proves
nothing. Prudent Practices in the Laboratory, National Academy Press, 1995, safety summary of methanol."""
