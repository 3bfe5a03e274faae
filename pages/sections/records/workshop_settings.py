"""The workshop's own figures: money, service level, the day the log began."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms.together import as_read
from pages.shell import acting
from pages.shell.words import plain
from tracker.errors import RecordError
from tracker.intake.cells.settings import SHARES, setting_label, setting_text
from tracker.language import _
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop import vocabulary as words


def show(workshop: frame.Workshop) -> None:
    """One form; what cannot be read is said field by field and nothing is saved."""
    stored = dict(
        zip(workshop.records.settings["name"], workshop.records.settings["value"], strict=True)
    )
    now = {name: str(stored.get(name, "")) for name in words.SETTINGS if name != "demo"}
    form = as_read.opened("set", now)
    with st.form("settings-workshop"):
        typed = {}
        for setting in words.SETTINGS.values():
            if setting.name == "demo":
                continue
            typed[setting.name] = st.text_input(
                setting_label(setting.name), value=form.read[setting.name],
                help=setting.means, placeholder=_placeholder(setting),
                key=f"{form.key}-{setting.name}",
            )  # fmt: skip
        saved = acting.submit(_("Save settings"), role=MANAGE, type="primary", width="stretch")
    form.drawn()
    if not form.goes(saved):
        return
    kept, problems = _read(form.typed(typed))
    if problems:
        st.error(
            "  \n".join([_("Nothing was saved."), *map(plain, problems)]),
            icon=":material/front_hand:",
        )
        return
    with frame.errors_in_words():
        with form.saving():
            what = _("Settings changed")
            with workshop.store.change(what, frame.who(), now=frame.now()) as batch:
                for name, text in kept.items():
                    acts.put_setting(batch, name, text, as_read=form.read)
        form.close()  # the fields show next what is kept: 0.95 for 95 %
        if batch.number is None:
            st.info(_("Nothing was different, so nothing was changed."), icon=":material/info:")
            return
        frame.recorded(_("Settings saved."), batch.number)


def _placeholder(setting: words.Setting) -> str:
    if not setting.default:
        return setting.means
    if setting.name in SHARES:
        return _("{default} unless set; a share, or with % behind it", default=setting.default)
    return _("{default} unless set", default=setting.default)


def _read(typed: dict[str, str]) -> tuple[dict[str, str], list[str]]:
    """What is kept for each field, and a sentence for each that cannot be read."""
    kept, problems = {}, []
    for name, text in typed.items():
        try:
            kept[name] = setting_text(name, text)
        except RecordError as problem:
            problems.append(str(problem))
    return kept, problems
