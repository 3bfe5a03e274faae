"""Settings as a person types them, brought into the contract's writing."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from tracker.errors import RecordError
from tracker.intake.cells.numbers import read_numbers
from tracker.intake.cells.one_cell import day_typed, number_typed
from tracker.intake.cells.typed import CellReading, Problem
from tracker.intake.questions import Answers
from tracker.language import N_, _, exact
from tracker.workshop.checks.rows import LEAST_BARE_PERCENT, setting_problem
from tracker.workshop.declarations import Column
from tracker.workshop.refusal import written
from tracker.workshop.settings.known import SETTINGS, Setting

SHARES = ("service_level", "risk_limit", "holding_rate_per_year", "taken_over_share")
_LABELS = {
    "workshop": N_("Workshop"),
    "language": N_("Language"),
    "locale": N_("Numbers and dates as in"),
    "time_zone": N_("Time zone"),
    "weekdays_worked": N_("Weekdays worked"),
    "app_address": N_("App address"),
    "currency": N_("Currency"),
    "labour_per_hour": N_("Labour per hour"),
    "margin_per_hour": N_("Margin per hour"),
    "taken_over_share": N_("Work taken over by the other printers"),
    "courier_days": N_("Courier days"),
    "courier_cost": N_("Courier cost"),
    "fluid_per_litre": N_("Fluid per litre"),
    "shared_stop_minutes": N_("Minutes to switch off and on"),
    "service_level": N_("Service level"),
    "risk_limit": N_("Risk limit"),
    "review_days": N_("Review days"),
    "holding_rate_per_year": N_("Holding rate per year"),
    "hours_per_day": N_("Hours per day"),
    "shipping_per_order": N_("Shipping per order"),
    "express_premium": N_("Express premium"),
    "log_began_on": N_("Log began on"),
    "worked_through": N_("Worked without entries"),
    "open_again": N_("Not closed again"),
    "mail_server": N_("Mail server"),
    "mail_port": N_("Mail port"),
    "mail_encrypted": N_("Mail encrypted"),
    "mail_user": N_("Mail user"),
    "mail_from": N_("Mail from"),
    "mail_to": N_("Mail to"),
    "demo": N_("Demo"),
}


def default_in_words(setting: Setting, currency: str) -> str:
    """What holds where nothing is set, a number as the language in use writes it.

    >>> default_in_words(SETTINGS["service_level"], "EUR")
    '0.95'
    >>> default_in_words(SETTINGS["labour_per_hour"], "MXN")
    '500'
    """
    default = setting.default_in(currency)
    return exact(float(default)) if setting.kind == "number" else default


def setting_label(name: str) -> str:
    """The setting in the words of the screen: ``labour_per_hour`` → ``Labour per hour``.

    The unit stands behind it where the name does not say it.

    >>> setting_label("labour_per_hour"), setting_label("hours_per_day")
    ('Labour per hour', 'Hours per day')
    """
    setting = SETTINGS.get(name)
    text = _LABELS.get(name, name.replace("_", " ").capitalize())
    unit = setting.unit if setting else ""
    return _(text) if not unit or unit in text.lower() else f"{_(text)} ({_(unit)})"


def setting_text(name: str, typed: str) -> str:
    """What is kept for a setting that was typed so; "" for one left empty.

    Numbers are read as in spreadsheets (decimal comma or point, a unit beside them), shares in
    percent or as a fraction, days in any writing that reads one way only.

    Raises RecordError with what was written, where, and what would be right.

    >>> setting_text("service_level", "95 %"), setting_text("labour_per_hour", "27,50 €")
    ('0.95', '27.5')
    >>> setting_text("log_began_on", "31.12.2025")
    '2025-12-31'
    """
    text = typed.strip()
    setting = SETTINGS.get(name)
    if not text or setting is None or setting.kind == "text":
        return text
    read = day_typed(text, name) if setting.kind == "day" else _number(setting, text)
    kept = read if isinstance(read, Problem) else written(read)
    wrong = (kept.problem, kept.mend) if isinstance(kept, Problem) else setting_problem(name, kept)
    if wrong:
        raise RecordError(
            _(
                "{setting}: “{typed}” {problem}; {mend}.",
                setting=setting_label(name),
                typed=text,
                problem=wrong[0],
                mend=wrong[1],
            )
        )
    return str(kept)


def _number(setting: Setting, text: str) -> float | Problem | None:
    share = setting.name in SHARES
    percent = share and text.endswith("%")
    unit = {"days": "days", "hours": "h"}.get(setting.unit, "")
    column = Column(setting.name, "number" if unit or share else "money", "", unit=unit)
    read = number_typed(text.removesuffix("%") if percent else text, column)
    if isinstance(read, float) and (
        percent or (setting.name == "service_level" and LEAST_BARE_PERCENT <= read < 100)
    ):
        return round(read / 100, 9)
    return read


def read_settings(
    names: Sequence[str],
    values: Sequence[str],
    *,
    answers: Answers | None = None,
    source: str = "",
    contract_dialect: bool = False,
) -> CellReading:
    """A sheet's settings: known numbers and days in the contract's writing, the rest as typed.

    The decimal mark is that of all numbers of the sheet; where they leave it open it is asked.
    What cannot be read stays as it is, for the checks to refuse.

    >>> read_settings(["labour_per_hour", "service_level"], ["25,50 €", "0,9"]).values.tolist()
    ['25.50', '0.9']
    """
    texts = np.array(values, dtype=object)
    kinds = [SETTINGS[name].kind if name in SETTINGS else "text" for name in names]
    for at in (at for at, kind in enumerate(kinds) if kind == "day"):
        day = day_typed(texts[at], "value")
        texts[at] = texts[at] if day is None or isinstance(day, Problem) else written(day)
    numeric = [at for at, kind in enumerate(kinds) if kind == "number"]
    reading = read_numbers(
        [texts[at].replace("%", "").strip() for at in numeric],
        Column("value", "money", ""),
        answers=answers,
        source=source,
        contract_dialect=contract_dialect,
    )
    for at, number in zip(numeric, reading.values, strict=True):
        if not np.isnan(number):
            texts[at] = _with_point(texts[at], float(number))
    return CellReading(texts, {}, reading.question)


def _with_point(text: str, number: float) -> str:
    """The number in the contract's writing, its digits as they were typed: 25,50 € → 25.50."""
    digits = re.sub(r"[^\d.+-]", "", text.replace(",", "."))
    try:
        return digits if float(digits) == number else written(number)
    except ValueError:
        return written(number)
