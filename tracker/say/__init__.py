"""Every number, sentence and table heading that a person reads. Read in this order:

`numbers` (how a figure is said), `phrases` and `listing` (turns of phrase, a table in words),
`lives`, `drift`, `spares/`, `maintenance/`, `replay`, `monthly/`: each tells the facts of its room.
"""
