"""Bytes to cells: `budgets` (how much a file may hold), `opening` (its bytes), `decoding` (is it a
table, in which encoding), `file` and `workbook` (the sheets of a file), `apart` (a large workbook
in a process of its own), `grid` (the cells of one sheet), `raw_table` (rows under headers).
"""
