"""How records come in from spreadsheets and go out again. Read in this order:

`exchange` (a folder or a sheet in and out), `sheet` (one sheet to typed rows), `file`, `decoding`
and `workbook` (bytes to cells), `columns` and `column_choice` (which column is what), `cells/` (one
column of typed cells, or one field, to days, numbers, settings), `questions` (what is asked instead
of guessed).
"""
