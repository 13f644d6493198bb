"""Conditioning: which readings can be trusted, and why not."""
