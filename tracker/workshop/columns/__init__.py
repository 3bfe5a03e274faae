"""The log column by column, for what is counted over all of its rows.

Read `coded` (columns as whole numbers, tables that make a frame only when asked), then `sums` (what
is counted once and moved with the rows), `days_done` (when was a task done on a printer?) and
`found` (which rows hold these words?).
"""
