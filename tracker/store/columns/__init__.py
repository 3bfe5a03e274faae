"""Whole tables, column by column. Read in this order:

`row_numbers` (the ids of rows), `table_columns` (rows become columns, and columns a frame when it
is asked for), `changed_table` (a table of which few rows changed), `column_file` (the columns of
all tables in one file beside the database, read one by one), `since` (which rows changed since it
was written, proved by the digest), `beside` (when it is read, and when it is written anew).
"""
