"""Third step: what do the parts cost, and how long do they take to come?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import streamlit as st

from pages.forms.fields import pick_known
from pages.sections.start import printers, said
from pages.sections.start.ages import types_in_all
from pages.sections.start.printers import SaidPrinter
from pages.sections.start.table import FigureList
from pages.shell import session
from pages.shell.words import plain
from tracker.errors import RecordError
from tracker.language import N_, _
from tracker.say import part_types
from tracker.say.phrases import first_up
from tracker.workshop.contract import PARTS
from tracker.workshop.parts.facts import trade_guess
from tracker.workshop.settings.euro_rates import to_the_euro
from tracker.workshop.settings.known import SETTINGS
from tracker.workshop.variants import PartType
from tracker.workshop.vocabulary import said as type_said

_CURRENCIES = ("CHF", "EUR", "GBP", "MXN", "PLN", "USD")
_COLUMNS = {
    "unit_cost": N_("Price"),
    "lead_days": N_("Days"),
    "lead_days_late": N_("Late"),
}
_DELIVERY = ("lead_days", "lead_days_late")


def currency() -> str:
    """The currency of all prices."""
    return said.answer("currency", SETTINGS["currency"].default).strip()


def figures(all_printers: Sequence[SaidPrinter]) -> dict[PartType, dict[str, float]]:
    """The figures that are not the trade's; RecordError says which cannot be."""
    listed, found = _listed(all_printers), {}
    for part in types_in_all(all_printers):
        row = _row(part)
        read = {
            column: listed.number(row, column, PARTS.column(column))
            for column in _COLUMNS
            if listed.changed(row, column)
        }
        if any(column in read for column in _DELIVERY):  # one alone would move the other
            days = {
                column: listed.number(row, column, PARTS.column(column)) for column in _DELIVERY
            }
            usual, late = days["lead_days"], days["lead_days_late"]
            if usual is not None and late is not None and late < usual:
                raise RecordError(
                    _(
                        "{row}: nine in ten cannot be here by day {late} if {usual} days are "
                        "usual; write a late day that is no earlier.",
                        row=part_types.label(*part),
                        late=f"{late:g}",
                        usual=f"{usual:g}",
                    )
                )
            read |= days
        own = {column: number for column, number in read.items() if number is not None}
        if own:
            found[part] = own
    return found


def problem(all_printers: Sequence[SaidPrinter]) -> str:
    """What cannot be, in one sentence; "" where all can."""
    if not currency():
        return _("No currency is chosen; choose one, or type its name.")
    try:
        figures(all_printers)
    except RecordError as wrong:
        return str(wrong)
    return ""


def show(_place: session.Workshop) -> None:
    """The currency, then one list."""
    pick_known(_("Currency"), _CURRENCIES, said.FIELD + "currency", start=currency())
    said.keep()  # the guesses below are in it
    st.markdown(
        _(
            "These are starting guesses{rate}: common practice, no source; they differ by a factor "
            "of three and more between machines. Tap a figure to correct it, or leave it. "
            "**Price** is that of one piece, **Days** is how long an order usually takes; nine in "
            "ten are here by the days under **Late**.",
            rate=_rate(),
        )
    )
    all_printers = printers.named()
    _listed(all_printers).show()
    if wrong := problem(all_printers):
        st.error(plain(wrong), icon=":material/front_hand:")


def _rate() -> str:
    """What the guesses are in, and how they were made of euros."""
    rate = to_the_euro(currency())
    if rate == 1:
        return _(" in euros")
    return _(
        " at about {rate} {currency} to the euro", rate=f"{rate:g}", currency=plain(currency())
    )


def _row(part: PartType) -> str:
    """The key of a type's row; the same in every language."""
    return "/".join(filter(None, part))


def _listed(all_printers: Sequence[SaidPrinter]) -> FigureList:
    types = types_in_all(all_printers)
    of_kind = Counter(part.part_kind for part in types)
    usual = {
        (_row(part), column): f"{trade_guess(part.part_kind, column, currency()):.10g}"
        for part in types
        for column in _COLUMNS
    }
    named = {  # the type alone where it tells two apart: a phone is narrow
        _row(part): first_up(type_said(part.variant))
        if part.variant and of_kind[part.part_kind] > 1
        else part_types.label(part.part_kind)
        for part in types
    }
    turned = "" if to_the_euro(currency()) == 1 else currency()
    heads = {name: _(head) for name, head in _COLUMNS.items()}
    return FigureList("prices", _("Part"), named, heads, usual, of=turned)
