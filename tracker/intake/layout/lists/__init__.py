"""Sheets of one row per event: `table_guess` (which table it is, which column is what), `long`
(rows of one table), `two_tables` (a list of parts that tells of the catalogue and of the shelf),
`mixed_log` (tasks in some rows, changed parts in others).
"""
