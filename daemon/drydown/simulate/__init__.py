"""An independent finishing tank: physics of its own, probes, scenarios, and files of whole runs."""
