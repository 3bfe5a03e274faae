"""The command that tells what a maintenance task is worth: for one part kind, or for all."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from datetime import date
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tracker.commands.printing import as_json, show
from tracker.commands.sources import records_and_day
from tracker.commands.typed_words import known_task, part_kind
from tracker.errors import NotEnoughData, UsageError
from tracker.language import _
from tracker.workshop import vocabulary as words

if TYPE_CHECKING:
    from tracker.decisions.routine.effect import RoutineEffect
    from tracker.decisions.routine.study import RoutineStudy
    from tracker.decisions.routine.task_value import KindValue, TaskValue
    from tracker.workshop.records import Records

# What the command gives by name, and where the answer holds it.
_EFFECT = {
    "hazard_ratio": "hazard_ratio.estimate",
    "lower": "hazard_ratio.lower",
    "upper": "hazard_ratio.upper",
    "chance_it_helps": "chance_it_helps",
    "cox_hazard_ratio": "cox.estimate",
    "cox_lower": "cox.lower",
    "cox_upper": "cox.upper",
    "failures": "failures",
    "events_needed": "events_needed",
    "saving_per_printer_year": "saving.expected",
    "saving_p10": "saving.p10",
    "saving_p90": "saving.p90",
    "chance_it_pays": "saving.chance_it_pays",
}
_VALUE = {
    "work_per_printer_year": "extra_work",
    "saving_per_printer_year": "saving.expected",
    "saving_p10": "saving.p10",
    "saving_p90": "saving.p90",
    "chance_it_pays": "saving.chance_it_pays",
    "least_cost_every_days": "studies.least_cost.every_days",
}


def effect(options: argparse.Namespace) -> int:
    """Does doing a task more or less often pay?"""
    records, as_of = records_and_day(options)
    done = tuple(records.codes("maintenance", "task").occurring())
    options.task = known_task(options.task, (*words.BUILT_IN_TASKS, *done))
    if options.part is not None and options.out:
        raise UsageError(
            _(
                "--out: the sheet is about all parts that a task protects; leave out --part or "
                "--out."
            )
        )
    if options.part is None:
        return _on_all_parts(options, records, as_of)
    return _on_one_kind(options, records, as_of)


def _on_one_kind(options: argparse.Namespace, records: Records, as_of: date) -> int:
    from tracker.decisions.routine.effect import routine_effect
    from tracker.say.maintenance.verdict import lines, verdict

    part = part_kind(options.part, records)
    try:
        answer = routine_effect(
            records,
            as_of,
            part_kind=part,
            task=options.task,
            every_days=options.every,
            instead_of_days=options.instead_of,
        )
    except NotEnoughData as problem:
        sentence = _("Cannot tell yet. {problem}", problem=problem)
        if options.json:
            nothing: dict[str, object] = dict.fromkeys((*_EFFECT, "log_completeness"))
            nothing |= {"suspect_entries": [], "verdict": sentence}
            return as_json({"as_of": as_of, **nothing})
        return show(sentence, [])
    values = {name: attrgetter(fact)(answer) for name, fact in _EFFECT.items()}
    if options.json:
        more = _more_on(answer) | _on_the_log(answer.study)
        return as_json({"as_of": as_of, **values, **more, "verdict": verdict(answer)})
    show(verdict(answer), [values])
    for line in lines(answer):
        print(line)
    return 0


def _more_on(answer: RoutineEffect) -> dict[str, Any]:
    """What the effect says beyond the fixed keys: intervals, before and after."""
    from tracker.say.maintenance.change import history_remarks
    from tracker.say.maintenance.doubts import doubts

    least, even = answer.least_cost(), answer.break_even()
    return {
        "failures_ratio": answer.failures_ratio.estimate,
        "failures_ratio_lower": answer.failures_ratio.lower,
        "failures_ratio_upper": answer.failures_ratio.upper,
        "between_printers": answer.printers and asdict(answer.printers),
        "by_age": answer.ages and asdict(answer.ages),
        "further_failures": answer.further_failures,
        "spare_on_shelf": answer.spare_on_shelf,
        "break_even_days": even.every_days,
        "least_cost_days": least.every_days,
        "least_cost_p10": least.lower_days,
        "least_cost_p90": least.upper_days,
        "by_lag": answer.lags.to_dict(orient="records"),
        "before_after": answer.history.as_dict()
        | {"remarks": list(history_remarks(answer.history))},
        "notes": doubts(answer),
    }


def _on_the_log(study: RoutineStudy) -> dict[str, Any]:
    """What the log of the task is worth: entries that look mistaken, and how much is missing."""
    from tracker.say.maintenance.log_check import lag_chosen, log_findings, suspects_sentence

    known = study.log.completeness(study.task)
    findings = (
        suspects_sentence(study.suspects) if study.suspects else "",
        lag_chosen(study),
        *log_findings(study.log, study.task),
    )
    return {
        "lag_days": study.fits.lag_days,
        "suspect_entries": [asdict(one) for one in study.suspects],
        "log_completeness": known.share,
        "log_completeness_lower": known.lower,
        "log_completeness_upper": known.upper,
        "log_findings": [finding for finding in findings if finding],
    }


def _on_all_parts(options: argparse.Namespace, records: Records, as_of: date) -> int:
    from tracker.decisions.routine.task_value import task_value
    from tracker.say.maintenance.value.task_value import value_lines
    from tracker.say.maintenance.value.value_verdict import value_verdict

    try:
        answer = task_value(records, as_of, options.task, options.every, options.instead_of)
    except NotEnoughData as problem:
        sentence = _("Cannot tell yet. {problem}", problem=problem)
        if options.json:
            nothing: dict[str, object] = {"parts": [], **dict.fromkeys(_VALUE), "break_even": []}
            nothing |= {"suspect_entries": [], "log_completeness": None, "file": None}
            return as_json({"as_of": as_of, **nothing, "verdict": sentence})
        return show(sentence, [])
    if options.out:
        from tracker.paper.routine_sheet import routine_sheet

        sheet = routine_sheet(answer, records.setting("workshop"), is_demo=records.is_demo)
        Path(options.out).write_text(sheet, encoding="utf-8", newline="\n")
    parts = [_part_values(one) for one in answer.kinds]
    if options.json:
        values = {name: attrgetter(fact)(answer) for name, fact in _VALUE.items()}
        more = _more_on_all(answer) | _on_the_log(answer.studies.kinds[0].study)
        return as_json(
            {
                "as_of": as_of,
                "parts": parts,
                **values,
                **more,
                "verdict": value_verdict(answer),
                "file": options.out,
            }
        )
    show(value_verdict(answer), parts)
    for line in value_lines(answer):
        print(line)
    return 0


def _part_values(one: KindValue) -> dict[str, Any]:
    ratio = one.effect.hazard_ratio
    mean, low, high = one.avoided
    return {
        "part_kind": one.part_kind,
        "hazard_ratio": ratio.estimate,
        "lower": ratio.lower,
        "upper": ratio.upper,
        "failures": one.effect.failures,
        "failures_avoided_per_printer_year": mean,
        "failures_avoided_p10": low,
        "failures_avoided_p90": high,
        "cost_of_failure": one.cost.total,
    }


def _more_on_all(answer: TaskValue) -> dict[str, Any]:
    """Break-even costs, what the log cannot tell, and the band of the best interval."""
    from tracker.say.maintenance.value.task_value import value_lines

    told = answer.saving_if_told
    return {
        "break_even": [
            {
                "part_kind": one.part_kind,
                "cost_of_failure": one.break_even.cost,
                "cost_without_parts_not_told": (one.break_even_told or one.break_even).cost,
                "pays": "above" if one.break_even.is_least else "below",
            }
            for one in answer.kinds
        ],
        "least_cost_p10": answer.studies.least_cost.lower_days,
        "least_cost_p90": answer.studies.least_cost.upper_days,
        "log_cannot_tell": list(answer.not_told),
        "saving_without_those": told and asdict(told),
        "not_watched": list(answer.studies.not_watched),
        "notes": list(value_lines(answer)),
    }
