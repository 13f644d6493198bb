"""Soap in fuel from what a titration took: mL of acid and g of fuel as a person reads them."""

OLEATE = 304.4  # g/mol, sodium oleate
NORMALITY = 0.01  # mol/L of hydrochloric acid, as the method has it


def soap(acid: float, fuel: float, blank: float = 0.0, normality: float = NORMALITY) -> float:
    """Soap as sodium oleate, kg/kg, after AOCS Cc 17-95 (from memory).

    `acid` is what the sample took and `blank` what the solvent alone takes, in m³; `fuel` in kg, `normality`
    in mol/L. Raises ValueError where there is no fuel.
    """
    if fuel <= 0.0:
        raise ValueError("fuel: allowed is a mass above 0")
    moles = max(0.0, acid - blank) * 1000.0 * normality
    return moles * OLEATE / 1000.0 / fuel
