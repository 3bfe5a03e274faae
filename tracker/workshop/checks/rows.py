"""What one row cannot say: days in the wrong order, an end without a day, a bad setting."""

from __future__ import annotations

import math
from datetime import datetime

import numpy as np
import pandas as pd

from tracker.language import LANGUAGES, N_, _, is_locale, month_name
from tracker.workshop import vocabulary as words
from tracker.workshop.clocks.changes import true_times, zone_named, zone_of
from tracker.workshop.limits import PRICE
from tracker.workshop.refusal import Findings, nearest_word, written
from tracker.workshop.settings.known import SETTINGS
from tracker.workshop.settings.spans_worked import OPEN_AGAIN, WORKED_THROUGH, spans_worked
from tracker.workshop.working_days import WEEKDAYS_WORKED, weekdays_in

# table, later column, earlier column, mend: the later day cannot lie before the earlier one.
_ORDERED_DAYS = (
    ("printers", "retired_on", "started_on", N_("swap or correct them")),
    ("fittings", "removed_on", "fitted_on", N_("swap or correct them")),
    ("fittings", "last_ok_on", "fitted_on", N_("write the last good day of this very part")),
    ("stoppages", "ended_at", "began_at", N_("swap or correct them")),
    ("orders", "received_on", "ordered_on", N_("swap or correct them")),
    ("orders", "expected_on", "ordered_on", N_("correct one of them")),
    ("routines", "ends_on", "starts_on", N_("swap or correct them")),
    ("experiments", "ends_on", "starts_on", N_("swap or correct them")),
    ("closures", "ended_on", "began_on", N_("swap or correct them")),
    ("actions", "written_on", "month", N_("correct one of them")),
    ("actions", "done_on", "month", N_("correct one of them")),
    ("actions", "dropped_on", "month", N_("correct one of them")),
    ("review_notes", "written_on", "month", N_("correct one of them")),
)

# Settings that must lie within bounds: least, most, whether the bounds themselves are allowed.
_SETTING_BOUNDS = {
    "labour_per_hour": (0.0, PRICE.at_most, True),
    "margin_per_hour": (0.0, PRICE.at_most, True),
    "service_level": (0.0, 1.0, False),
    "risk_limit": (0.0, 0.99, True),
    "review_days": (0.0, 3650.0, True),
    "holding_rate_per_year": (0.0, 10.0, True),
    "hours_per_day": (0.0, 24.0, True),
    "fluid_per_litre": (0.0, PRICE.at_most, True),
    "shipping_per_order": (0.0, PRICE.at_most, True),
    "express_premium": (0.0, PRICE.at_most, True),
    "taken_over_share": (0.0, 1.0, True),
    "courier_days": (0.0, 365.0, True),
    "courier_cost": (0.0, PRICE.at_most, True),
    "mail_port": (1.0, 65535.0, True),
}
LEAST_BARE_PERCENT = 50.0  # as a share, a bare 95 is meant in percent; 1.2 is a mistake


def check_rows(found: Findings) -> None:
    """Refuses each row that contradicts itself."""
    for table, later, earlier, mend in _ORDERED_DAYS:
        if not found.is_touched(table):
            continue
        frame = found.records.table(table)
        first = frame[earlier]
        is_before = frame[later] < first
        if table == "stoppages":  # in the hour that comes twice, a clock goes backwards
            began, ended = true_times(frame, zone_of(found.records))
            is_before = pd.Series(ended < began, index=frame.index)
        found.refuse(
            table,
            is_before,
            later,
            lambda at, first=first, earlier=earlier: (  # type: ignore[misc]
                _("is before {earlier} {first}", earlier=earlier, first=written(first.iloc[at]))
            ),
            _(mend),
        )
    _check_fittings(found)
    _check_stock_and_parts(found)
    _check_routines(found)
    _check_reviews(found)
    _check_settings(found)


def _check_fittings(found: Findings) -> None:
    if not found.is_touched("fittings"):
        return
    frame = found.records.fittings
    removed = frame["removed_on"]
    found.refuse(
        "fittings",
        frame["last_ok_on"] > removed,
        "last_ok_on",
        lambda at: _("is after removed_on {removed}", removed=written(removed.iloc[at])),
        _("write the last day it was seen good before it came out"),
    )
    still_in = removed.isna().to_numpy()
    refused_already = np.zeros(len(frame), dtype=bool)
    for column in ("removal_reason", "failure_mode", "removed_counter_m2", "claim"):
        values = frame[column]
        given = (values.ne("") if values.dtype == object else values.notna()).to_numpy()
        found.refuse(
            "fittings",
            given & still_in & ~refused_already,
            column,
            _("is given but removed_on is empty"),
            _(
                "write the day it came out in removed_on, or clear {column} if it is still in",
                column=column,
            ),
        )
        refused_already |= given
    found.refuse(
        "fittings",
        frame["claim_amount"].notna() & frame["claim"].eq(""),
        "claim_amount",
        _("is given but “claim” is empty"),
        _(
            "write one of {claim_states} in “claim”, or clear the amount",
            claim_states=", ".join(words.CLAIM_STATES),
        ),
    )
    found.refuse(
        "fittings",
        frame["age_guess_days"].notna() & frame["fitted_on"].notna(),
        "age_guess_days",
        lambda at: _(
            "is given and so is fitted_on {fitted_on}",
            fitted_on=written(frame["fitted_on"].iloc[at]),
        ),
        _("an age is guessed only where the fitting day is not known: clear one of them"),
    )
    fitted_counter = frame["fitted_counter_m2"]
    found.refuse(
        "fittings",
        frame["removed_counter_m2"] < fitted_counter,
        "removed_counter_m2",
        lambda at: _(
            "is below fitted_counter_m2 {fitted_counter}",
            fitted_counter=written(fitted_counter.iloc[at]),
        ),
        _(
            "swap or correct them; if the counter was reset in between, add the total before "
            "the reset"
        ),
    )


def _check_stock_and_parts(found: Findings) -> None:
    if found.is_touched("stock"):
        stock = found.records.stock
        for reason in ("used", "scrapped"):
            found.refuse(
                "stock",
                stock["reason"].eq(reason) & (stock["quantity"] > 0),
                "quantity",
                _("is positive but the reason is {reason}", reason=reason),
                lambda at: _(
                    "pieces that leave the shelf have a minus: write {quantity}",
                    quantity=written(-stock["quantity"].iloc[at]),
                ),
            )
    if found.is_touched("parts"):
        parts = found.records.parts
        found.refuse(
            "parts",
            parts["lead_days_late"] < parts["lead_days"],
            "lead_days_late",
            lambda at: _(
                "is less than lead_days {lead_days}", lead_days=written(parts["lead_days"].iloc[at])
            ),
            _("it is the time by which nine in ten deliveries arrive; write at least lead_days"),
        )


def _check_routines(found: Findings) -> None:
    if not found.is_touched("routines"):
        return
    frame = found.records.routines
    found.refuse(
        "routines",
        frame["every_days"].isna() & frame["every_m2"].isna(),
        "every_days",
        _("is empty and so is every_m2"),
        _("write how many days or how many m² lie between two times"),
    )


def _check_reviews(found: Findings) -> None:
    for table in ("actions", "review_notes"):
        if not found.is_touched(table):
            continue
        month = found.records.table(table)["month"]
        found.refuse(
            table,
            month.notna() & (month.dt.day != 1),
            "month",
            _("is not the first day of a month"),
            lambda at, month=month: (  # type: ignore[misc]
                _(
                    "write {month}-01 for {month_2}",
                    month=f"{month.iloc[at]:%Y-%m}",
                    month_2=month_name(month.iloc[at]),
                )
            ),
        )
    if found.is_touched("actions"):
        actions = found.records.actions
        found.refuse(
            "actions",
            actions["done_on"].notna() & actions["dropped_on"].notna(),
            "dropped_on",
            lambda at: _(
                "is given and so is done_on {done_on}", done_on=written(actions["done_on"].iloc[at])
            ),
            _("an action is done or dropped, not both: clear one of them"),
        )


def _check_settings(found: Findings) -> None:
    frame = found.records.settings
    judged = found.judged("settings")
    for at in map(int, np.flatnonzero(judged)):
        name, value = str(frame["name"].iloc[at]), str(frame["value"].iloc[at])
        wrong = setting_problem(name, value)
        if wrong:
            found.refuse_row("settings", at, "value", f"{wrong[0]} ({name})", wrong[1])
        elif name not in SETTINGS and nearest_word(name, SETTINGS):
            likeness = nearest_word(name, SETTINGS)
            mend = _("did you mean {likeness}?", likeness=likeness)
            found.refuse_row("settings", at, "name", _("is not a known setting"), mend)


def setting_problem(name: str, value: str) -> tuple[str, str] | None:
    """What is wrong with a setting's value, as (problem, mend); None when nothing is.

    >>> setting_problem("service_level", "95")
    ('is not between 0 and 1', 'write 0.95 for 95 %')
    >>> setting_problem("currency", "CHF") is None
    True
    >>> setting_problem("language", "xx")
    ('is not a language of this program', 'write one of en, es')
    """
    setting = SETTINGS.get(name)
    if setting is None or not value.strip():
        return None
    if name in (WORKED_THROUGH, OPEN_AGAIN):
        try:
            spans_worked(value)
        except ValueError as wrong:
            return _("has {wrong}", wrong=repr(str(wrong))), _(
                "write first and last day as 2026-08-03/2026-08-14"
            )
    if name == WEEKDAYS_WORKED:
        try:
            weekdays_in(value)
        except ValueError:
            return _("does not name weekdays"), _(
                "write the worked ones as numbers, Monday is 1: 1 2 3 4 5"
            )
    if name == "language" and value not in LANGUAGES:
        return _("is not a language of this program"), _(
            "write one of {choices}", choices=", ".join(LANGUAGES)
        )
    if name == "time_zone" and zone_named(value) is None:
        return _("is not the name of a time zone"), _("write it as Europe/Madrid")
    if name == "locale" and not is_locale(value):
        return _("is not the name of a language and a country"), _("write it as es_MX or en_GB")
    if setting.kind == "day":
        try:
            datetime.strptime(value, "%Y-%m-%d")
        except ValueError:
            return _("is not a day"), _("write it as 2024-03-01")
    if setting.kind == "number":
        try:
            number = float(value)
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            return _("is not a number"), _(
                "write one, e.g. {default}", default=setting.default or 3
            )
        least, most, bounds_allowed = _SETTING_BOUNDS.get(name, (-math.inf, math.inf, True))
        inside = least <= number <= most if bounds_allowed else least < number < most
        if not inside and name == "service_level":
            meant = number / 100 if LEAST_BARE_PERCENT <= number < 100 else 0.95
            return (
                _("is not between 0 and 1"),
                _(
                    "write {meant} for {round} %",
                    meant=written(meant),
                    round=written(round(100 * meant, 6)),
                ),
            )
        if number < 0 <= least and most == PRICE.at_most:
            return _("is below zero"), _("write it without the minus sign")
        if not inside:
            between = {"least": written(least), "most": written(most)}
            return _("is not between {least} and {most}", **between), _("correct it")
    return None
