"""The English texts for people: every word that an alarm or a notice says."""
