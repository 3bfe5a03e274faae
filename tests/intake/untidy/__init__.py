"""Sheets as workshops keep them, every one invented: what must come of each, written by hand.

`sheet` (what is told of a sheet), then the collection: `calendars`, `workbooks`, `changes`, `logs`,
`shelves` and `refused`; `collection` has all of them.
"""
