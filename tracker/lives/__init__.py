"""Records seen as lifetimes on a given day. Read in this order:

`life_table` (one row per fitting), `counter_readings`, `usage` and `area_scale` (lives in m², not
days), then what a part was exposed to while it lived: `episodes` (the entry), `part_spans`, and in
`exposure/` `days`, `task`, `area`, `table`, `whole_weeks`.
"""
