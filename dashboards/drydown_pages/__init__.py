"""The pages: templates, style and small scripts."""
