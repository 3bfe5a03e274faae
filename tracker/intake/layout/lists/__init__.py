"""Sheets of one row per event: `long` (rows of one table), `two_tables` (a list of parts that tells
of the catalogue and of the shelf), `mixed_log` (tasks in some rows, changed parts in others).
"""
