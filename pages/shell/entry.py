"""Who is at this screen, and what may they write? Asked before anything of a workshop is read.

The door of the server (`tracker/sharing/door`) has let the request in already where the app was
started by its own command. It is asked again here: a server started otherwise has no door, and
what a device may write may change while its page stands open.
"""

from __future__ import annotations

from datetime import datetime
from functools import partial

import streamlit as st

from tracker.language import _
from tracker.sharing import pairing, sign_in
from tracker.sharing.mode import COOKIE, Mode, device_list
from tracker.sharing.roles import LOG, MANAGE, Person, RolePermit, reaches
from tracker.sharing.visitors import Visitor
from tracker.store.batch import UNLIMITED, Permit


def admit() -> None:
    """Goes on for whoever may look; for all others the page ends here, without a word of data."""
    if _is_own_computer() or person() is not None:
        return
    mode = Mode.told()
    st.title(_("Not open here"), anchor=False)
    if not mode.is_shared:
        st.error(
            _(
                "The tracker is open on its own computer alone; to share it with the shop's "
                "network, start it with --share."
            )
        )
    elif sign_in.is_set_up() and sign_in.can_work():
        _sign_in()
    else:
        st.error(_("This device was removed from the list, or never paired."))
        st.link_button(_("Pair this device"), pairing.PATH)
    st.stop()


def permit() -> Permit:
    """What this screen may write; nothing for one that nobody let in."""
    if _is_own_computer():
        return UNLIMITED
    return RolePermit(person() or Person("", ""), partial(_found, _token()))


def person() -> Person | None:
    """The person at a paired device; None on the workshop's own computer, or for a stranger."""
    return _found(_token())


def may(role: str) -> bool:
    """Does what is shown here have a use? The gate itself stands in the store."""
    if _is_own_computer():
        return True
    found = person()
    return found is not None and reaches(found.role, role)


def may_log() -> bool:
    """May this screen log what happens at the printers?"""
    return may(LOG)


def may_manage() -> bool:
    """May this screen do everything?"""
    return may(MANAGE)


def is_somebody_elses(name: str) -> bool:
    """While the tracker is shared: is a name that is typed on its own computer a device's person's?

    Whoever may manage sits at this computer too, by the same name.
    """
    if not name or not Mode.told().is_shared:
        return False
    bearers = device_list().bearers(name, datetime.now())
    return any(device.person.role != MANAGE for device in bearers)


def _found(token: str) -> Person | None:
    device = device_list().find(token, datetime.now()) if Mode.told().is_shared else None
    return device.person if device else None


def _token() -> str:
    found = st.context.cookies.get(COOKIE, "")
    return found if isinstance(found, str) else ""  # without a browser there is none


def _is_own_computer() -> bool:
    mode = Mode.told()
    host = st.context.headers.get("host")
    if not isinstance(host, str):  # no browser: a test of the pages, or a line that was just cut
        return not mode.is_shared
    address = st.context.ip_address or "127.0.0.1"  # Streamlit leaves out the own computer's
    headers = {name.lower(): value for name, value in st.context.headers.to_dict().items()}
    return not mode.through_proxy and Visitor(address, headers).is_this_computer


def _sign_in() -> None:
    """By an account of one's own: it lets this device in for a day, in that account's name."""
    if not st.user.get("is_logged_in"):
        st.markdown(_("Sign in with your account, or pair this device with a code."))
        if st.button(_("Sign in"), type="primary", key="sign-in"):
            st.login()
        st.link_button(_("Pair this device"), pairing.PATH)
        return
    found = sign_in.person_of(st.user.to_dict(), sign_in.people())
    if found is None:
        st.error(_("This account is not on the list; ask whoever runs the tracker."))
        if st.button(_("Use another account"), key="sign-out"):
            st.logout()
        return
    code = device_list().new_code(found.role, datetime.now(), name=found.name, lasts=sign_in.LASTS)
    st.link_button(_("Go on"), f"{pairing.PATH}?code={code.text.replace(' ', '')}", type="primary")
