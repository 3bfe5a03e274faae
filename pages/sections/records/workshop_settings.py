"""The workshop's own figures: money, service level, the day the log began."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from zoneinfo import available_timezones

import streamlit as st

from pages.forms.together import as_read
from pages.shell import acting, links, session, telling
from pages.shell.words import plain
from tracker.errors import RecordError
from tracker.intake.cells.settings import SHARES, default_in_words, setting_label, setting_text
from tracker.language import LANGUAGES, N_, _, locale_names
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop.settings.known import SETTINGS, Setting

NAMES = N_("Name, language and clocks")
THE_LOG = N_("The log")
COSTS = N_("What work and standing still cost")
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
    THE_LOG: ("log_began_on", "worked_through"),
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
                    typed[name] = _field(SETTINGS[name], form.read[name], form.key)
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
        with form.saving():
            what = _("Settings changed")
            with workshop.store.change(what, session.who(), now=session.now()) as batch:
                for name, text in kept.items():
                    acts.put_setting(batch, name, text, as_read=form.read)
        # The fields show next what is kept: 0.95 for 95 %.
        form.saved(_("Settings saved."), batch.number)


def go(block: str) -> None:
    """Open the settings of the workshop at that block."""
    st.session_state["records-wanted"] = N_("Settings")
    st.session_state["settings-of"] = N_("The workshop")
    st.session_state[OPENED] = block
    links.go("records")


def _field(setting: Setting, value: str, key: str) -> str:
    """One setting as a choice where there is one, else as it is typed."""
    name, label = setting.name, setting_label(setting.name)
    if name not in _CHOICES:
        return st.text_input(
            label, value=value, help=setting.means, placeholder=_placeholder(setting),
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


def _placeholder(setting: Setting) -> str:
    if not setting.default:
        return setting.means
    if setting.name in SHARES:
        return _(
            "{default} unless set; a share, or with % behind it", default=default_in_words(setting)
        )
    return _("{default} unless set", default=default_in_words(setting))


def _read(typed: dict[str, str]) -> tuple[dict[str, str], list[str]]:
    """What is kept for each field, and a sentence for each that cannot be read."""
    kept, problems = {}, []
    for name, text in typed.items():
        try:
            kept[name] = setting_text(name, text)
        except RecordError as problem:
            problems.append(str(problem))
    return kept, problems
