"""Who is at this screen, and what may they write? Asked before anything of a workshop is read.

The door of the server (`tracker/sharing/door`) has let the request in already where the app was
started by its own command. It is asked again here: a server started otherwise has no door, and
what a device may write may change while its page stands open.
"""

from __future__ import annotations

from datetime import datetime
from functools import partial
from typing import Any

import streamlit as st

from pages.shell.words import plain
from tracker.errors import UsageError
from tracker.language import _
from tracker.sharing import pairing, sign_in
from tracker.sharing.mode import COOKIE, Mode, device_list
from tracker.sharing.role_permit import RolePermit
from tracker.sharing.roles import MANAGE, ROLES, Person, reaches
from tracker.sharing.sign_in import SignIn
from tracker.sharing.visitors import Visitor
from tracker.store.permit import UNLIMITED, Permit

# The code goes straight to the door, which sets the cookie that no script reads; it stands in no
# address, so neither in the browser's history.
_SCRIPT = """
export default function ({ data, parentElement }) {
  // once: a page may be drawn again;
  if (window.trackerLetsIn) return;
  window.trackerLetsIn = true;
  const form = new URLSearchParams({ code: data.code, then: "/" });
  const fail = () => { parentElement.textContent = data.failed; };
  fetch(data.at, { method: "POST", body: form, redirect: "manual" }).then((answer) => {
    if (answer.type === "opaqueredirect") window.location.replace("/"); else fail();
  }, fail);
}
"""


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
    elif (asked := _accounts()) is not None:
        _sign_in(asked)
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


def offer_sign_out() -> None:
    """Who this device is, and its way out; nothing on the workshop's own computer."""
    found = person()
    if found is None:
        return
    told, out = st.columns([4, 1], vertical_alignment="center")
    told.markdown(
        _("**{name}**, {role}", name=plain(found.name), role=_(ROLES[found.role])),
    )
    if out.button(_("Sign out"), key="sign-out", icon=":material/logout:", width="stretch"):
        _sign_out()


def _sign_out() -> None:
    """Lets this device in no more; out of the account too, where one let it in."""
    if st.user.get("is_logged_in"):
        st.logout()  # the door lets the device out on that way
        return
    device = device_list().find(_token(), datetime.now())
    if device is not None:
        device_list().remove(device.number)
    st.rerun()


def _accounts() -> SignIn | None:
    """Signing in by account, where it is set up and can work."""
    try:
        asked = sign_in.set_up()
    except UsageError:  # told in full where the tracker was started, not to a stranger
        st.error(
            _(
                "Signing in by an account does not work now; whoever runs the tracker is told why "
                "when it is started anew."
            )
        )
        return None
    return None if sign_in.missing() else asked


def _sign_in(asked: SignIn) -> None:
    """By an account of one's own: it lets this device in for a day, in that account's name."""
    account, now = st.user.to_dict(), datetime.now()
    if not account.get("is_logged_in") or not sign_in.is_fresh(account, now):
        st.markdown(_("Sign in with your account, or pair this device with a code."))
        if st.button(_("Sign in"), type="primary", key="sign-in"):
            st.login()
        st.link_button(_("Pair this device"), pairing.PATH)
        return
    found = sign_in.person_of(account, asked)
    if found is None:
        st.error(_("This account is not on the list; ask whoever runs the tracker."))
        if st.button(_("Use another account"), key="sign-out"):
            st.logout()
        return
    code = device_list().new_code(found.role, now, name=found.name, lasts=sign_in.LASTS)
    st.markdown(_("You are {name}; one moment.", name=plain(found.name)))
    failed = _("This device could not be let in; load this page again.")
    _component()(key="lets-in", data={"code": code.text, "failed": failed, "at": pairing.PATH})


@st.cache_resource(show_spinner=False)
def _component() -> Any:
    return st.components.v2.component("tracker_lets_in", js=_SCRIPT)
