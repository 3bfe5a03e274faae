"""Maintenance in words: what is due, was kept, has which effect, how sure that is."""
