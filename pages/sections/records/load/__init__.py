"""Files or pasted rows into the records, one flow from choosing to done.

Read `page` (the flow), then in its order `chosen` (files or pasted rows), `reading` (read once,
with what was said), `questions`, `tables` (what was taken for what), `mistakes` and `mended`
(wrong cells and rows left out), `agreed` (what goes along with old parts) and `keep` (what the
records have against it, the button).
"""
