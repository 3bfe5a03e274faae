"""Where a workshop's records are kept. Read in this order:

`database` (open, read, change, undo, load), `batch` and `writing` (one change), `change_log`,
`connections`, `tables` and `migrations` (the database itself), `packing` and `reading` (rows to
columns), `loading` (what of a file is new), `backup`, `acts/` (what people do at a printer).
"""
