"""How long parts last, which are worse, and how sure that is."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections import glossary
from pages.sections.lives import evidence, groups, running_parts
from pages.sections.records import workshop_settings
from pages.shell import entry, session, telling
from pages.shell.words import marked, plain
from tracker.forecast.drift import drift
from tracker.forecast.life_summary import WEAR, life_summary
from tracker.language import N_, _
from tracker.lives.life_table import life_table
from tracker.say import numbers
from tracker.say.drift import drift_line, drift_sentence
from tracker.say.lives.summary import (
    before_log,
    life_sentence,
    may_have_failed,
    why_left_out,
    why_no_curve,
)
from tracker.workshop import vocabulary as words
from tracker.workshop.checks import failed_before_log

NOW, WORSE, LAST, SURE = (
    N_("In the printers now"),
    N_("Suppliers and lots compared"),
    N_("How long they last"),
    N_("How sure is that?"),
)

place = session.workshop()
kinds = [k for k in place.records.part_kinds() if k in set(place.records.fittings["part_kind"])]
if not kinds:
    frame.headline(_("Part lives"), _("No part is written down yet."))
    frame.empty_state(
        _("Log the parts that are in your printers; their lives begin to count from then on."),
        **frame.first_part(place),
    )
    st.stop()

st.title(_("Part lives"), anchor=False)
kind = (
    st.pills(
        _("Which part?"),
        kinds,
        default=kinds[0],
        format_func=lambda kind: plain(words.part_label(kind)),
        key="lives-kind",
        label_visibility="collapsed",
    )
    or kinds[0]
)
summary = session.ask(life_summary, kind)
answer = life_sentence(summary)
st.markdown(f"#### {plain(answer)}")
st.caption(marked(_("As of {as_of}.", as_of=numbers.day(place.as_of))))
if summary.basis == "belief":
    thin = place.evidence(
        kind, summary.failures, summary.median_by_guess, _("days"), which=numbers.OF_KIND
    )
    st.info(
        marked(
            _(
                "Thin evidence: {thin}. {failures}",
                thin=thin,
                failures=why_no_curve(summary.failures, summary.lives, summary.failures_left_out),
            )
        ),
        icon=":material/foggy:",
    )
elif summary.reading == WEAR and st.button(
    _("Replace on schedule?"), key="lives-planned", icon=":material/arrow_forward:"
):
    st.session_state["maintenance-view"] = "Replace on schedule?"
    st.switch_page(session.ROOT / "pages" / "maintenance.py")
with telling.errors_in_words():
    if changed := session.ask(drift):
        with st.container(horizontal=True, vertical_alignment="center", gap="small"):
            st.markdown(plain(drift_line(changed)))
            with st.popover(_("What changed then?"), icon=":material/timeline:"):
                st.warning(plain(drift_sentence(changed)), icon=":material/timeline:")
if (left_out := failed_before_log(place.records)) and (
    here := (place.records.fittings.loc[[*left_out.fittings], "part_kind"] == kind).sum()
):
    st.info(marked(before_log(int(here), left_out)), icon=":material/event_busy:")
    if entry.may_manage() and st.button(_("Say since when every failure is written down")):
        workshop_settings.go(workshop_settings.THE_LOG)
elif why := why_left_out(summary):
    st.info(marked(why), icon=":material/event_busy:")
if doubtful := may_have_failed(summary):
    st.info(marked(doubtful), icon=":material/foggy:")
table = session.ask(life_table)
lives = table[table["part_kind"] == kind]
VIEWS = {
    NOW: lambda: running_parts.show(place, kind),
    WORSE: lambda: groups.show(place, kind, lives),
    LAST: lambda: evidence.show_curve(kind, lives, summary),
    SURE: lambda: evidence.show_more(place, kind, lives, summary),
}
view = st.segmented_control(
    _("About them"),
    list(VIEWS),
    default=NOW,
    format_func=_,
    key="lives-view",
    label_visibility="collapsed",
)
with telling.errors_in_words():
    VIEWS[view or NOW]()
glossary.whole()
