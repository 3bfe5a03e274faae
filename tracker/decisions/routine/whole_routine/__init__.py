"""Which intervals of all tasks together cost least? Read in this order:

`practice` (what is done now, on which printer), `joint_effects` (what the log tells of all tasks on
one part kind, from one fit), `told_effects` (that for all kinds, from the log once it is judged,
and the tasks that keep their interval), `seen` (how often the log has seen a task done),
`drop_outs` (nozzles cleaned because of a symptom), `kind_losses` (what failures cost a printer in a
year under any routine), `stops` (the work, tasks done in one stop sharing it), `routine_costs` (all
of that for any choice of intervals), `cases` (printers reckoned with), `gathering` (all of that
read off the records), `answer` (what is told), `options` (intervals tried, and known routines),
`search` (the choice that costs least), `one_change` (one task moved by itself), `least_cost` (the
routine of least cost beside others).
"""
