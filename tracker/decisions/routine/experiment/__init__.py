"""Where the log cannot tell whether a task pays: an experiment, proposed and read out. In order:

`crossover` (who does it when at which interval), `stopping_rule` (one look, and the end),
`lives_ahead` (the experiment played with possible truths), `money_at_risk` (what it costs),
`information_value` (what its answer is worth), `proposal` (all of that for one task); `counts`
(what the log of one holds), `read_out` (what it says, at the look and at the end). How one is kept:
`tracker.workshop.experiments`; words: `tracker.say.maintenance.experiment` and
`experiment_result`.
"""
