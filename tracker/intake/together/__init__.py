"""Rows that were read, as one workshop: `labelled` (rows that know their place in a file),
`part_places` (which places a row of part changes means), `serials_out` and `standing` (what such a
row tells of the part that came out and of the printer), `stop_ends` (how long stoppages lasted),
`combine` (all pieces in one value), `beside` (what cannot be true of rows beside each other and
what is known).
"""
