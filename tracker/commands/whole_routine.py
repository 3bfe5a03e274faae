"""The command that tells how often every task should be done, all of them together."""

from __future__ import annotations

import argparse
import math
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from tracker.commands.printing import as_json, show
from tracker.commands.sources import records_and_day
from tracker.errors import NotEnoughData
from tracker.language import _

if TYPE_CHECKING:
    from tracker.decisions.routine.whole_routine.answer import Routine, TaskInterval, WholeRoutine

_SAVING = ("saving_per_printer_year", "saving_p10", "saving_p90", "chance_it_pays")


def routine(options: argparse.Namespace) -> int:
    """All intervals together at least cost."""
    from tracker.decisions.routine.whole_routine.least_cost import whole_routine
    from tracker.say.maintenance.whole_routine.answer import routine_lines, routine_verdict

    records, as_of = records_and_day(options)
    try:
        answer = whole_routine(records, as_of)
    except NotEnoughData as problem:
        sentence = _("Cannot tell yet. {problem}", problem=problem)
        if options.json:
            nothing: dict[str, object] = {"tasks": [], **dict.fromkeys(_SAVING)}
            return as_json({"as_of": as_of, **nothing, "verdict": sentence})
        return show(sentence, [])
    tasks = [_task(one) for one in answer.tasks]
    if options.json:
        values = _saving(answer.now)
        more = _more(answer)
        verdict = routine_verdict(answer)
        return as_json({"as_of": as_of, "tasks": tasks, **values, **more, "verdict": verdict})
    show(routine_verdict(answer), [_shown(*each) for each in zip(answer.tasks, tasks, strict=True)])
    for line in routine_lines(answer):
        print(line)
    return 0


_SHOWN = (
    "task", "every_days_now", "every_days_least_cost", "every_days_low", "every_days_high",
    "saving_per_printer_year", "kept",
)  # fmt: skip


def _shown(one: TaskInterval, values: dict[str, Any]) -> dict[str, Any]:
    """A row for reading: where printers differ, from how many to how many days now."""
    from tracker.say.numbers import figure

    row = {name: values[name] for name in _SHOWN}
    least, most = min(one.now_on.values()), max(one.now_on.values())
    if math.isinf(least):
        return row | dict.fromkeys(_SHOWN[1:5]) | {"every_days_now": _("never")}
    if round(least, 1) == round(most, 1):
        return row
    row["every_days_now"] = _("{low} to {high}", low=figure(least), high=figure(most))
    if not one.is_changed:
        row["every_days_least_cost"] = row["every_days_now"]
    if one.kept is not None:
        row |= {"every_days_low": None, "every_days_high": None}
    return row


def _task(one: TaskInterval) -> dict[str, Any]:
    from tracker.say.maintenance.whole_routine.one_task import why_kept

    alone, saving = one.alone, one.alone.saving
    return {
        "task": one.task,
        "every_days_now": one.every_days_now,
        "every_days_least_cost": one.every_days,
        "every_days_low": one.low,
        "every_days_high": one.high,
        **dict(zip(_SAVING, (saving.expected, saving.p10, saving.p90), strict=False)),
        "kept": why_kept(one) or None,
        "is_changed": one.is_changed,
        "log_can_tell": one.is_told,
        "every_days_now_by_printer": dict(one.now_on),
        "seen_every_days": list(one.seen) if one.seen else None,
        "may_cost_less_beyond_the_log": one.beyond or None,
        "range_reaches_beyond_the_log": one.reaches_beyond,
        "work_more_per_printer_year": alone.extra_work,
        "failures_avoided": [
            {"part_kind": kind, "per_printer_year": mean, "p10": low, "p90": high}
            for kind, (mean, low, high) in alone.avoided.items()
        ],
        "drop_outs_avoided": alone.drop_outs_avoided and alone.drop_outs_avoided[0],
    }


def _saving(other: Routine) -> dict[str, float]:
    saving = other.saving
    amounts = (saving.expected, saving.p10, saving.p90, saving.chance_it_pays)
    return dict(zip(_SAVING, amounts, strict=True))


def _more(answer: WholeRoutine) -> dict[str, Any]:
    """Other routines, printers with an interval of their own, what the answer rests on."""
    from tracker.say.maintenance.whole_routine.answer import cost_lines, not_counted

    return {
        "against_common_practice": _saving(answer.common),
        "against_nothing": _saving(answer.nothing),
        "routines": [_routine(one) for one in answer.routines],
        "by_printer": [asdict(one) for one in answer.by_printer],
        "shared_stop_minutes": answer.gathered.shared_stop_minutes,
        "not_watched": list(answer.gathered.not_watched),
        "notes": [*cost_lines(answer), *not_counted(answer)],
    }


def _routine(one: Routine) -> dict[str, Any]:
    mean, low, high = one.total
    return {
        "name": one.name,
        "every_days": dict(one.every_days),
        "work_per_printer_year": one.work,
        "failures_per_printer_year": dict(one.failures),
        "failure_costs_per_printer_year": dict(one.failure_costs),
        "drop_outs_per_printer_year": one.drop_outs,
        "drop_out_costs_per_printer_year": one.drop_out_costs,
        "cost_per_printer_year": mean,
        "cost_p10": low,
        "cost_p90": high,
    }
