"""Something broke: one event, one change, undone as a whole."""

from __future__ import annotations

from datetime import date, datetime

import pandas as pd
import pytest

from tests.hands import by
from tests.store.test_acts import H1, W1, undoes_whole, workshop
from tracker.errors import RecordError
from tracker.store import acts
from tracker.store.acts import Breakdown, NewPart, PartChange, Removal, Stoppage, TaskDetails
from tracker.store.database import Store

__all__ = ["workshop"]

BEGAN, ENDED = datetime(2026, 3, 4, 9), datetime(2026, 3, 6, 15)


def head_broke(**more: object) -> Breakdown:
    removal = Removal(BEGAN.date(), "failed", "nozzles blocked", along=(("damper", "W1"),))
    event = {
        "change": PartChange(H1, removal, NewPart(), ENDED.date()),
        "stoppage": Stoppage("P1", BEGAN, ENDED, "part failed", scrap_cost=40.0),
        "tasks": ("strong_clean", "head_clean"),
        "work": TaskDetails(minutes=20, fluid_ml=30),
    }
    return Breakdown("P1", BEGAN.date(), **(event | more))  # type: ignore[arg-type]


def test_the_event_is_one_change_that_is_undone_whole(workshop: Store) -> None:
    undoes_whole(workshop, lambda: acts.something_broke(by(workshop, "Lena"), head_broke()))


def test_part_stoppage_and_work_are_written_with_what_belongs_to_them(workshop: Store) -> None:
    before = workshop.records()
    acts.something_broke(by(workshop, "Lena"), head_broke())
    records = workshop.records()
    heads = records.fittings.query("printer == 'P1' and part_kind == 'head'")
    out, new = heads.iloc[-2], heads.iloc[-1]
    assert (out.removal_reason, out.failure_mode) == ("failed", "nozzles blocked")
    # It broke on 4 March and the new one went in when the printer ran again, on 6 March.
    assert (out.removed_on, new.fitted_on) == (
        pd.Timestamp(BEGAN.date()),
        pd.Timestamp("2026-03-06"),
    )
    stop = records.stoppages.iloc[-1]
    assert (stop.part_kind, stop.cause, stop.scrap_cost) == ("head", "part failed", 40)
    work = records.maintenance.iloc[len(before.maintenance) :]
    assert work["task"].tolist() == ["strong_clean", "head_clean"]
    assert set(work["why"]) == {"symptom"}  # whatever the details say
    assert set(work["done_by"]) == {"Lena"}
    used = records.stock.iloc[len(before.stock) :]
    assert used[["part_kind", "quantity"]].values.tolist() == [["head", -1], ["damper", -1]]


def test_a_part_whose_spare_is_not_here_leaves_its_place_empty(workshop: Store) -> None:
    change = PartChange(W1, Removal(BEGAN.date(), "failed"), None)
    stands = Stoppage("P1", BEGAN, cause="waiting for a part")
    acts.something_broke(workshop, Breakdown("P1", BEGAN.date(), change, stands))
    here = workshop.records().fittings.query("printer == 'P1' and position == 'W1'")
    assert here["removed_on"].notna().all()
    acts.fit_first_part(workshop, W1, ENDED.date())


def test_what_cannot_be_is_refused_whole(workshop: Store) -> None:
    before = len(workshop.changes(1000))
    with pytest.raises(RecordError, match="Nothing is said of what broke"):
        acts.something_broke(workshop, Breakdown("P1", date(2026, 3, 4)))
    with pytest.raises(RecordError, match="One event is of one printer"):
        acts.something_broke(workshop, head_broke(stoppage=Stoppage("P2", BEGAN)))
    early = Stoppage("P1", ENDED, BEGAN, "part failed")
    with pytest.raises(RecordError, match=r"ended_at: .* is before began_at"):
        acts.something_broke(workshop, head_broke(stoppage=early))
    assert len(workshop.changes(1000)) == before


def test_a_claim_is_sent_then_credited_and_only_for_a_part_that_is_out(workshop: Store) -> None:
    acts.change_part(workshop, H1, Removal(BEGAN.date(), "failed"))
    heads = workshop.records().fittings.query("printer == 'P1' and part_kind == 'head'")
    out, still_in = int(heads.index[-2]), int(heads.index[-1])
    undoes_whole(workshop, lambda: acts.claim_part(workshop, out, "sent", amount=300.0))
    acts.claim_part(workshop, out, "sent", amount=300.0)
    acts.claim_part(workshop, out, "credited", amount=250.0)
    row = workshop.records().fittings.loc[out]
    assert (row.claim, row.claim_amount) == ("credited", 250)
    with pytest.raises(RecordError, match="is still in; log its change first"):
        acts.claim_part(workshop, still_in, "sent")


def test_a_credit_needs_its_amount(workshop: Store) -> None:
    acts.change_part(workshop, W1, Removal(BEGAN.date(), "failed"))
    out = workshop.records().fittings.query("printer == 'P1' and position == 'W1'").index[-2]
    with pytest.raises(RecordError, match="The credit has no amount"):
        acts.claim_part(workshop, int(out), "credited")


def test_closed_days_are_one_change_and_of_a_known_place(workshop: Store) -> None:
    closed = acts.Closure(date(2026, 8, 3), date(2026, 8, 14), note="summer")
    undoes_whole(workshop, lambda: acts.write_closure(workshop, closed))
    with pytest.raises(RecordError, match="There is no printer 'P9'"):
        acts.write_closure(workshop, acts.Closure(date(2026, 8, 3), date(2026, 8, 4), printer="P9"))
    with pytest.raises(RecordError, match="is before began_on"):
        acts.write_closure(workshop, acts.Closure(date(2026, 8, 14), date(2026, 8, 3)))


@pytest.mark.parametrize("removal", [None, Removal(BEGAN.date(), "failed", "air leak")])
def test_the_part_that_went_in_and_the_end_of_the_stop_are_undone_as_one(
    workshop: Store, removal: Removal | None
) -> None:
    change = PartChange(W1, Removal(BEGAN.date(), "failed"), None) if removal is None else None
    event = Breakdown("P1", BEGAN.date(), change, Stoppage("P1", BEGAN))
    acts.something_broke(workshop, event)
    stop = int(workshop.records().stoppages.index[-1])
    went_in = acts.WentIn(W1, removal)
    undoes_whole(workshop, lambda: acts.end_stoppage(workshop, stop, ENDED, went_in=went_in))
    acts.end_stoppage(workshop, stop, ENDED, went_in=went_in)
    records = workshop.records()
    assert records.fittings.query("position == 'W1'")["fitted_on"].iloc[-1] == pd.Timestamp(
        ENDED.date()
    )
    assert records.stoppages["ended_at"].iloc[-1] == ENDED
