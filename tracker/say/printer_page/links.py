"""What is told of links to a printer: its label, and what an address names in vain."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.language import N_, _

LABEL_SAYS = N_("Scan to log what happened")
LABELS = N_("Labels to print")
ONLY_HERE = N_(
    "The app's address leads nowhere from a phone: it only works on this computer. Type the "
    "address under which other devices reach it, for example http://printroom:8501; it is kept "
    "with the workshop's settings."
)


def label_hint(address: str) -> str:
    """What the label on the machine is for."""
    return _(
        "Print it, stick it on the machine: a phone's camera then opens this printer's "
        "log. The code leads to {address}.",
        address=address,
    )


def no_such_printer(name: str) -> str:
    """What is told where an address names a printer that is not there."""
    return _(
        "There is no printer called “{name}” in this workshop; it may have another name "
        "now. Pick one below.",
        name=name,
    )


def not_at_work(name: str) -> str:
    """What is told where a link into the log names a printer that is not at work here."""
    return _(
        "The link names a printer “{name}” that is not at work here; pick one below.", name=name
    )


def no_such_form(name: str, forms: Sequence[str]) -> str:
    """What is told where a link into the log names a form that there is none of."""
    return _(
        "The link names “{name}”, which nothing here is called; there are {forms}.",
        name=name,
        forms=", ".join(forms),
    )
