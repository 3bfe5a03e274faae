"""Can the log be believed? Judged before any effect is read off it. Read in this order:

`task_days` (which task was done on which printer on which day), `failure_runs` (the days before
failures), `run_counts` (what was done on them and at other times), `pile_up` (do planned entries
pile up there?), `usual_interval`, `symptom_chance` and `suspects` (which entries, and how likely),
`silent_spans`, `bad_weeks` and `missed_occasions` (what is missing from the log), `counted_log`
(what an effect is counted from), `judged_log` (all of it). Their words:
`tracker.say.maintenance.log_check`.
"""
