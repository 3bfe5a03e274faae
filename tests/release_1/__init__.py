"""What the first release wrote: a folder of sheets, a database, and what it said on 31 Oct 2026.

`folder/` is the invented workshop's log of its two six-channel printers, `database.sql` the same
in that release's database (one load, a part change taken back, a task), `answers.json` what its
commands `outlook --days 30` and `life --part damper` said from the folder.
"""
