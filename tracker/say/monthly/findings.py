"""The review's findings in words: bad batches, printers getting worse, key figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from tracker.language import N_, _, month_name, ngettext
from tracker.models.life_model.whole.findings import WORTH_TELLING
from tracker.review.key_figures import KeyFigures
from tracker.review.month import MonthReview
from tracker.review.printer_trend import LEAST_EVENTS, PrinterTrend
from tracker.review.suspicion import Suspicion
from tracker.say import numbers, part_types
from tracker.say.phrases import first_up, listed

_SEASON_UNKNOWN = N_(" The log is too short to rule out the time of year.")
MOST_HARDER = 3  # printers told one by one


def suspicion_name(bad: Suspicion) -> str:
    """As people call it: "damper lot Da-1 from Harbour", its type after the kind."""
    kind = part_types.of_all_within(bad.part_kind, bad.variants, plural=not bad.batch)
    if bad.batch and bad.supplier:
        return _(
            "{kind} lot {batch} from {supplier}",
            kind=kind,
            batch=bad.batch,
            supplier=bad.supplier,
        )
    if bad.batch:
        return _("{kind} lot {lot}", kind=kind, lot=bad.batch)
    return _("{kind} from {supplier}", kind=kind, supplier=bad.supplier) if bad.supplier else kind


def suspicion_sentence(bad: Suspicion) -> str:
    """What failed early, how many of how many, and whether any is still in use."""
    name, before = first_up(suspicion_name(bad)), ""
    if bad.is_over and bad.last_failed:
        name = suspicion_name(bad)
        before = _(
            "Known from before, the last failure in {last_failed}: ",
            last_failed=month_name(bad.last_failed),
        )
    now = (
        _("{fitted_now} still fitted.", fitted_now=bad.fitted_now)
        if bad.fitted_now
        else _("None is fitted any more.")
    )
    return _(
        "{before}{name}: {failures} of {parts} failed where {expected} would be usual at "
        "their age. {now}",
        before=before,
        name=name,
        failures=bad.failures,
        parts=bad.parts,
        expected=numbers.figure(bad.expected),
        now=now,
    )


def suspicion_evidence(bad: Suspicion) -> str:
    """How sure that is: the chance by luck, and among how many it was looked for."""
    odds = (
        _("under 1 in {many}", many=numbers.decimal(10_000))
        if bad.chance < 1e-4
        else _("1 in {many}", many=numbers.decimal(1 / bad.chance))
    )
    printers = numbers.count(len(bad.printers), "printer", "printers")
    return _(
        "By luck alone {odds}, on {printers}, with {comparisons} lots and suppliers compared.",
        odds=odds,
        printers=printers,
        comparisons=bad.comparisons,
    )


def trend_sentence(trend: PrinterTrend) -> str:
    """Which printers are getting worse, said as news once and later as said before."""
    events = _events(2, trend.what)
    if not trend.can_tell:
        return _(
            "Too few {events} on any printer to tell a trend (fewer than {least_events} "
            "each in the last twelve months).",
            events=events,
            least_events=LEAST_EVENTS,
        )
    rows = trend.printers.set_index("printer")
    sentences = [
        _(
            "{name} is getting worse: its {events} came faster and faster over the last "
            "twelve months ({last_year}; {chance_if_steady} chance of such a rise by luck).",
            name=name,
            events=events,
            last_year=_counted_events(int(rows.loc[name, "last_year"]), trend.what),
            chance_if_steady=numbers.chance(rows.loc[name, "chance_if_steady"]),
        )
        + (_(_SEASON_UNKNOWN) if name in trend.season_unknown else "")
        for name in trend.worse
    ]
    sentences += [
        _(
            "{name}: more {events} than before, as said since {at}.",
            name=name,
            events=events,
            at=month_name(at),
        )
        + (_(_SEASON_UNKNOWN) if name in trend.season_unknown else "")
        for name, at in trend.still
    ]
    if sentences:
        return " ".join(sentences)
    return _(
        "No printer has more and more {events} than a year ago, beyond what chance explains.",
        events=events,
    )


def _events(number: int, what: str) -> str:
    """The noun of what a trend counts, for one or for many."""
    if what == "stoppage":
        return ngettext("stoppage", "stoppages", number)
    return ngettext("drop-out", "drop-outs", number)


def _counted_events(number: int, what: str) -> str:
    """So many of what a trend counts."""
    if what == "stoppage":
        return numbers.count(number, "stoppage", "stoppages")
    return numbers.count(number, "drop-out", "drop-outs")


BAND_NOTE = N_(
    "The band says how well the mean is known, not how far from it one printer may lie: single "
    "printers lie outside it by chance. Harder is told from part failures alone, at the same age; "
    "getting worse, from a printer's own last twelve months."
)


def printers_sentence(levels: pd.DataFrame) -> str:
    """Which printers are harder on their parts than the others; "" where there is no other."""
    if levels.empty:
        return ""
    harder = levels[levels["harder"]]
    if harder.empty:
        none = _("No printer is harder on its parts than the others, beyond what chance explains.")
        return f"{none} {_room_left(levels)}".strip()
    each = [
        _(
            "{printer} is harder on its parts than the other printers: they fail there "
            "{factor} times as often at the same age, time and routine (95 %: {lower} to "
            "{upper} times; {failures} so far).",
            printer=row.printer,
            factor=numbers.figure(row.factor),
            lower=numbers.figure(row.lower),
            upper=numbers.figure(row.upper),
            failures=numbers.count(row.failures, "failure", "failures"),
        )
        for row in harder.head(MOST_HARDER).itertuples()
    ]
    more = len(harder) - len(each)
    each += [ngettext("So is {more} more.", "So are {more} more.", more, more=more)] if more else []
    return " ".join(each)


def _room_left(levels: pd.DataFrame) -> str:
    """How much harder one might be without the log having shown it; "" where that is little."""
    most = levels.loc[levels["upper"].idxmax()]
    if most["upper"] < WORTH_TELLING:
        return ""
    return _(
        "With {failures} of all kinds so far a difference can still hide: in {printer} parts may "
        "fail up to {upper} times as often at the same age (95 % limit), those of one kind more.",
        failures=numbers.count(int(levels["failures"].sum()), "failure", "failures"),
        printer=most["printer"],
        upper=numbers.figure(most["upper"]),
    )


def worse_printers_sentence(review: MonthReview) -> str:
    """Which printers are harder on their parts or getting worse, in short; "" where none is."""
    levels = review.printer_levels
    harder = [] if levels.empty else list(levels.loc[levels["harder"].astype(bool), "printer"])
    worse = dict.fromkeys((*review.stoppage_trend.worse, *review.drop_out_trend.worse))
    return " ".join(filter(None, (_harder_sentence(harder), _worse_sentence(list(worse)))))


def _harder_sentence(names: Sequence[str]) -> str:
    if not names:
        return ""
    return ngettext(
        "{names} is harder on parts than the other printers.",
        "{names} are harder on parts than the other printers.",
        len(names),
        names=listed(_some(names)),
    )


def _worse_sentence(names: Sequence[str]) -> str:
    if not names:
        return ""
    return ngettext(
        "{names} is getting worse.",
        "{names} are getting worse.",
        len(names),
        names=listed(_some(names)),
    )


def _some(names: Sequence[str]) -> list[str]:
    more = len(names) - MOST_HARDER
    return [*names[:MOST_HARDER], *([_("{more} more", more=more)] if more > 0 else [])]


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
    hours = _("{hours} h", hours=numbers.figure(figures.operating_hours, 3))
    return (
        KeyFigure(
            _("Mean operating time between failures"),
            between,
            "h",
            _("{hours} h", hours=numbers.figure(between, 3))
            if between is not None
            else _("no failure in {hours} of operation", hours=hours),
            _(
                "Working hours of all printers (Monday to Friday or the weekdays set, and "
                "other days with an entry, at the set hours a day), less the hours stood "
                "still, divided by parts that failed or met an accident."
            ),
            "IEC 60050-192",
        ),
        KeyFigure(
            _("Mean down time"),
            mean_down,
            "h",
            _("{hours} h", hours=numbers.figure(mean_down))
            if mean_down is not None
            else _("no stoppage began"),
            _("Working hours stood still in the month divided by the stoppages that began in it."),
            "IEC 60050-192",
        ),
        KeyFigure(
            _("Availability"),
            available,
            "",
            numbers.percent(available, 1) if available is not None else _("no working hours"),
            _("Operating hours divided by operating hours plus hours stood still."),
            "IEC 60050-192, EN 15341",
        ),
        KeyFigure(
            _("Corrective maintenance cost share"),
            share,
            "",
            numbers.percent(share) if share is not None else _("nothing was spent"),
            _(
                "Parts and work after failures and accidents (what went out with them "
                "included) and tasks done because of a symptom, divided by all parts, work "
                "to change them and tasks. Standing still and spoiled film are not in it."
            ),
            "EN 15341",
        ),
    )
