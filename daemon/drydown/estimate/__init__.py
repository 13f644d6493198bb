"""The estimate: methanol and water left in the fuel, from its temperature."""
