"""The month in the first sentences that a reader meets: what stood, what that lost, what failed."""

from __future__ import annotations

from tracker.language import _, month_name, ngettext
from tracker.review.month import MonthReview
from tracker.say import numbers
from tracker.say.drift import drift_in_review
from tracker.say.maintenance.kept import month_sentence
from tracker.say.monthly.findings import suspicion_sentence, worse_printers_sentence
from tracker.say.monthly.sentences import (
    failures_sentence,
    orders_sentence,
    unusual_sentence,
    what_failed_sentence,
)
from tracker.say.monthly.untold import untold_in_month
from tracker.say.phrases import first_up, listed

MOST_SUSPICIONS = 2  # told in short
MOST_STANDING = 3  # printers told one by one, those that stood longest


def headline(review: MonthReview) -> str:
    """Which printers stood how long, what that lost, what the month cost, what failed beside what
    is normal, and of how many parts nobody knows.
    """
    month = first_up(month_name(review.month))
    if not review.whole:
        month = _("{month} so far (to {day})", month=month, day=numbers.day(review.as_of))
    silent = ""
    if review.silent:
        silent = (
            _("Nothing was written down in this month.")
            if review.whole
            else _("Nothing was written down so far.")
        )
    pieces = (
        f"{month}: {standing_sentence(review)}",
        cost_sentence(review),
        failures_sentence(review),
        what_failed_sentence(review),
        untold_in_month(review.happened.untold),
        silent,
    )
    return " ".join(filter(None, pieces))


def cost_sentence(review: MonthReview) -> str:
    """What the month cost, with what nobody wrote down as a bill: work reckoned, credits in it."""
    money = review.happened.money["this_month"]
    work, credited = float(money["labour"]), float(money.get("credited", 0.0))
    told = numbers.money
    notes = []
    if work > 0:
        notes.append(
            _(
                "{work} of it for changing parts, by the usual hours",
                work=told(work, review.currency),
            )
        )
    if credited < 0:
        notes.append(
            _("{credit} of warranty credit taken off", credit=told(-credited, review.currency))
        )
    cost = _about(review, review.glance.money.this)
    if not notes:
        return _("In all the month cost {cost}.", cost=cost)
    return _("In all the month cost {cost} ({notes}).", cost=cost, notes="; ".join(notes))


def standing_sentence(review: MonthReview) -> str:
    """Which printers stood how long, the longest first, and the margin lost with it."""
    hours = review.happened.hours["this_month"]
    hours = hours[hours > 0].sort_values(ascending=False, kind="stable")
    if hours.empty:
        return _("no stop of a printer is written down.")
    named = len(hours) if len(hours) == MOST_STANDING + 1 else MOST_STANDING
    first, *others = (
        (str(printer), _clock(stood)) for printer, stood in hours.iloc[:named].items()
    )
    told = [_("{printer} stood still for {time}", printer=first[0], time=first[1])]
    told += [_("{printer} for {time}", printer=name, time=stood) for name, stood in others]
    rest = hours.iloc[named:]
    if len(rest):
        told.append(
            _(
                "{count} more for {time} together",
                count=numbers.decimal(len(rest)),
                time=_clock(rest.sum()),
            )
        )
    lost = float(review.happened.money.loc["standing", "this_month"])
    if lost <= 0:
        return _("{stood} (working hours).", stood=listed(told))
    return _(
        "{stood} (working hours); that lost about {lost} of margin.",
        stood=listed(told),
        lost=_about(review, lost),
    )


def _clock(hours: float) -> str:
    return numbers.working_time(60 * hours)


def usual_sentence(review: MonthReview) -> str:
    """What is usual, the same figures as on Today; "" in the first month of the log."""
    glance = review.glance
    if not glance.months_compared:
        return ""
    failures = ngettext(
        "{number} failure",
        "{number} failures",
        glance.failures.usual,
        number=numbers.figure(glance.failures.usual),
    )
    return _(
        "Usual, by the mean of {months} before: {failures}, {hours} h and {cost}; this month "
        "{now_failures}, {now_hours} h and {now_cost}.",
        months=numbers.count(glance.months_compared, "month", "months"),
        failures=failures,
        hours=numbers.figure(glance.hours.usual),
        cost=_about(review, glance.money.usual),
        now_failures=numbers.figure(glance.failures.this),
        now_hours=numbers.figure(glance.hours.this),
        now_cost=_about(review, glance.money.this),
    )


def in_short(review: MonthReview) -> tuple[str, ...]:
    """What a meeting has to know beside the headline, a line for each thing; the same on page and
    paper."""
    bad = [suspicion_sentence(bad) for bad in review.suspicions if not bad.is_over]
    more = len(bad) - MOST_SUSPICIONS
    return tuple(
        filter(
            None,
            (
                unusual_sentence(review),
                usual_sentence(review),
                *bad[:MOST_SUSPICIONS],
                ngettext(
                    "{more} more lot or supplier failed early.",
                    "{more} more lots or suppliers failed early.",
                    more,
                    more=more,
                )
                if more > 0
                else "",
                drift_in_review(review.drift, review.as_of) if review.drift else "",
                worse_printers_sentence(review),
                month_sentence(review.kept),
                orders_sentence(review),
            ),
        )
    )


def _about(review: MonthReview, amount: float) -> str:
    return numbers.about_money(amount, review.currency)
