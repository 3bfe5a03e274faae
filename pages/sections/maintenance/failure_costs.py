"""What a failure costs, term by term with its source, and the fields to correct it."""

from __future__ import annotations

from datetime import date

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pages import frame
from pages.forms.fields import number_in
from pages.forms.together import as_read
from pages.sections import standing_cost
from pages.sections.data_table import data_table
from pages.shell import acting, session, telling
from pages.shell.words import plain
from tracker.decisions.cost_terms import FailureCost
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.routine.cost import has_spare
from tracker.intake.cells.settings import default_in_words, setting_label, setting_text
from tracker.language import N_, _, exact
from tracker.say import numbers
from tracker.say.maintenance import failure_cost as say
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import PARTS
from tracker.workshop.records import Records
from tracker.workshop.refusal import written
from tracker.workshop.settings.known import SETTINGS

_FIGURES = {
    "unit_cost": N_("Price of one piece"),
    "hours_to_change": N_("Work to change it (h)"),
    "recovery_minutes": N_("Cleans and test prints after it (min)"),
    "refill_ml": N_("Ink to refill (ml)"),
    "spoiled_per_failure": N_("Spoiled film and garments per failure"),
    "lead_days": N_("Usual delivery (days)"),
}
_SETTINGS = (
    "labour_per_hour", "margin_per_hour", "hours_per_day", "taken_over_share", "fluid_per_litre",
    "courier_days", "courier_cost",
)  # fmt: skip


def show(place: session.Workshop) -> None:
    """One kind at a time: the sentence, the table with its sources, the fields behind it."""
    fitted = set(place.records.fittings["part_kind"])
    kinds = [kind for kind in place.records.part_kinds() if kind in fitted]
    if not kinds:
        frame.answer(_("No part is written down yet, so none can fail."))
        frame.empty_state(
            _("Log the parts in your printers; then this says what one failure costs."),
            button=_("Log the first part"),
            page="log",
        )
        return
    first = "damper" if "damper" in kinds else kinds[0]
    kind = (
        st.pills(
            _("Which part?"),
            kinds,
            default=first,
            format_func=lambda kind: plain(words.part_label(kind)),
            key="cost-kind",
        )
        or first
    )
    cost = _cost(kind, spare_on_shelf(place, kind))
    frame.answer(say.cost_sentence(cost, place.currency))
    standing_cost.note(place, "cost")
    st.caption(_("As of {as_of}.", as_of=numbers.day(place.as_of)))
    terms(place, cost)


def spare_key(kind: str) -> str:
    """Where the screen keeps whether a spare is on the shelf when a part of that kind fails."""
    return f"cost-spare-{kind}"


def spare_on_shelf(place: session.Workshop, kind: str) -> bool:
    """Is a spare on the shelf when one fails? As it mostly was in the last year until the reader
    says else.
    """
    known = place.records.known_at(place.as_of)
    return st.toggle(
        _("A spare is on the shelf when it fails"),
        has_spare(known, kind, place.as_of),
        key=spare_key(kind),
        help=_("As it was on most days of the last year, until you say else."),
    )


def terms(place: session.Workshop, cost: FailureCost) -> None:
    """Each term of what one failure costs with its source, and the fields to correct it."""
    kind = cost.part_kind
    data_table(
        say.cost_table(cost, place.currency),
        key=f"cost-table-{kind}",
        alt=_("What one {part} failure costs, term by term", part=words.part_label(kind).lower()),
    )
    st.caption(
        _(
            "A guess may be half or twice the truth. From three noted amounts of spoiled "
            "goods and five stoppages on, your log takes the place of the figures below; "
            "prices are those of your own orders."
        )
    )
    _edit(place, kind)


def _cost(kind: str, spare: bool) -> FailureCost:
    return session.ask(_reckoned).of_kind(kind, spare_on_shelf=spare)


def _reckoned(records: Records, as_of: date) -> FailureCosts:
    return FailureCosts.of(records.known_at(as_of), as_of)


def _in_pairs(fields: int) -> list[DeltaGenerator]:
    """Places for so many fields, two in a row: on a phone they stand in the same order."""
    rows = [st.columns(2) for _row in range((fields + 1) // 2)]
    return [column for row in rows for column in row][:fields]


def _edit(place: session.Workshop, kind: str) -> None:
    facts = place.records.part_facts(kind)
    stored = dict(zip(place.records.settings["name"], place.records.settings["value"], strict=True))
    stated = {n: None if n in facts.guessed else getattr(facts, n) for n in _FIGURES}
    now = {**stated, **{name: str(stored.get(name, "")) for name in _SETTINGS}}
    form = as_read.opened(f"cost-{kind}", now)
    with st.form(f"cost-form-{kind}"):
        st.markdown(_("**{label}: your own figures**", label=plain(facts.label)))
        typed = {}
        for column, (name, label) in zip(_in_pairs(len(_FIGURES)), _FIGURES.items(), strict=True):
            read = form.read[name]
            typed[name] = column.text_input(
                _(label), value="" if read is None else written(read),
                placeholder=_("{value} (guess)", value=exact(getattr(facts, name))),
                key=f"{form.key}-{name}",
            )  # fmt: skip
        st.markdown(_("**The workshop's figures, for every part**"))
        texts = {}
        for column, name in zip(_in_pairs(len(_SETTINGS)), _SETTINGS, strict=True):
            setting = SETTINGS[name]
            texts[name] = column.text_input(
                setting_label(name),
                value=form.read[name],
                help=_(setting.means),
                placeholder=_(
                    "{default} unless set", default=default_in_words(setting, place.currency)
                )
                if setting.default
                else _("none"),
                key=f"{form.key}-{name}",
            )
        saved = acting.submit(_("Save these figures"), role=MANAGE, type="primary", width="stretch")
    form.drawn()
    if not form.goes(saved):
        return
    with telling.errors_in_words():
        figures = {
            name: number_in(text, PARTS.column(name), _(_FIGURES[name]))
            for name, text in typed.items()
        }
        settings = {name: setting_text(name, text) for name, text in texts.items()}
        keep = form.typed({**figures, **settings})
        with form.saving():
            batch = acts.state_figures(
                place.store,
                kind,
                {name: keep[name] for name in figures},
                {name: keep[name] for name in settings},
                as_read=form.read,
            )
        # The fields show next what is kept: 0.5 for 50 %.
        form.saved(_("{label}: figures saved.", label=facts.label), batch)
