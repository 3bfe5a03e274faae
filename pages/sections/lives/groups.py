"""Groups of lives compared: do suppliers, lots, inks, printers, types or sites differ?"""

from __future__ import annotations

import numpy as np
import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import glossary
from pages.sections.data_table import data_table
from pages.shell import session, telling
from pages.shell.words import plain
from tracker.charts.lives.groups import groups_picture
from tracker.errors import NotEnoughData
from tracker.forecast.group_comparison import compare_groups, compare_suppliers
from tracker.language import N_, _
from tracker.lives.life_table import ages
from tracker.lives.lots_in_use import lot_in_use
from tracker.models.curves.survival_curve import survival_curve
from tracker.say.lives import groups as say
from tracker.workshop import vocabulary as words

GROUPS = {
    "supplier": N_("Supplier"),
    "batch": N_("Lot"),
    "ink": N_("Ink"),
    "printer": N_("Printer"),
    "head_type": N_("Head type"),
    "site": N_("Site"),
    "ink_lot": N_("Ink lot"),
}
_MOST = 6


def show(place: session.Workshop, kind: str, lives: pd.DataFrame) -> None:
    """Suppliers over all kinds first, then the groups of this kind, one comparison at a time."""
    st.header(_("All kinds of part together"), anchor=False)
    with telling.errors_in_words():
        _overall()
    st.header(_("Only this part: {part}", part=words.part_label(kind).lower()), anchor=False)
    _own(place, kind, lives)


def _overall() -> None:
    """Whose parts fail sooner, whatever kind they are."""
    suppliers = session.ask(compare_suppliers)
    st.markdown(f"**{plain(say.overall(suppliers))}**")
    if suppliers is not None:
        with st.expander(_("Suppliers over all kinds: the figures, and how sure is that?")):
            data_table(
                say.suppliers_table(suppliers),
                key="suppliers-table",
                alt=_("Failures of each supplier's parts beside the usual"),
            )
            st.markdown(plain(say.certainty(suppliers)))


def _own(place: session.Workshop, kind: str, lives: pd.DataFrame) -> None:
    """The ink lot is the one that was in use when the part was fitted."""
    lives = lives[lives["counted"].astype(bool)]
    lot = lot_in_use(place.records, lives["printer"], lives["fitted_on"], "ink_lot")
    lives = lives.assign(ink_lot=lot, head_type=lives["head_type"].map(words.said))
    possible = [name for name in GROUPS if (lives[name][lives[name] != ""]).nunique() > 1]
    if not possible:
        st.caption(_("Of this part there is nothing to compare: all are alike."))
        return
    by = (
        st.segmented_control(
            _("Compare these by"),
            possible,
            default=possible[0],
            format_func=lambda by: _(GROUPS[by]),
            key=f"groups-{kind}",
        )
        or possible[0]
    )
    _compared(kind, lives[lives[by] != ""], by, len(possible))


def _compared(kind: str, named: pd.DataFrame, by: str, comparisons: int) -> None:
    """Who fails sooner, the curves, the figures and how sure that is."""
    try:
        found = compare_groups(named, by)
    except NotEnoughData as problem:
        st.info(plain(str(problem)), icon=":material/foggy:")
        return
    st.markdown(f"**{plain(say.answer(found, kind, by))}**")
    if by == "ink_lot":
        st.caption(
            _("The ink lot that was in use when the part was fitted, as noted under Log, Room.")
        )
    largest = named[by].value_counts().index[:_MOST]
    drawn = [name for name in found.groups.index if name in set(largest)]
    curves = {}
    for name in drawn:
        rows = ages(named[named[by] == name])
        curves[str(name)] = survival_curve(rows.age, rows.failed, rows.entry, rows.last_ok)
    frame.chart(
        groups_picture(kind, curves, "days"),
        _(
            "Share still working by age, one small picture for each {groups}",
            groups=_(GROUPS[by]).lower(),
        ),
        f"by-{kind}",
    )
    dated = bool(np.isfinite(ages(named).last_ok).any())
    sure = say.certainty(found, comparisons=comparisons, dated_at_checks=dated)
    with st.expander(_("The figures, and how sure is that?")):
        data_table(
            say.groups_table(found, _(GROUPS[by])),
            key=f"groups-table-{kind}",
            alt=_("Failures by {groups}", groups=_(GROUPS[by]).lower()),
        )
        if len(found.groups) > len(drawn):
            st.caption(
                _(
                    "The {shown} largest of {groups} groups are drawn.",
                    shown=len(drawn),
                    groups=len(found.groups),
                )
            )
        st.markdown(plain(sure))
        glossary.on_tap(sure, key="groups")
