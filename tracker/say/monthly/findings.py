"""The review's findings in words: bad batches, printers getting worse, corrections, key figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from tracker.review.corrected import Corrections
from tracker.review.key_figures import KeyFigures
from tracker.review.month import MonthReview
from tracker.review.printer_trend import LEAST_EVENTS, PrinterTrend
from tracker.review.suspicion import Suspicion
from tracker.say import numbers, part_types
from tracker.say.phrases import first_up, listed

_SEASON_UNKNOWN = " The log is too short to rule out the time of year."
MOST_HARDER = 3  # printers told one by one
_NOUNS = {
    "printers": "printer",
    "fittings": "part change",
    "maintenance": "maintenance entry",
    "counters": "counter reading",
    "nozzle_checks": "nozzle check",
    "stoppages": "stoppage",
    "stock": "stock movement",
    "orders": "order",
    "conditions": "note on conditions",
    "parts": "price or part fact",
    "routines": "routine",
    "experiments": "step of an experiment",
    "settings": "setting",
}
_PLURALS = {
    "maintenance": "maintenance entries",
    "conditions": "notes on conditions",
    "parts": "prices or part facts",
    "experiments": "steps of an experiment",
}


def suspicion_name(bad: Suspicion) -> str:
    """As people call it: "damper lot Da-1 from Harbour", its type after the kind."""
    kind = part_types.of_all_within(bad.part_kind, bad.variants, plural=not bad.batch)
    source = f" from {bad.supplier}" if bad.supplier else ""
    return f"{kind} lot {bad.batch}{source}" if bad.batch else f"{kind}{source}"


def suspicion_sentence(bad: Suspicion) -> str:
    """What failed early, how many of how many, and whether any is still in use."""
    name, before = first_up(suspicion_name(bad)), ""
    if bad.is_over and bad.last_failed:
        name = suspicion_name(bad)
        before = f"Known from before, the last failure in {bad.last_failed:%B %Y}: "
    now = f"{bad.fitted_now} still fitted" if bad.fitted_now else "None is fitted any more"
    return (
        f"{before}{name}: {bad.failures} of {bad.parts} failed where "
        f"{numbers.figure(bad.expected)} would be usual at their age. {now}."
    )


def suspicion_evidence(bad: Suspicion) -> str:
    """How sure that is: the chance by luck, and among how many it was looked for."""
    odds = "under 1 in 10 000" if bad.chance < 1e-4 else f"1 in {1 / bad.chance:,.0f}"
    printers = numbers.count(len(bad.printers), "printer")
    return (
        f"By luck alone {odds.replace(',', ' ')}, on {printers}, with {bad.comparisons} lots and "
        "suppliers compared."
    )


def trend_sentence(trend: PrinterTrend) -> str:
    """Which printers are getting worse, said as news once and later as said before."""
    if not trend.can_tell:
        return (
            f"Too few {trend.what}s on any printer to tell a trend (fewer than {LEAST_EVENTS} each "
            "in the last twelve months)."
        )
    rows = trend.printers.set_index("printer")
    sentences = [
        f"{name} is getting worse: its {trend.what}s came faster and faster over the last twelve "
        f"months ({numbers.count(rows.loc[name, 'last_year'], trend.what)}; "
        f"{numbers.chance(rows.loc[name, 'chance_if_steady'])} chance of such a rise by luck)."
        + (_SEASON_UNKNOWN if name in trend.season_unknown else "")
        for name in trend.worse
    ]
    sentences += [
        f"{name}: more {trend.what}s than before, as said since {at:%B %Y}."
        + (_SEASON_UNKNOWN if name in trend.season_unknown else "")
        for name, at in trend.still
    ]
    if sentences:
        return " ".join(sentences)
    return (
        f"No printer has more and more {trend.what}s than a year ago, beyond what chance explains."
    )


def printers_sentence(levels: pd.DataFrame) -> str:
    """Which printers are harder on their parts than the others; "" where there is no other."""
    if levels.empty:
        return ""
    harder = levels[levels["harder"]]
    if harder.empty:
        return "No printer is harder on its parts than the others, beyond what chance explains."
    each = [
        f"{row.printer} is harder on its parts than the other printers: they fail there "
        f"{numbers.figure(row.factor)} times as often at the same age, time and routine "
        f"(95 %: {numbers.figure(row.lower)} to {numbers.figure(row.upper)} times; "
        f"{numbers.count(row.failures, 'failure')} so far)."
        for row in harder.head(MOST_HARDER).itertuples()
    ]
    more = len(harder) - len(each)
    each += [f"So {'is' if more == 1 else 'are'} {more} more."] if more else []
    return " ".join(each)


def worse_printers_sentence(review: MonthReview) -> str:
    """Which printers are harder on their parts or getting worse, in short; "" where none is."""
    levels = review.printer_levels
    harder = [] if levels.empty else list(levels.loc[levels["harder"].astype(bool), "printer"])
    worse = dict.fromkeys((*review.stoppage_trend.worse, *review.drop_out_trend.worse))
    sentences = [
        f"{listed(_some(names))} {'is' if len(names) == 1 else 'are'} {what}."
        for names, what in (
            (harder, "harder on parts than the other printers"),
            (list(worse), "getting worse"),
        )
        if names
    ]
    return " ".join(sentences)


def _some(names: Sequence[str]) -> list[str]:
    more = len(names) - MOST_HARDER
    return [*names[:MOST_HARDER], *([f"{more} more"] if more > 0 else [])]


def corrections_sentence(found: Corrections | None) -> str:
    """What was written down or corrected since a review could first be made; "" where nothing."""
    if found is None:
        return ""
    groups = [
        f"{numbers.count(sum(counts.values()), 'record')} {label} ({_counted(counts)})"
        for counts, label in (
            (found.of_month, f"of {found.month:%B %Y}"),
            (found.earlier, "of earlier months"),
            (found.undated, "that hold for every month"),
        )
        if counts
    ]
    files = [
        f"{load.what} on {numbers.day(load.on)} ({numbers.count(load.records, 'record')})"
        for load in found.taken_back
    ]
    sentences = []
    if groups:
        since = numbers.day(found.since)
        sentences.append(f"Written down or corrected after {since}: {'; '.join(groups)}.")
    if files:
        sentences.append(f"Files taken back since then: {'; '.join(files)}.")
    if not sentences:
        return ""
    sentences.append(
        "So this review, computed again, can differ from the one first made; without these "
        "changes every figure would be the same."
    )
    return " ".join(sentences)


def _counted(counts: Mapping[tuple[str, str], int]) -> str:
    pieces = []
    for (table, verb), number in sorted(counts.items()):
        noun = _NOUNS.get(table, table)
        pieces.append(f"{numbers.count(number, noun, _PLURALS.get(table, f'{noun}s'))} {verb}")
    return ", ".join(pieces)


@dataclass(frozen=True)
class KeyFigure:
    """A key figure by its standard name; ``text`` says its value with the unit, or why not."""

    name: str
    value: float | None
    unit: str
    text: str
    definition: str
    standard: str


def key_figures(figures: KeyFigures) -> tuple[KeyFigure, ...]:
    """The month's key figures in words, each with its definition and the standard it is from."""
    between, mean_down = figures.between_failures, figures.down_time
    available, share = figures.availability, figures.corrective_share
    hours = f"{numbers.figure(figures.operating_hours, 3)} h"
    return (
        KeyFigure(
            "Mean operating time between failures", between, "h",
            f"{numbers.figure(between, 3)} h" if between is not None
            else f"no failure in {hours} of operation",
            "Working hours of all printers (Monday to Friday and other days with an entry, at the "
            "set hours a day), less the hours stood still, divided by parts that failed or met "
            "an accident.",
            "IEC 60050-192",
        ),
        KeyFigure(
            "Mean down time", mean_down, "h",
            f"{numbers.figure(mean_down)} h" if mean_down is not None else "no stoppage began",
            "Working hours stood still in the month divided by the stoppages that began in it.",
            "IEC 60050-192",
        ),
        KeyFigure(
            "Availability", available, "",
            f"{100 * available:.1f} %" if available is not None else "no working hours",
            "Operating hours divided by operating hours plus hours stood still.",
            "IEC 60050-192, EN 15341",
        ),
        KeyFigure(
            "Corrective maintenance cost share", share, "",
            f"{100 * share:.0f} %" if share is not None else "nothing was spent",
            "Parts and work after failures and accidents (what went out with them included) and "
            "tasks done because of a symptom, divided by all parts, work to change them and tasks. "
            "Standing still and spoiled film are not in it.",
            "EN 15341",
        ),
    )  # fmt: skip
