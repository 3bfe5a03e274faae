"""Sections of pages that are long enough to stand alone, or stand on several."""
