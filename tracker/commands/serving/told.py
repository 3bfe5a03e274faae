"""Where a shared tracker is reached, how the first device gets in, and who may listen."""

from __future__ import annotations

import io
import sys
from datetime import datetime

from tracker.language import _
from tracker.sharing import addresses, sign_in
from tracker.sharing.device_list import CODE_MINUTES, PairingCode
from tracker.sharing.mode import Mode, device_list
from tracker.sharing.roles import LOG, MANAGE
from tracker.sharing.sign_in import SignIn


def tell(mode: Mode, accounts: SignIn | None) -> None:
    """Print the address, also as a QR code, and a pairing code; say who may listen."""
    import segno

    print(_("It is shared at {address}", address=mode.address))
    drawn = io.StringIO()
    segno.make(mode.address, micro=False).terminal(out=drawn, border=2, compact=True)
    print(drawn.getvalue())
    others = [] if mode.through_proxy else addresses.own_addresses()[1:]
    if others:
        print(_("Also reached at: {addresses}", addresses=", ".join(others)))
    if mode.through_proxy:
        print(
            _(
                "Requests come through a proxy or tunnel: this computer has to be paired too, with "
                "the code below."
            )
        )
    print(code_line(device_list().new_code(MANAGE if mode.through_proxy else LOG, datetime.now())))
    print(_("More codes: page Records, Devices – or: python -m tracker devices --pair log"))
    if not mode.address.startswith("https"):
        print(
            _(
                "Without a certificate (--certificate FILE --key FILE) whoever is on the same "
                "network can listen, and could take over a device. Share on a network that only "
                "the workshop uses, never on one for guests."
            )
        )
    if accounts is not None:
        print(_sign_in_told(accounts))
    sys.stdout.flush()


def _sign_in_told(accounts: SignIn) -> str:
    """What there is to know of signing in by one's own account."""
    if sign_in.missing():
        return sign_in.needs_packages()
    return _(
        "People may sign in by their own account at {origin} alone: open the tracker there.",
        origin=accounts.origin,
    )


def code_line(code: PairingCode) -> str:
    """A pairing code in words; it is told nowhere else."""
    return _(
        "Pairing code for one device, {minutes} minutes long: {code}  ({role})",
        minutes=CODE_MINUTES,
        code=code.text,
        role=code.role,
    )
