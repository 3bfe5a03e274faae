"""Sheets as workshops keep them, every one invented: what must come of each, written by hand.

`sheet` (what is told of a sheet), then the collection: `calendars`, `workbooks`, `changes`,
`history`, `logs`, `readings`, `shelves` and `refused`; `collection` has all of them. `writing` puts
events into sheets of any style for the properties.
"""
