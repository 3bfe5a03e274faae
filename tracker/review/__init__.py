"""Figures of a month: facts and tables, no sentence and no HTML.

Read ``month`` first: it puts the review together from ``happened`` (failures, hours, money),
``expectation`` (was that many to be expected?), ``suspicion`` over ``group_comparison`` (bad
batches), ``forecast.drift`` (do parts last as long as they did?), ``printer_levels`` and
``printer_trend`` (is a printer worse than the others, or getting worse?), ``routine_kept`` and
``skipping``, ``ahead`` (the next months) and ``key_figures``. ``proposals`` are what follows from
them, ``action_list`` what was made of those. ``tracker/say`` turns all of it into words.
"""
