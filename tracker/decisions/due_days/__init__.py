"""When is a task due? Read in this order:

`shutdown_tasks` (what closed days ask for), `closed_again` (those of a year ago), `task_clock` (one
task on one printer), `pairs` (all tasks on all printers on one day).
"""
