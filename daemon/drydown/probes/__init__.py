"""Probes: where readings come from. Each reads on its own, so that one that hangs stalls no other."""
