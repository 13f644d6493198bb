"""What tests say of the fuel, what nobody tested, and what can be said when it is released."""
