"""The frame around every page, and the pieces that pages are made of."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

import streamlit as st

from pages.shell import acting, device, drafts, entry, session, telling
from pages.shell.session import ROOT
from pages.shell.style import STYLE
from pages.shell.words import marked
from tracker.charts.picture import Picture
from tracker.language import N_, _
from tracker.say import numbers
from tracker.say.cautions import cautions_in_full, cautions_in_short, last_word

Thing = TypeVar("Thing")
BEGIN = N_("Start my workshop")  # where not one printer is written down
_SHOWING = "showing-generation"  # the address and generation that this run began with


def start_own() -> None:
    """Leave the demo and open the workshop's own, empty database."""
    entry.permit().replace_all()  # a database is made that everybody sees from then on
    session.open_own()
    st.session_state["demo"] = False
    telling.forget_recorded()


def show_demo() -> None:
    """Look at the demo workshop; one's own records stay as they are."""
    st.session_state["demo"] = True
    telling.forget_recorded()


def begin(page: str) -> None:
    """The frame around a page: style, the demo notice, what was just recorded."""
    st.html(STYLE)
    st.session_state["page-opened"] = st.session_state.get("page") != page
    st.session_state["page"] = page
    # Places of their own, filled or not: where a notice came and went between the others, all that
    # follows would be another element in the browser, and a tap on one being replaced is lost.
    demo, told = st.container(), st.container()
    with demo, telling.errors_in_words():
        place = session.workshop()
        st.session_state[_SHOWING] = place.shown  # as it begins: more may happen before its end
        drafts.restore(place.name, session.today())
        drafts.keep(session.today(), tapped=True)
        if place.is_demo:
            with st.container(
                horizontal=True, vertical_alignment="center", border=True, key="demo-notice"
            ):
                st.markdown(_("**Demo workshop – invented data**"))
                with st.container(key="demo-day", width="content"):  # a phone has no room for it
                    day = numbers.day(place.as_of)
                    st.markdown(_("as of {as_of}; it stays when you start your own", as_of=day))
                if entry.may_manage() and st.button(_("Start my own workshop"), key="start-own"):
                    start_own()
                    st.switch_page(ROOT / "pages" / "start.py")
        acting.begin(may_write=place.store.may_write)
        if not place.store.may_write:
            st.info(
                _(
                    "These records may only be read: the database file or its folder may not be "
                    "written to."
                ),
                icon=":material/lock:",
            )
    device.attend("begins")
    with told:
        telling.tell_restored()
        telling.show_recorded()
        if not device.keeps_the_draft():
            st.warning(
                _(
                    "More is half filled in than this device keeps: save it before you close or "
                    "reload the page."
                ),
                icon=":material/save:",
            )


def just_opened() -> bool:
    """Was another page on screen before this run?"""
    return bool(st.session_state.get("page-opened"))


def on_screen(name: str, now: Thing) -> Thing:
    """What stood under that name when the tap of this run was made; ``now`` is what stands next."""
    shown: dict[str, Any] = st.session_state.setdefault("on-screen", {})
    before: Thing = shown.get(name, now)
    shown[name] = now
    return before


def end() -> None:
    """After a page: what this device is to keep, and which state of the workshop it has shown."""
    with telling.errors_in_words():
        drafts.keep(session.today())
        session.keep_in_mind(*st.session_state.pop(_SHOWING, session.workshop().shown))
    device.attend("ends")


def steady(name: str, things: Iterable[str]) -> list[str]:
    """Things in the order first seen in this session, those no longer there in their place.

    A list that sorts itself anew after each tap puts another line under the finger.
    """
    place = session.workshop()
    seen: dict[tuple[object, ...], list[str]] = st.session_state.setdefault("steady", {})
    kept = seen.setdefault((name, *place.shown, place.as_of), [])
    there = set(kept)
    kept += [thing for thing in dict.fromkeys(things) if thing not in there]
    return kept


def headline(title: str, told: str) -> None:
    """The page's question as its title and the answer, in words, right under it."""
    heading(title)(told)


def heading(title: str) -> Callable[[str], None]:
    """The page's title at once, and what writes the answer under it, in words, when it is worked
    out.
    """
    st.title(title, anchor=False)
    place = st.empty()

    def tell(told: str) -> None:
        place.markdown(f"#### {marked(told)}")

    return tell


def answer(told: str, *, link: str = "") -> None:
    """The answer to a question of a page, in words: below what it hangs on, above its grounds.

    ``link``: a way on that stands behind it, in Markdown of our own.
    """
    st.markdown(f"#### {marked(told)} {link}".rstrip())


def empty_state(sentence: str, *, button: str = "", page: str = "") -> None:
    """What to do next where there is nothing to show yet."""
    st.info(sentence, icon=":material/arrow_forward:")
    if button and st.button(button, type="primary", key=f"go-{page}"):
        st.switch_page(ROOT / "pages" / f"{page}.py")


def first_part(place: session.Workshop) -> dict[str, str]:
    """The button of an empty state where no part is written down: the next step there."""
    if place.records.printers.empty:
        return {"button": _(BEGIN), "page": "start"}
    return {"button": _("Log the first part"), "page": "log"}


def cautions(keys: Iterable[str], *, label: str = "") -> None:
    """Before the button of work that can hurt someone: in short, in full on tap, the last word.

    Once per page; ``label`` stands instead of the short form where that is beside each task.
    """
    keys = list(dict.fromkeys(keys))
    if not keys:
        return
    with st.popover(label or cautions_in_short(keys), icon=":material/warning:", width="stretch"):
        st.warning("  \n".join(cautions_in_full(keys)), icon=":material/warning:")
    st.caption(last_word())


def chart(picture: Any, alt: str, key: str) -> None:
    """A picture (or plotly figure) that neither hides its legend nor traps a finger on a phone."""
    from tracker.charts.screen import drawn_as, on_screen

    figure = on_screen(picture) if isinstance(picture, Picture) else picture
    figure.update_layout(dragmode=False)
    st.plotly_chart(figure, width="stretch", key=key, alt=alt, config=drawn_as())
