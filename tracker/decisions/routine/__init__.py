"""Does a maintenance routine pay? Read in this order:

`schedules` (which interval holds where and when), `task_effect` (what the log tells of a task's
effect), `cost` and `yearly_counts` (what failures and work cost in a year), `interval` (the
interval of least cost), `before_after` and `change` (what happened when the schedule changed),
`study` (all of that for one task and one part kind), `effect` (two schedules compared, with
`effect_apart`: within printers and between, young parts and old),
`break_even_cost` and `task_value` (the same over all part kinds that a task protects, the work
once). Their words: `tracker.say`.
"""
