"""How records come in from spreadsheets and go out again. Read in this order:

`reading` (files of any form to records: the one entry), `pieces` (what it gives), `drafts` (files
to tables found), `files/` (bytes to cells, and back), `layout/` (a sheet of any form to long rows),
`names` and `whose` (whose rows), `own_words` (words nobody knows), `gaps` (what no column has),
`sheet` (rows to typed rows), `headers/` (which column is what), `cells/` (one column of cells, or
one field, to days, numbers, settings), `together/` (all pieces as one workshop, and what cannot be
true of them), `questions`, `talk` and `few` (what is asked instead of guessed, three times a file
at most), `mistakes` (refused rows as files), `exchange` (folders of the contract), `ages`.
"""
