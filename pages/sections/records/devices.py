"""The devices that share this tracker: let one in, let one in no more."""

from __future__ import annotations

from datetime import datetime

import streamlit as st

from pages.shell import entry, session, telling
from pages.shell.words import plain
from tracker.language import _
from tracker.paper.labels import qr_code
from tracker.say import numbers
from tracker.sharing import sign_in
from tracker.sharing.device_list import CODE_MINUTES, LONGEST_NAME, Device
from tracker.sharing.mode import Mode, device_list
from tracker.sharing.roles import LOG, ROLES


def show(_workshop: session.Workshop) -> None:
    """This device and its way out; for whoever may manage also a code for a new one, and all that
    are let in."""
    entry.offer_sign_out()
    if not entry.may_manage():
        return
    mode = Mode.told()
    if not mode.is_shared:
        st.info(
            _(
                "So far this tracker opens on its own computer alone. It can also open on phones "
                "and other computers of the shop, to log at the printer and to look things up; "
                "each is let in here by a code. For that, whoever set the tracker up stops it on "
                "its computer and starts it there with this command: `python -m tracker --share`"
            ),
            icon=":material/devices:",
        )
    else:
        _new(mode)
    st.subheader(_("Devices that are let in"), anchor=False)
    found = device_list().devices(datetime.now())
    if not found:
        st.caption(_("No device is paired yet."))
    for device in found:
        _line(device)
    with telling.errors_in_words():
        if mode.is_shared and sign_in.set_up() is not None:
            st.caption(
                _(
                    "Whoever signs in by an account comes in again until their line in the file "
                    "of secrets is gone."
                )
            )


def _new(mode: Mode) -> None:
    st.markdown(
        _("Open **{address}** on the new device and type the code there.", address=mode.address)
    )
    st.image(str(qr_code(mode.address)), width=180)
    role = st.radio(
        _("What may it do?"), list(ROLES), index=list(ROLES).index(LOG),
        format_func=lambda name: _(ROLES[name]), key="device-role",
    )  # fmt: skip
    name = st.text_input(
        _("For whom? (empty: who pairs says their own name)"),
        max_chars=LONGEST_NAME,
        key="device-name",
    )
    if st.button(_("Make a pairing code"), type="primary", key="device-code"):
        with telling.errors_in_words():
            code = device_list().new_code(role, datetime.now(), name=name)
            st.success(
                _(
                    "Pairing code: {code}. It lets one device in within {minutes} minutes.",
                    code=code.text,
                    minutes=CODE_MINUTES,
                ),
                icon=":material/key:",
            )


def _line(device: Device) -> None:
    text, button = st.columns([4, 1], vertical_alignment="center")
    text.markdown(
        _(
            "**{name}**, {role}  \nPaired {paired}, last seen {seen}",
            name=plain(device.person.name),
            role=_(ROLES[device.person.role]),
            paired=numbers.day(device.paired_at.date()),
            seen=numbers.day(device.seen_at.date()),
        )
    )
    if button.button(_("Let in no more"), key=f"device-out-{device.number}", width="stretch"):
        with telling.errors_in_words():
            device_list().remove(device.number)
            st.rerun()
