"""Bytes to cells: `decoding` (is it a table, in which encoding), `file` and `workbook` (the sheets
of a file), `grid` (the cells of one sheet), `raw_table` (rows under headers).
"""
