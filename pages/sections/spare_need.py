"""How many of one part will be needed, and what if."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import spare_age
from tracker.charts.need import need_picture
from tracker.decisions import wording
from tracker.decisions.spare_stock import chance_of_shortage, stock_for_service
from tracker.decisions.stock_table import stock_table
from tracker.records import vocabulary as words
from tracker.records.model import Records


def show(place: frame.Workshop, table: pd.DataFrame) -> None:
    """Pick a part and a service level; the sentence, the bars and the planned age follow."""
    st.header("How many will be needed?", anchor=False)
    kinds = list(table["part_kind"])
    first = table["chance_of_shortage_now"].to_numpy().argmax()
    kind = st.pills(
        "Which part?", kinds, default=kinds[first], format_func=words.part_label, key="need-kind"
    ) or kinds[first]  # fmt: skip
    percent = st.slider(
        "Wanted chance of not running short (%)", 50, 99,
        min(99, max(50, round(100 * place.records.number("service_level")))), key="need-service",
    )  # fmt: skip
    row = _what_if(table, kind)
    chances = np.asarray(row["chance_of_need"])
    available = int(row["on_hand"] + row["arriving"])
    stock = stock_for_service(chances, percent / 100)
    short = chance_of_shortage(chances, available)
    lasts = "lasts" if stock == 1 else "last"
    are = "is" if available == 1 else "are"
    st.markdown(
        f"**{stock} in stock** {lasts} with at least {percent} % chance for "
        f"{wording.days(row['horizon_days'])}; there {are} {available} (the shelf and what arrives "
        f"by then), which leaves a {wording.chance(short)} chance of running short. Expected need: "
        f"{wording.figure(row['expected_need'])}; likely range {_range(chances)}."
    )
    evidence = wording.evidence(row["failures"], row["belief_share"])
    st.caption(f"{evidence[0].upper()}{evidence[1:]}.")
    frame.chart(
        need_picture(kind, chances.tolist(), stock, row["horizon_days"], available),
        f"Chance of needing 0, 1, 2, … pieces of {words.part_label(kind).lower()}; recommended "
        f"stock {stock}",
        "need-chart",
    )
    spare_age.show(place, kind)


def _what_if(table: pd.DataFrame, kind: str) -> pd.Series:
    """The kind's row of the stock table, under another delivery time or more printers if asked."""
    row = table.set_index("part_kind").loc[kind]
    with st.expander("What if … deliveries took longer, or there were more printers?"):
        usual = float(round(row["lead_days"]))
        lead = st.number_input(
            "Delivery (days)",
            0.0,
            365.0,
            usual,
            step=1.0,
            format="%.0f",
            key=f"lead-{kind}-{usual:.0f}",
        )
        more = st.number_input("Printers added", 0, 50, 0, step=1, key="more-printers")
    if lead == usual and not more:
        return row
    told = [f"delivery takes {wording.days(lead)}"] if lead != usual else []
    told += [wording.count(more, "more printer")] if more else []
    st.markdown(f"What if: {', '.join(told)}.")
    asked = frame.ask(_stock_if, lead if lead != usual else None, int(more))
    return asked.set_index("part_kind").loc[kind]


def _stock_if(
    records: Records, as_of: date, lead_days: float | None, more_printers: int
) -> pd.DataFrame:
    return stock_table(records, as_of, lead_days=lead_days, more_printers=more_printers)


def _range(chances: np.ndarray) -> str:
    low, high = (int(np.searchsorted(np.cumsum(chances), share)) for share in (0.1, 0.9))
    return f"{low}" if low == high else f"{low} to {high} (80 %)"
