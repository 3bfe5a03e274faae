"""What playing the history again found, in sentences."""

from __future__ import annotations

from datetime import date
from functools import partial

from tracker.language import _, month_name
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
from tracker.say.phrases import listed


def playing(day: date) -> str:
    """What is shown while a month is played.

    >>> playing(date(2026, 3, 1))
    'Playing March 2026 again …'
    """
    return _("Playing {month} again …", month=month_name(day))


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
        return _(
            "Too short a log to judge the orders: {needs} needed in {scored_days} after "
            "the first {warm_up_days}; it takes about {least_needs} and {least_days}.",
            needs=numbers.count(found.needs, "piece", "pieces"),
            scored_days=numbers.count(found.scored_days, "day", "days"),
            warm_up_days=WARM_UP_DAYS,
            least_needs=LEAST_NEEDS,
            least_days=LEAST_DAYS,
        )
    advised, one, none = (_cost(policy, found.currency) for policy in found.policies)
    return _(
        "Over {scored_days} and {needs} needed, ordering as advised would have cost "
        "{advised}; with always one of each on the shelf it would have been {one}, with "
        "ordering only when something breaks {none} (the ranges by how long deliveries take).",
        scored_days=numbers.days(found.scored_days),
        needs=numbers.count(found.needs, "piece", "pieces"),
        advised=advised,
        one=one,
        none=none,
    )


def _cost(policy: PolicyCost, currency: str) -> str:
    return _(
        "{money} and {downtime_days} of standing still",
        money=numbers.within(
            policy.money, policy.low, policy.high, partial(numbers.money, currency=currency)
        ),
        downtime_days=numbers.count(round(policy.downtime_days), "printer-day", "printer-days"),
    )


def service_sentence(service: Service | None) -> str:
    """Was the service level kept? Empty where there is nothing to judge."""
    if service is None:
        return ""
    told = {
        "asked": numbers.percent(service.asked),
        "exactly": numbers.percent(service.kept_as_asked),
        "low": f"{100 * service.lower:.0f}",
        "high": numbers.percent(service.upper),
        "kept": numbers.percent(service.kept),
    }
    if service.is_floor:
        return _(
            "Asked for was enough stock in {asked} of the review cycles; stock of exactly that "
            "level would have been enough in {exactly} (95 % sure: {low} to {high}), what was kept "
            "in whole pieces and packs was enough in {kept}.",
            **told,
        )
    return _(
        "Nobody set a service level, so money alone decided how much to keep. Had enough stock in "
        "{asked} of the review cycles been asked for, stock of exactly that level would have been "
        "enough in {exactly} (95 % sure: {low} to {high}), what was kept in whole pieces and packs "
        "was enough in {kept}.",
        **told,
    )


def forecast_sentence(score: ForecastScore) -> str:
    """What the forecasts were worth in a few sentences, or why that cannot be said."""
    if score.gain_kind_rate is None or score.gain_age_free is None:
        return _(
            "Too short a log to judge: {forecasts} and {came} so far; it takes about "
            "{least_forecasts} and {least_failures}.",
            forecasts=numbers.count(score.forecasts, "forecast", "forecasts"),
            came=numbers.count(score.came, "failure", "failures"),
            least_forecasts=LEAST_FORECASTS,
            least_failures=LEAST_FAILURES,
        )
    return _(
        "Over {count} the forecasts foretold {foretold} failures within {horizon_days} "
        "days and {came} came. They were {gain_kind_rate} than telling each part how "
        "often its kind had failed until then, and {gain_age_free} than reckoning from "
        "the catalogue and the failures of its kind, ink and type, whatever the part's "
        "age. {ranges}",
        count=numbers.count(len(score.months), "month", "months"),
        foretold=numbers.decimal(score.foretold, 1),
        horizon_days=HORIZON_DAYS,
        came=score.came,
        gain_kind_rate=better_or_worse(score.gain_kind_rate),
        gain_age_free=better_or_worse(score.gain_age_free),
        ranges=_ranges(score),
    )


def gain_meaning(score: ForecastScore) -> str:
    """What "better" means there, and how much of it there could be; empty where none is told.

    Better by the Brier score, in words.
    """
    if score.gain_kind_rate is None or score.gain_age_free is None:
        return ""
    parts = (score.gain_kind_rate.if_right, score.gain_age_free.if_right)
    first, second = (numbers.percent(share) for share in parts)
    return _(
        "Better means that the chances told lay closer to what came: the mean square of "
        "the gap (the Brier score) is so much smaller. Whether a part fails within "
        "{horizon_days} days is mostly chance, so a gain of a few per cent is much; had "
        "every chance here been exactly right, {first} and {second} would be expected.",
        horizon_days=HORIZON_DAYS,
        first=first,
        second=second,
    )


def better_or_worse(gain: Gain) -> str:
    """By how much, with the limits, and whether chance alone can do it.

    >>> better_or_worse(Gain(0.08, 0.03, 0.13, 0.07))
    '8 % better (95 % sure: 3 to 13 %)'
    >>> better_or_worse(Gain(-0.02, -0.06, 0.02, 0.01))
    '2 % worse (95 % sure: between 6 % worse and 2 % better, so chance alone can do that)'
    """
    low, high = sorted(abs(end) for end in (gain.lower, gain.upper))
    limits = _("{low} to {high}", low=f"{100 * low:.0f}", high=numbers.percent(high))
    if gain.lower < 0 < gain.upper:
        limits = _(
            "between {worse} worse and {better} better, so chance alone can do that",
            worse=numbers.percent(-gain.lower),
            better=numbers.percent(gain.upper),
        )
    share = numbers.percent(abs(gain.share))
    if gain.share >= 0:
        return _("{share} better (95 % sure: {limits})", share=share, limits=limits)
    return _("{share} worse (95 % sure: {limits})", share=share, limits=limits)


def _ranges(score: ForecastScore) -> str:
    if not score.coverage:
        return _("Too few lives have ended to judge the ranges of remaining life.")
    all_months = ", ".join(
        _(
            "{share} ended inside the {nominal} range told (95 % sure: {low} to {high})",
            share=numbers.percent(own.share),
            nominal=numbers.percent(own.nominal),
            low=f"{100 * own.lower:.0f}",
            high=numbers.percent(own.upper),
        )
        for own in score.coverage
    )
    later = [
        _(
            "{share} inside the {nominal} range",
            share=numbers.percent(own.share),
            nominal=numbers.percent(own.nominal),
        )
        for own in score.coverage_later
    ]
    if not later:
        return _("Of the lives {all_months}.", all_months=all_months)
    return _(
        "Of the lives {all_months}; told in the later half of the months, {later}.",
        all_months=all_months,
        later=listed(later),
    )
