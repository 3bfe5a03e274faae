"""The log summed: when was each task last done, how well was the routine kept, what did it cost?"""

from __future__ import annotations

from typing import Any

from sqlalchemy import Select, and_, case, func, select, union

from tracker.store.sums.coded import (
    ACTIONS,
    BREAKDOWNS,
    COSTS,
    ROUTINES,
    earlier,
    total,
    whole_times,
)


def last_done(as_of: int) -> Select[Any]:
    """On which day was each task last done at each printer: ``printer, task, done_on``."""
    actions = ACTIONS.c
    last = select(actions.printer, actions.task, func.max(actions.done_on).label("done_on"))
    return last.where(actions.done_on <= as_of).group_by(actions.printer, actions.task)


def routine_kept(start: int, end: int, late_tenths: int) -> Select[Any]:
    """Of what was due between two days, how much was done in time, late, or not at all?

    ``printer, task, due, late, missed``, where anything was due. An occasion is in time up to so
    many tenths of the interval late (whole days), late until the next one is due, and then missed.
    For printers worked every day, one interval each per task: the time from one action to the next,
    in whole intervals, tells every occasion between them.
    """
    actions, routines = ACTIONS.c, ROUTINES.c
    done = select(actions.printer, actions.task, actions.done_on).where(actions.done_on <= end)
    first = (
        select(actions.printer, actions.task, func.min(actions.done_on).label("done_on"))
        .group_by(actions.printer, actions.task)
        .subquery()
    )
    ran = and_(first.c.printer == routines.printer, first.c.task == routines.task)
    begun = select(routines.printer, routines.task, routines.starts_on).select_from(
        ROUTINES.outerjoin(first, ran)
    )
    begun = begun.where(
        routines.starts_on <= func.coalesce(first.c.done_on, routines.starts_on),
    )
    days = union(done, begun).subquery("days")  # once a day, however often it was done
    day = days.c
    follows = func.lead(day.done_on).over(
        partition_by=(day.printer, day.task), order_by=day.done_on
    )
    gaps = select(day.printer, day.task, day.done_on.label("base"), follows.label("next"))
    gap = gaps.subquery("gaps")
    of_rule = and_(gap.c.printer == routines.printer, gap.c.task == routines.task)
    base, following, every = gap.c.base, gap.c.next, routines.every_days
    grace = whole_times(every * late_tenths, 10)
    # From one time of doing it to the next: the occasions missed in whole intervals between, then
    # the one that was done. What is still open has missed those whose days of grace are over.
    length = case((following.is_(None), end - grace - base), else_=following - base)
    whole = whole_times(length, every)
    missed = case(
        (following.is_(None), case((length < every, 0), else_=whole)),
        else_=case((length < 2 * every, 0), else_=whole - 1),
    )
    since = base + missed * every
    # Missed before the time asked about:
    before = case((start <= base, 0), else_=whole_times(start - base - 1, every))
    counted = case((missed > before, missed - before), else_=0)
    due_on = earlier(following, since + every)
    done_one = case((and_(following.is_not(None), due_on >= start), 1), else_=0)
    is_late = case((and_(done_one == 1, following > since + every + grace), 1), else_=0)
    each = (
        select(
            gap.c.printer,
            gap.c.task,
            (counted + done_one).label("due"),
            is_late.label("late"),
            counted.label("missed"),
        )
        .join_from(gap, ROUTINES, of_rule)
        .subquery("each_gap")
    )
    counts = {name: total(each.c[name]).label(name) for name in ("due", "late", "missed")}
    by = (each.c.printer, each.c.task)
    return select(*by, *counts.values()).group_by(*by).having(total(each.c.due) > 0)


def failures_by_month() -> Select[Any]:
    """``month, part_kind, failures``: worn out or broken by accident."""
    broke = BREAKDOWNS.c
    by = (broke.month, broke.part_kind)
    return select(*by, func.count().label("failures")).group_by(*by)


def work_by_month() -> Select[Any]:
    """``month, task, planned, actions, seconds``: how often each task was done and how long."""
    actions = ACTIONS.c
    by = (actions.month, actions.task, actions.planned)
    return select(
        *by, func.count().label("actions"), total(actions.seconds).label("seconds")
    ).group_by(*by)


def costs_by_month() -> Select[Any]:
    """``month, item, cents``."""
    costs = COSTS.c
    by = (costs.month, costs.item)
    return select(*by, total(costs.cents).label("cents")).group_by(*by)
