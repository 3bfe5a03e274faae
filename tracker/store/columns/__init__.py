"""Whole tables, column by column. Read in this order:

`table_columns` (rows become columns and columns a frame), `column_file` (the columns of all tables
in one file beside the database), `since` (which rows changed since it was written, proved by the
digest), `beside` (when it is read, and when it is written anew).
"""
