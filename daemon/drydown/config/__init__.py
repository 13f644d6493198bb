"""Configuration: one TOML file a site, checked whole."""
