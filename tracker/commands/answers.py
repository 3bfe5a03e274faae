"""Commands that answer a question from the records."""

from __future__ import annotations

import argparse
import sys
from dataclasses import asdict
from datetime import date
from operator import attrgetter
from typing import TYPE_CHECKING, Any

from tracker.commands.printing import (
    as_json,
    end_line,
    nothing_fitted,
    progress_line,
    rows_of,
    show,
)
from tracker.commands.sources import first_day, records_and_day
from tracker.commands.typed_words import known, part_kind
from tracker.errors import NotEnoughData
from tracker.say import numbers, part_types
from tracker.workshop import vocabulary as words

if TYPE_CHECKING:
    from tracker.decisions.routine.effect import RoutineEffect
    from tracker.review.corrected import Corrections

_OUTLOOK = (
    "part_kind", "variant", "printer", "position", "age_days", "chance_of_failure",
    "days_p10", "days_p50", "days_p90", "median_if_guess_halved", "median_if_guess_doubled",
    "missing_nozzles", "rising_for_days", "chance_without_checks",
)  # fmt: skip
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
    "saving_per_printer_year": "saving.median",
    "saving_p10": "saving.p10",
    "saving_p90": "saving.p90",
    "chance_it_pays": "saving.chance_it_pays",
}


def outlook(options: argparse.Namespace) -> int:
    """What each fitted part has left."""
    from tracker.forecast.outlook import outlook as parts_outlook
    from tracker.say.nozzles import checks_say

    records, as_of = records_and_day(options)
    parts = parts_outlook(records, as_of, options.days, doing=dict(options.doing or ()))
    if options.json:
        return as_json({"as_of": as_of, "days": options.days, "parts": rows_of(parts, _OUTLOOK)})
    if parts.empty:
        return show(nothing_fitted(as_of), [])
    first = next(parts.itertuples())
    sentence = (
        f"Most at risk on {numbers.day(as_of)}: {part_types.placed_within(first)}, "
        f"{numbers.chance(first.chance_of_failure)} chance of failing within {options.days:g} "
        "days; 80 % range of remaining life "
        f"{numbers.day_range(first.days_p10, first.days_p90)}."
    )
    show(sentence, rows_of(parts, _OUTLOOK[:-3]))
    for row in parts.itertuples():
        if said := checks_say(row, options.days):
            print(f"{part_types.placed(row)}: {said}")
    return 0


def effect(options: argparse.Namespace) -> int:
    """Does doing a task more or less often pay?"""
    from tracker.decisions.routine.effect import routine_effect
    from tracker.say.maintenance.verdict import lines, verdict

    records, as_of = records_and_day(options)
    part = part_kind(options.part, records)
    done = tuple(records.maintenance["task"].unique())
    known(options.task, "task", (*words.BUILT_IN_TASKS, *done))
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
        sentence = f"Cannot tell yet. {problem}"
        if options.json:
            return as_json({"as_of": as_of, **dict.fromkeys(_EFFECT), "verdict": sentence})
        return show(sentence, [])
    values = {name: attrgetter(fact)(answer) for name, fact in _EFFECT.items()}
    if options.json:
        more = _more_on(answer)
        return as_json({"as_of": as_of, **values, **more, "verdict": verdict(answer)})
    show(verdict(answer), [values])
    for line in lines(answer):
        print(line)
    return 0


def _more_on(answer: RoutineEffect) -> dict[str, Any]:
    """What the effect says beyond the fixed keys: both savings, intervals, before and after."""
    from tracker.say.maintenance.change import history_remarks
    from tracker.say.maintenance.doubts import doubts

    least, even = answer.least_cost(), answer.break_even()
    return {
        "failures_ratio": answer.failures_ratio.estimate,
        "failures_ratio_lower": answer.failures_ratio.lower,
        "failures_ratio_upper": answer.failures_ratio.upper,
        "further_failures": answer.further_failures,
        "spare_on_shelf": answer.spare_on_shelf,
        "saving_with_spare": asdict(answer.with_spare),
        "saving_without_spare": asdict(answer.without_spare),
        "break_even_days": even.every_days,
        "least_cost_days": least.every_days,
        "least_cost_p10": least.lower_days,
        "least_cost_p90": least.upper_days,
        "by_lag": answer.lags.to_dict(orient="records"),
        "before_after": answer.history.as_dict()
        | {"remarks": list(history_remarks(answer.history))},
        "notes": doubts(answer),
    }


def life(options: argparse.Namespace) -> int:
    """How the lives of a part kind end."""
    from tracker.forecast.life_summary import life_summary
    from tracker.say.lives import life_sentence

    records, as_of = records_and_day(options)
    summary = life_summary(records, as_of, part_kind(options.part, records))
    values = summary.as_dict()
    if options.json:
        return as_json({"as_of": as_of, **values})
    families = values.pop("families")
    show(life_sentence(summary), [values])
    return show("", families)


def review(options: argparse.Namespace) -> int:
    """The review of a month, on screen or as one HTML file."""
    from pathlib import Path

    from tracker.review.month import month_review
    from tracker.say.monthly import values
    from tracker.say.monthly.sentences import headline

    records, as_of = records_and_day(options)
    month = options.month or as_of.replace(day=1)
    began = first_day(records)
    if began is not None and month < began.replace(day=1):
        print(
            f"--month {month:%Y-%m}: nothing was written down before {numbers.day(began)}.",
            file=sys.stderr,
        )
    answer = month_review(records, month, as_of=as_of, corrections=_corrections(options, month))
    if options.out:
        from tracker.paper.review import write_paper

        write_paper(answer, Path(options.out))
    if options.json:
        return as_json({**values.as_dict(answer), "file": options.out})
    show(headline(answer), [])
    for line in values.lines(answer):
        print(line)
    return 0


def _corrections(options: argparse.Namespace, month: date) -> Corrections | None:
    """What a database's log says was written after that month's review could first be made."""
    from tracker.store.connections import default_url, own_exists

    if options.data or not (options.database or own_exists()):
        return None
    from tracker.review.corrected import corrected_since
    from tracker.store.database import open_store

    with open_store(options.database or default_url()) as store:
        return corrected_since(store, month)


def replay(options: argparse.Namespace) -> int:
    """How well the forecasts and the advice would have done so far."""
    from tracker.replay.history import replay as play_again
    from tracker.say import replay as replay_words

    records, as_of = records_and_day(options)
    answer = play_again(records, as_of, progress_line(replay_words.playing))
    end_line()
    if options.json:
        sentence = replay_words.replay_sentence(answer)
        return as_json({"as_of": as_of, **answer.as_dict(), "sentence": sentence})
    show(replay_words.forecast_sentence(answer.forecasts), answer.forecasts.months)
    print(replay_words.gain_meaning(answer.forecasts))
    print()
    show(
        replay_words.advice_sentence(answer.advice), [asdict(own) for own in answer.advice.policies]
    )
    print(replay_words.service_sentence(answer.advice.service))
    if len(answer.advice.by_kind):
        show("", rows_of(answer.advice.by_kind, tuple(answer.advice.by_kind.columns)))
    return 0
