"""The log column by column, for what is counted over all of its rows.

Read `coded` (columns as whole numbers), then `days_done` (when was a task done on a printer?) and
`found` (which rows hold these words?).
"""
