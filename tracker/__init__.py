"""Printhead and consumables lifecycle tracker for direct-to-film print workshops."""

__version__ = "0.1.0"
