"""Spares in words: the shelf, order dates, orders."""
