"""Commands that answer a question from the records."""

from __future__ import annotations

import argparse
import sys
from dataclasses import asdict
from datetime import date
from typing import TYPE_CHECKING

from tracker.commands.printing import (
    as_json,
    end_line,
    nothing_fitted,
    progress_line,
    rows_of,
    show,
)
from tracker.commands.sources import database_url, first_day, has_database, records_and_day
from tracker.commands.typed_words import part_kind
from tracker.language import _
from tracker.say import numbers, part_types

if TYPE_CHECKING:
    from tracker.review.corrected import Corrections

_OUTLOOK = (
    "part_kind", "variant", "printer", "position", "age_days", "chance_of_failure",
    "days_p10", "days_p50", "days_p90", "median_if_guess_halved", "median_if_guess_doubled",
    "missing_nozzles", "rising_for_days", "chance_without_checks",
)  # fmt: skip
_EMPTY = ("part_kind", "variant", "printer", "position", "empty_since")


def outlook(options: argparse.Namespace) -> int:
    """What each fitted part has left."""
    from tracker.forecast.outlook import outlook as parts_outlook
    from tracker.say.nozzles import checks_say
    from tracker.workshop.empty_positions import waiting_positions

    records, as_of = records_and_day(options)
    empty = waiting_positions(records, as_of)
    parts = parts_outlook(records, as_of, options.days, doing=dict(options.doing or ()))
    if options.json:
        rows = rows_of(parts, _OUTLOOK)
        answer = {"as_of": as_of, "days": options.days, "parts": rows}
        return as_json({**answer, "empty": rows_of(empty, _EMPTY)})
    for row in empty.itertuples():
        print(f"{part_types.stands_empty(row)}.")
    if parts.empty:
        return show(nothing_fitted(as_of), [])
    first = next(parts.itertuples())
    sentence = _(
        "Most at risk on {as_of}: {first}, {chance_of_failure} chance of failing within "
        "{days} days; 80 % range of remaining life {days_p10}.",
        as_of=numbers.day(as_of),
        first=part_types.placed_within(first),
        chance_of_failure=numbers.chance(first.chance_of_failure),
        days=f"{options.days:g}",
        days_p10=numbers.day_range(first.days_p10, first.days_p90),
    )
    show(sentence, rows_of(parts, _OUTLOOK[:-3]))
    for row in parts.itertuples():
        if said := checks_say(row, options.days):
            print(f"{part_types.placed(row)}: {said}")
    return 0


def life(options: argparse.Namespace) -> int:
    """How the lives of a part kind end."""
    from tracker.forecast.life_summary import life_summary
    from tracker.say.lives.summary import life_sentence, may_have_failed, why_left_out

    records, as_of = records_and_day(options)
    summary = life_summary(records, as_of, part_kind(options.part, records))
    values = summary.as_dict()
    if options.json:
        return as_json({"as_of": as_of, **values})
    families = values.pop("families")
    told = life_sentence(summary), why_left_out(summary), may_have_failed(summary)
    show(" ".join(filter(None, told)), [values])
    return show("", families)


def review(options: argparse.Namespace) -> int:
    """The review of a month, on screen or as one HTML file."""
    from pathlib import Path

    from tracker.review.month import month_review
    from tracker.say.monthly import values
    from tracker.say.monthly.answer import headline

    records, as_of = records_and_day(options)
    month = options.month or as_of.replace(day=1)
    began = first_day(records)
    if began is not None and month < began.replace(day=1):
        print(
            _(
                "--month {month}: nothing was written down before {began}.",
                month=f"{month:%Y-%m}",
                began=numbers.day(began),
            ),
            file=sys.stderr,
        )
    answer = month_review(records, month, as_of=as_of, corrections=_corrections(options, month))
    if options.out:
        from tracker.paper.review import write_paper

        write_paper(answer, Path(options.out), with_appendices=options.appendices)
    if options.json:
        return as_json({**values.as_dict(answer), "file": options.out})
    show(headline(answer), [])
    for line in values.lines(answer):
        print(line)
    return 0


def _corrections(options: argparse.Namespace, month: date) -> Corrections | None:
    """What a database's log says was written after that month's review could first be made."""
    if not has_database(options):
        return None
    from tracker.review.corrected import corrected_since
    from tracker.store.database import open_store

    with open_store(database_url(options)) as store:
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
