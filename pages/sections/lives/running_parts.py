"""What each fitted part of a kind has left."""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import paging, routine_dial
from pages.sections.data_table import data_table
from pages.shell import session, sites
from pages.shell.words import plain
from tracker.charts.lives.remaining import remaining_picture
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.nozzle_checks import NozzleFactors
from tracker.forecast.outlook import outlook
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.say.ages import ages_assumed
from tracker.say.lives import remaining
from tracker.say.nozzles import checks_say, unused_sentence
from tracker.workshop.empty_positions import waiting_positions
from tracker.workshop.records import Records

HORIZON_DAYS = 30
_TOLD_ONE_BY_ONE = 3  # positions that stand empty; more are counted and listed folded


def show(place: session.Workshop, kind: str) -> None:
    """The parts in the printers now: a sentence, a picture, a table, the likeliest first."""
    parts = session.ask(outlook, HORIZON_DAYS)
    parts = parts[parts["part_kind"] == kind]
    empty = session.ask(waiting_positions)
    _stand_empty(empty[empty["part_kind"] == kind])
    if parts.empty:
        st.info(
            _("None of these is forecast: none is fitted, or a level decides and not a life."),
            icon=":material/arrow_forward:",
        )
        return
    sites.choose(place)
    parts = sites.of_site(place, parts)
    if parts.empty:
        st.info(_("None of these is fitted at this site."), icon=":material/arrow_forward:")
        return
    st.markdown(plain(remaining.likeliest(parts, place.as_of, HORIZON_DAYS)))
    rows = paging.page_of(parts, f"running-{kind}")
    frame.chart(
        remaining_picture(kind, rows),
        _("How long each of {parts} has left", parts=numbers.count(len(rows), "part", "parts")),
        f"remaining-{kind}",
    )
    with st.expander(_("As a table, with the printed area left")):
        shown = remaining.table(rows, place.as_of, HORIZON_DAYS)
        data_table(
            shown,
            key="running-parts",
            column_config={
                shown.columns[2]: st.column_config.ProgressColumn(
                    format="%.0f %%", min_value=0, max_value=100, width=150
                )
            },
            alt=_("Remaining life of every fitted part, with its range"),
        )
    _what_it_rests_on(kind, rows)
    with st.expander(_("What if a task were done more or less often?")):
        _what_if(place, kind, rows)


def _stand_empty(empty: pd.DataFrame) -> None:
    """Which positions wait for a part: one by one, or counted where there are many."""
    said = [
        plain(_("{place}: a part is needed for it now.", place=part_types.stands_empty(row)))
        for row in empty.itertuples()
    ]
    if len(said) <= _TOLD_ONE_BY_ONE:
        for sentence in said:
            st.markdown(plain(sentence))
        return
    with st.expander(remaining.many_stand_empty(len(said))):
        st.markdown("\n".join(f"- {sentence}" for sentence in said))


def _what_it_rests_on(kind: str, rows: pd.DataFrame) -> None:
    """What the nozzle checks say of each head, and which ages had to be assumed."""
    said = [
        f"{part_types.placed(row)}: {told}"
        for row in rows.itertuples()
        if (told := checks_say(row, HORIZON_DAYS))
    ]
    if kind == "head" and (why_not := unused_sentence(session.ask(_checks))):
        said.append(why_not)
    said += ages_assumed(rows)
    if said:
        with st.expander(_("What the nozzle checks and the ages say")):
            st.markdown("\n".join(f"- {plain(sentence)}" for sentence in said))


def _what_if(place: session.Workshop, kind: str, parts: pd.DataFrame) -> None:
    """The same parts' remaining life under another routine, beside the one as it is."""
    doing, said = routine_dial.ask(place, "lives")
    if not doing:
        st.caption(_("Choose a task that the log knows something about."))
        return
    changed = session.ask(_outlook_if, tuple(doing.items()))
    changed = changed[changed["part_kind"] == kind].reindex(parts.index)
    st.markdown(plain(_("What if: {said}.", said=", ".join(said))))
    data_table(
        remaining.under_another_routine(parts, changed, place.as_of),
        key="running-parts-if",
        alt=_("Remaining life of every fitted part under another routine"),
    )
    st.caption(_("Order dates and spares under it: Spares, What if. Its money: Maintenance."))


def _checks(records: Records, as_of: date) -> NozzleFactors:
    return fit_lives(records, as_of).checks


def _outlook_if(
    records: Records, as_of: date, doing: tuple[tuple[str, float], ...]
) -> pd.DataFrame:
    return outlook(records, as_of, HORIZON_DAYS, doing=dict(doing))
