"""A printer, supplier, site, lot or word of one's own gets another name in everything that bears
it; several writings of one name become one.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import streamlit as st

from pages.forms.fields import pick_known
from pages.shell import acting, session, telling
from pages.shell.words import plain
from tracker.language import _
from tracker.say import numbers
from tracker.say.entering import names as say
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop.names import NAMINGS, PRINTER, alike

_SHOWN = 8  # likenesses at a time; the next ones come as these go


def show(workshop: session.Workshop) -> None:
    """What looks like one name, then any name; each one change that can be taken back."""
    _show_alike(workshop)
    sorts = [key for key, naming in NAMINGS.items() if naming.names(workshop.records)]
    if not sorts:
        st.info(
            _("No printer yet. Add one under Log, Printer."),
            icon=":material/arrow_forward:",
        )
        return
    sort = st.selectbox(
        _("Name of"), sorts, format_func=lambda key: _(NAMINGS[key].label), key="rename-sort"
    )
    there = NAMINGS[sort].names(workshop.records)
    name = st.selectbox(
        _("Name"), there, key=f"rename-{sort}", format_func=partial(say.in_words, sort)
    )
    new_name = _new_name(sort, [other for other in there if other != name])
    count = NAMINGS[sort].counts(workshop.records)[name]
    records = numbers.count(count, "record", "records")
    becomes_one = new_name in there and sort != PRINTER
    st.caption(say.what_happens(records, plain(name), plain(new_name), becomes_one=becomes_one))
    label = (
        _("Rename {name} to {new_name}", name=plain(name), new_name=plain(new_name))
        if new_name
        else _("Rename {name}", name=plain(name))
    )
    if acting.button(label, role=MANAGE, type="primary", width="stretch", key="rename-save"):
        _rename(workshop, sort, [name], new_name)


def _show_alike(workshop: session.Workshop) -> None:
    found = alike(workshop.records)
    for number, likeness in enumerate(found[:_SHOWN]):
        with st.container(border=True):
            st.markdown(plain(say.likeness(likeness)))
            label = _("All are {name}", name=plain(say.in_words(likeness.naming, likeness.best)))
            if acting.button(label, role=MANAGE, width="stretch", key=f"rename-alike-{number}"):
                others = [name for name in likeness.counts if name != likeness.best]
                _rename(workshop, likeness.naming, others, likeness.best)
    if len(found) > _SHOWN:
        st.caption(_("And {count} more like these.", count=len(found) - _SHOWN))


def _new_name(sort: str, others: Sequence[str]) -> str:
    """Printers are never made one; any other name may be one that is there already."""
    if sort != PRINTER:
        return pick_known(
            _("New name"), others, f"rename-to-{sort}", say=partial(say.in_words, sort)
        ).strip()
    as_you_call_it = _("as you call it from now on")
    return st.text_input(_("New name"), key="rename-to", placeholder=as_you_call_it).strip()


def _rename(workshop: session.Workshop, sort: str, names: Sequence[str], new_name: str) -> None:
    with telling.errors_in_words():
        batch_id = acts.rename(workshop.store, sort, names, new_name)
        if sort == PRINTER and st.session_state.get("last-printer") in names:
            st.session_state["last-printer"] = new_name
        telling.recorded(
            _(
                "{names} is called {new_name} from now on.",
                names=", ".join(names),
                new_name=new_name,
            ),
            batch_id,
        )
