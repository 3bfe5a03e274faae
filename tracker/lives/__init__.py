"""Records seen as lifetimes on a given day. Read in this order:

`life_table` (one row per fitting), `area_scale` and `usage` (lives in m² instead of days), then
what a part was exposed to while it lived: `episodes` (the entry), `part_spans`, and in `exposure/`
`days`, `task`, `table`, `whole_weeks`.
"""
