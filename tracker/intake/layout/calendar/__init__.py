"""Calendars: days down and tasks across, days across and tasks down, printers for one task.

Under printers a cell may name what was done ("stir ink, new wiper"). A mark (X, a tick, 1) says
that a task was done or a part was changed on that day; initials say by whom; numbers are minutes
or a count, which is asked; "-", "0" and "no" say that it was not done. `roles` (what a column
is), `marks` (what a mark stands for), `down` and `across` (which way the days run).
"""
