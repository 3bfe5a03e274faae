"""What does the log tell of a task's effect on a part kind? Read in this order:

`task_frequency` (how much it varied), `adjustment` (what else is allowed for), `effect_history`
(what the life model reads: within printers), `failure_days` (failures between two checks),
`ages_apart` (younger and older parts), `weighted_draws` and `effect_draws` (what it says),
`telling` (whether that tells anything), `cox_beside` (the check), `effect_fits` (the effect by lag:
all together), `kinds_together` (several kinds at once).
"""
