"""What a workshop's records are. Read in this order:

`contract` (every table and column, declared once), `vocabulary` (the words of the trade),
`settings/` (what a workshop says of itself), `records` (everything written down, as one value),
`names` (what it calls its printers, suppliers, lots; which look like one), `refusal` (how an
impossible thing is told), `checks/` (what cannot be true, and what is only doubtful),
`working_days` (when people are there), `schedules` (which routine holds where and when),
`clocks/` (whether today can be today, and nights on which clocks change).
"""
