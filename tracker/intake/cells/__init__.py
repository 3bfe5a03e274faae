"""One column of cells as typed, read one way or asked about: `typed`, then `days`,
`numbers` (a column), `one_cell` (a field alone), `settings`.
"""
