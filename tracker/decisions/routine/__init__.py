"""Does a maintenance routine pay? Read in this order:

`guard_rails` (what is never optimised away), `task_effect` (what the log tells of a task's effect),
`cost` and `yearly_counts` (what failures and work cost in a year), `interval` (the interval of
least cost), `before_after` and `change` (what happened when the schedule changed),
`study` (all of that for one task and one part kind), `kind_study` (with what failures may cost),
`effect` (two schedules compared, with `effect_apart`: within printers and between, young parts and
old); then all part kinds that a task protects, the work once: `task_studies`, `cost_stack` (of what
a year's cost is made), `break_even_cost`, `task_value` (two schedules compared) and
`first_question` (which task and which schedules a reader meets first); last
`whole_routine`, the intervals of all tasks together. Their words: `tracker.say`.
"""
