"""How records come in from spreadsheets and go out again. Read in this order:

`exchange` (a folder or a sheet in and out), `sheet` (one sheet to typed rows), `file` and
`workbook` (bytes to cells), `columns` and `column_choice` (which column is what), `cells/` (one
column of typed cells to days, numbers, words), `questions` (what is asked instead of guessed).
"""
