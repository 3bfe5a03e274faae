"""How many of one part will be needed, and what if."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import glossary, routine_dial
from pages.sections.data_table import data_table
from pages.sections.spares import age
from pages.shell import session, sites
from pages.shell.words import day_format, marked, plain
from tracker.charts.need import need_picture
from tracker.decisions.stock_level import stock_for_service
from tracker.decisions.stock_table import AS_IT_IS, WhatIf, stock_table
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.say.phrases import first_up
from tracker.say.spares.answers import bars_and_chance, how_long_it_lasts
from tracker.say.spares.orders import in_short_stocked
from tracker.say.spares.shelf_table import need_table
from tracker.say.spares.stock import remarks
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, of_type, types_in


def show(place: session.Workshop, table: pd.DataFrame) -> None:
    """Pick a part; the sentence and the bars follow, as asked under what if.

    Whether to replace it on schedule is worked out last, for it takes longest.
    """
    # A tap's value is plain text: a tuple would be taken for several taps.
    parts = {" ".join(filter(None, part)): part for part in types_in(table)}
    first = list(parts)[table["chance_of_shortage_now"].to_numpy().argmax()]
    part = parts[st.pills(
        _("Which part?"), list(parts), default=first, key="need-kind",
        format_func=lambda name: plain(part_types.label(*parts[name])),
    ) or first]  # fmt: skip
    kind = part.part_kind
    now = _row_of(table, part)
    usual = place.records.number("service_level")
    sites.choose(place)
    asked = _ask(place, now, kind)
    row = now
    if asked.what_if != AS_IT_IS:
        changed = session.ask(_stock_if, asked.what_if)
        row = _row_of(changed, part)
    if asked.changes:
        st.markdown(plain(_("What if: {changes}.", changes=", ".join(asked.changes))))
    else:
        st.markdown(f"**{plain(in_short_stocked(row))}**")
    chances = np.asarray(row["chance_of_need"])
    stock = stock_for_service(chances, asked.service)
    before = stock_for_service(np.asarray(now["chance_of_need"]), usual)
    instead_of = before if asked.changes else None
    lasts = how_long_it_lasts(row, chances, stock, asked.service, instead_of=instead_of)
    st.markdown(marked(lasts))
    need = (row["expected_need"], row["need_if_guess_halved"], row["need_if_guess_doubled"])
    evidence = place.evidence(
        kind, row["failures"], need, _("pieces to be expected"), which=numbers.ALL_OF_KIND
    )
    frame.chart(
        need_picture(part, chances.tolist(), stock, row["horizon_days"], row["available"]),
        _(
            "Chance of needing 0, 1, 2, … pieces of {part}; {stock} are enough for the "
            "chance wanted",
            part=part_types.within(part),
            stock=stock,
        ),
        "need-chart",
    )
    if beside := bars_and_chance(row, chances):
        st.caption(plain(beside))
    with st.expander(_("As a table, and how sure is that?")):
        st.markdown(plain(" ".join([f"{first_up(evidence)}.", remarks(row)]).strip()))
        data_table(
            need_table(chances),
            key="need-table",
            alt=_("Chance of needing so many, and of needing more"),
        )
        glossary.on_tap(lasts, _("service level"), key="need")
    age.show(place, kind)


@dataclass(frozen=True)
class _Asked:
    """What was asked: the service level, what is otherwise, and each such change in words."""

    service: float
    what_if: WhatIf
    changes: tuple[str, ...]


def _ask(place: session.Workshop, row: pd.Series, kind: str) -> _Asked:
    usual = min(99, max(50, round(100 * place.records.number("service_level"))))
    days = float(round(row["lead_days"]))
    fitted = place.records.fittings
    there = place.records.printers
    there = there[there["printer"].isin(fitted.loc[fitted["removed_on"].isna(), "printer"])]
    site = sites.chosen(place)
    with st.expander(_("What if … (chance wanted, delivery, printers, routine)")):
        percent = st.slider(
            _("Wanted chance of not running short (%)"),
            50,
            99,
            usual,
            key="need-service",
            help=_("Your service level; set it for good under Records, Settings (Service level)."),
        )
        left, right = st.columns(2)
        lead = left.number_input(
            _("Delivery (days)"),
            0.0,
            365.0,
            days,
            step=1.0,
            format="%.0f",
            key=f"lead-{kind}-{days:.0f}",
        )
        more = right.number_input(_("Printers added"), 0, 50, 0, step=1, key="more-printers")
        leaving = left.multiselect(
            _("Printers that leave"),
            sorted(there["printer"]),
            key="leaving-printers",
            placeholder=_("None"),
        )
        gone_on = place.as_of
        if leaving:
            gone_on = left.date_input(
                _("From which day are they gone?"),
                place.as_of,
                min_value=place.as_of,
                format=day_format(),
                key="leaving-on",
            )
        doing, said = routine_dial.ask(place, "need")
    changes = [_("a chance of {percent} % is wanted", percent=percent)] if percent != usual else []
    changes += [_("delivery takes {lead}", lead=numbers.days(lead))] if lead != days else []
    changes += [numbers.count(more, "more printer", "more printers")] if more else []
    later = _(" from {gone_on} on", gone_on=numbers.day(gone_on)) if gone_on > place.as_of else ""
    changes += (
        [_("without {leaving}{later}", leaving=", ".join(leaving), later=later)] if leaving else []
    )
    changes += said
    if site is not None:
        changes += [_("spares for {site} alone", site=site or _("printers without a site"))]
    what_if = WhatIf(
        lead_days=lead if lead != days else None,
        more_printers=int(more),
        leaving=dict.fromkeys(leaving, gone_on),
        site=site,
        doing=doing,
    )
    return _Asked(percent / 100, what_if, tuple(changes))


def _row_of(table: pd.DataFrame, part: PartType) -> pd.Series:
    return table[of_type(table, part)].iloc[0]


def _stock_if(records: Records, as_of: date, what_if: WhatIf) -> pd.DataFrame:
    return stock_table(records, as_of, what_if=what_if)
