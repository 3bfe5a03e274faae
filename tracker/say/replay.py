"""What playing the history again found, in sentences."""

from __future__ import annotations

from datetime import date

from tracker.replay.findings import (
    LEAST_DAYS,
    LEAST_NEEDS,
    WARM_UP_DAYS,
    AdviceCost,
    PolicyCost,
    Service,
)
from tracker.replay.forecasts import (
    HORIZON_DAYS,
    LEAST_FAILURES,
    LEAST_FORECASTS,
    ForecastScore,
)
from tracker.replay.gains import Gain
from tracker.replay.history import Replay
from tracker.say import numbers


def playing(day: date) -> str:
    """What is shown while a month is played.

    >>> playing(date(2026, 3, 1))
    'Playing March 2026 again …'
    """
    return f"Playing {day:%B %Y} again …"


def replay_sentence(replay: Replay) -> str:
    """What the forecasts and the advice were worth, or why that cannot be said."""
    sentences = (
        forecast_sentence(replay.forecasts),
        gain_meaning(replay.forecasts),
        advice_sentence(replay.advice),
        service_sentence(replay.advice.service),
    )
    return " ".join(filter(None, sentences))


def advice_sentence(found: AdviceCost) -> str:
    """What each way of ordering would have cost, or why that cannot be said."""
    if not found.policies:
        return (
            f"Too short a log to judge the orders: {numbers.count(found.needs, 'piece')} needed "
            f"in {numbers.count(found.scored_days, 'day')} after the first "
            f"{WARM_UP_DAYS}; it takes about {LEAST_NEEDS} and {LEAST_DAYS}."
        )
    advised, one, none = (_cost(policy, found.currency) for policy in found.policies)
    return (
        f"Over {numbers.days(found.scored_days)} and {numbers.count(found.needs, 'piece')} "
        f"needed, ordering as advised would have cost {advised}; with always one of each on "
        f"the shelf it would have been {one}, with ordering only when something breaks {none} "
        f"(in brackets where 80 % lie, by how long deliveries take)."
    )


def _cost(policy: PolicyCost, currency: str) -> str:
    return (
        f"{numbers.money(policy.money, currency)} ({numbers.money(policy.low, currency)} to "
        f"{numbers.money(policy.high, currency)}) and "
        f"{numbers.count(round(policy.downtime_days), 'printer-day')} of standing still"
    )


def service_sentence(service: Service | None) -> str:
    """Was the service level kept? Empty where there is nothing to judge."""
    if service is None:
        return ""
    wanted = f"enough stock in {100 * service.asked:.0f} % of the review cycles"
    begins = (
        f"Asked for was {wanted}; stock"
        if service.is_floor
        else "Nobody set a service level, so money alone decided how much to keep. Had "
        f"{wanted} been asked for, stock"
    )
    return (
        f"{begins} of exactly that level would have been enough in "
        f"{100 * service.kept_as_asked:.0f} % (95 % sure: "
        f"{100 * service.lower:.0f} to {100 * service.upper:.0f} %), what was kept in whole pieces "
        f"and packs was enough in {100 * service.kept:.0f} %."
    )


def forecast_sentence(score: ForecastScore) -> str:
    """What the forecasts were worth in a few sentences, or why that cannot be said."""
    if score.gain_kind_rate is None or score.gain_age_free is None:
        return (
            f"Too short a log to judge: {numbers.count(score.forecasts, 'forecast')} and "
            f"{numbers.count(score.came, 'failure')} so far; it takes about {LEAST_FORECASTS} "
            f"and {LEAST_FAILURES}."
        )
    return (
        f"Over {numbers.count(len(score.months), 'month')} the forecasts foretold "
        f"{score.foretold:.1f} failures within {HORIZON_DAYS} days and {score.came} came. They "
        f"were {better_or_worse(score.gain_kind_rate)} than telling each part how often its kind "
        f"had failed until then, and {better_or_worse(score.gain_age_free)} than reckoning from "
        "the catalogue and the failures of its kind, ink and type, whatever the part's age."
        f"{_ranges(score)}"
    )


def gain_meaning(score: ForecastScore) -> str:
    """What "better" means there, and how much of it there could be; empty where none is told.

    Better by the Brier score, in words.
    """
    if score.gain_kind_rate is None or score.gain_age_free is None:
        return ""
    parts = (score.gain_kind_rate.if_right, score.gain_age_free.if_right)
    first, second = (f"{100 * share:.0f} %" for share in parts)
    return (
        "Better means that the chances told lay closer to what came: the mean square of the gap "
        f"(the Brier score) is so much smaller. Whether a part fails within {HORIZON_DAYS} days is "
        "mostly chance, so a gain of a few per cent is much; had every chance here been exactly "
        f"right, {first} and {second} would be expected."
    )


def better_or_worse(gain: Gain) -> str:
    """By how much, with the limits, and whether chance alone can do it.

    >>> better_or_worse(Gain(0.08, 0.03, 0.13, 0.07))
    '8 % better (95 % sure: 3 to 13 %)'
    >>> better_or_worse(Gain(-0.02, -0.06, 0.02, 0.01))
    '2 % worse (95 % sure: between 6 % worse and 2 % better, so chance alone can do that)'
    """
    direction = "better" if gain.share >= 0 else "worse"
    low, high = sorted(100 * abs(end) for end in (gain.lower, gain.upper))
    limits = f"{low:.0f} to {high:.0f} %"
    if gain.lower < 0 < gain.upper:
        limits = (
            f"between {-100 * gain.lower:.0f} % worse and {100 * gain.upper:.0f} % better, so "
            "chance alone can do that"
        )
    return f"{100 * abs(gain.share):.0f} % {direction} (95 % sure: {limits})"


def _ranges(score: ForecastScore) -> str:
    if not score.coverage:
        return " Too few lives have ended to judge the ranges of remaining life."
    all_months = [
        f"{100 * own.share:.0f} % ended inside the {100 * own.nominal:.0f} % range told "
        f"(95 % sure: {100 * own.lower:.0f} to {100 * own.upper:.0f} %)"
        for own in score.coverage
    ]
    later = [
        f"{100 * own.share:.0f} % inside the {100 * own.nominal:.0f} % range"
        for own in score.coverage_later
    ]
    ending = f"; told in the later half of the months, {' and '.join(later)}" if later else ""
    return f" Of the lives {', '.join(all_months)}{ending}."
