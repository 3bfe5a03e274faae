"""Where a workshop's records are kept. Read in this order:

`database` (open, read, change, undo, load), `batch` and `writing` (one change; every row goes into
the database through `writing.insert_rows`), `permit` (who may make it), `packing`, `keepable` and
`reading` (the form in which rows are kept, and back), `loading` (what of a file is new),
`logged_rows`, `change_log`,
`meanwhile/` (two people at one record), `late_changes` and `undo`, `connections`, `tables` and
`migrations` (the database itself), `safety/` (one file that is always whole, writers in one queue,
backups and restore), `sums/` (what a fleet's log adds up to), `acts/` (what people do at a
printer).
"""
