"""The workshop's own figures: money, service level, the day the log began."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from datetime import date
from zoneinfo import available_timezones

import streamlit as st

from pages.forms.together import as_read
from pages.shell import acting, links, session, telling
from pages.shell.words import plain
from tracker.errors import RecordError
from tracker.intake.cells.settings import SHARES, default_in_words, setting_label, setting_text
from tracker.language import LANGUAGES, N_, _, locale_names
from tracker.say import numbers
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop.age_guesses import guesses_as_of
from tracker.workshop.records import Records
from tracker.workshop.settings.known import SETTINGS, Setting
from tracker.workshop.vocabulary import part_name

NAMES = N_("Name, language and clocks")
THE_LOG = N_("The log")
COSTS = N_("What work and standing still cost")
_NAMED = 6  # parts named in a question: what a phone shows at once
OPENED = "settings-opened"  # the block that a link meant; without one it is the first

_BLOCKS = {
    NAMES: (
        "workshop", "language", "locale", "time_zone", "weekdays_worked", "app_address",
    ),
    COSTS: (
        "currency", "labour_per_hour", "margin_per_hour", "hours_per_day", "taken_over_share",
        "courier_days", "courier_cost", "fluid_per_litre", "shared_stop_minutes",
    ),
    N_("Spares and orders"): (
        "service_level", "risk_limit", "review_days", "holding_rate_per_year",
        "shipping_per_order", "express_premium",
    ),
    THE_LOG: ("log_began_on", "worked_through", "open_again"),
    N_("The weekly mail"): (
        "mail_server", "mail_port", "mail_encrypted", "mail_user", "mail_from", "mail_to",
    ),
}  # fmt: skip


def show(workshop: session.Workshop) -> None:
    """One form, block by block; what cannot be read is said field by field and nothing is saved."""
    stored = dict(
        zip(workshop.records.settings["name"], workshop.records.settings["value"], strict=True)
    )
    now = {name: str(stored.get(name, "")) for block in _BLOCKS.values() for name in block}
    form = as_read.opened("set", now)
    opened = st.session_state.get(OPENED, next(iter(_BLOCKS)))
    with st.form("settings-workshop"):
        typed = {}
        for block, names in _BLOCKS.items():
            with st.expander(_(block), expanded=block == opened):
                for name in names:
                    typed[name] = _field(
                        SETTINGS[name], form.read[name], form.key, workshop.currency
                    )
        saved = acting.submit(_("Save settings"), role=MANAGE, type="primary", width="stretch")
    form.drawn()
    if not form.goes(saved):
        return
    kept, problems = _read(form.typed(typed))
    if problems:
        telling.refused()
        st.error(
            "  \n".join([_("Nothing was saved."), *map(plain, problems)]),
            icon=":material/front_hand:",
        )
        return
    with telling.errors_in_words():
        if kept["log_began_on"] not in ("", form.read["log_began_on"]):
            _say_what_moves(workshop.records, date.fromisoformat(kept["log_began_on"]))
        with form.saving():
            what = _("Settings changed")
            with workshop.store.change(what) as batch:
                acts.put_settings(batch, kept, as_read=form.read)
        # The fields show next what is kept: 0.95 for 95 %.
        form.saved(_("Settings saved."), batch.number)


def _say_what_moves(records: Records, began: date) -> None:
    """Before the log's first day moves, whose guessed ages hang on it; asked about once."""
    guesses = guesses_as_of(records, began)
    if guesses.empty:
        return
    told = _(
        "Another first day of the log, {began}: the ages of {parts} were guessed as of the first "
        "day; each guess is kept as of the day it was made.",
        began=numbers.day(began),
        parts=numbers.count(len(guesses), "part", "parts"),
    )
    if late := list(guesses.index[guesses < 0]):
        told += " " + _(
            "By its guess, what follows went in after that day and would count as new on it: "
            "{parts}. Say under “Records”, “Browse and correct”, “Parts fitted” since when it is "
            "in.",
            parts=_named(records, late),
        )
    telling.must_be_agreed(
        f"{told} " + _("Say that it is so and save again."), f"log-{began}-{len(guesses)}"
    )


def _named(records: Records, fittings: list[Hashable]) -> str:
    """Some parts by name and printer, the rest by their number."""
    names = [
        _("{part} of {printer}", part=part_name(row.part_kind, row.position), printer=row.printer)
        for row in records.fittings.loc[fittings[:_NAMED]].itertuples()
    ]
    if len(fittings) > _NAMED:
        names.append(_("{count} more", count=numbers.decimal(len(fittings) - _NAMED)))
    return ", ".join(names)


def go(block: str) -> None:
    """Open the settings of the workshop at that block."""
    st.session_state[OPENED] = block
    links.go_settings(N_("The workshop"))


def _field(setting: Setting, value: str, key: str, currency: str) -> str:
    """One setting as a choice where there is one, else as it is typed."""
    name, label = setting.name, setting_label(setting.name)
    if name not in _CHOICES:
        return st.text_input(
            label, value=value, help=setting.means, placeholder=_placeholder(setting, currency),
            key=f"{key}-{name}",
        )  # fmt: skip
    unset, named = _CHOICES[name]
    labels = {"": _(unset)} | dict(named())
    options = [*labels, *([value] if value not in labels else [])]
    chosen = st.selectbox(
        label, options, index=options.index(value), help=setting.means,
        format_func=lambda option: labels.get(option, option),
        accept_new_options=name in ("locale", "weekdays_worked"), key=f"{key}-{name}",
    )  # fmt: skip
    return chosen or ""


def _zones() -> dict[str, str]:
    return {zone: zone for zone in sorted(available_timezones())}


def _weeks() -> dict[str, str]:
    return {
        "1 2 3 4 5": _("Monday to Friday"),
        "1 2 3 4 5 6": _("Monday to Saturday"),
        "2 3 4 5 6": _("Tuesday to Saturday"),
        "1 2 3 4 5 6 7": _("every day"),
    }


def _yes_or_no() -> dict[str, str]:
    return {"yes": _("yes"), "no": _("no")}


# Of each: what holds where nothing is chosen, and the choices by name.
_CHOICES: Mapping[str, tuple[str, Callable[[], Mapping[str, str]]]] = {
    "language": (N_("as the browser asks"), lambda: LANGUAGES),
    "locale": (N_("as usual in the language"), locale_names),
    "time_zone": (N_("clocks are never put forward or back"), _zones),
    "weekdays_worked": (N_("as the log shows"), _weeks),
    "mail_encrypted": (N_("as usual: yes"), _yes_or_no),
}


def _placeholder(setting: Setting, currency: str) -> str:
    if not setting.default:
        return setting.means
    default = default_in_words(setting, currency)
    if setting.name in SHARES:
        return _("{default} unless set; a share, or with % behind it", default=default)
    return _("{default} unless set", default=default)


def _read(typed: dict[str, str]) -> tuple[dict[str, str], list[str]]:
    """What is kept for each field, and a sentence for each that cannot be read."""
    kept, problems = {}, []
    for name, text in typed.items():
        try:
            kept[name] = setting_text(name, text)
        except RecordError as problem:
            problems.append(str(problem))
    return kept, problems
