"""Two phones within a second: one is written, the other is told; no field of anybody is lost."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from tests.store import programs
from tracker.store import acts
from tracker.store.database import Store, open_store

FIELDS = ("note", "minutes", "fluid_ml", "position", "done_by")


@pytest.fixture
def workshop(database_url: str) -> Store:
    """One printer with a wiper, an order on its way and a task done."""
    with open_store(database_url) as store:
        acts.add_printer(store, acts.NewPrinter("P1", date(2026, 1, 5), channels="K"))
        acts.place_order(store, acts.Order("wiper", 2, date(2026, 3, 1)))
        wiper = acts.PartPosition("P1", "wiper", "wiper")
        acts.fit_first_part(store, wiper, date(2026, 1, 5))
        acts.log_tasks(store, "P1", ["head_clean"], date(2026, 3, 1))
        return store


def together(
    target: Callable[..., None], each: list[tuple[Any, ...]], answers_expected: int
) -> list[tuple[Any, ...]]:
    """Runs the programs at the same moment; what they told, in the order of telling."""
    context = programs.processes()
    barrier, answers = context.Barrier(len(each)), context.Queue()
    running = [
        context.Process(target=target, args=(*arguments, barrier, answers))  # type: ignore[attr-defined]
        for arguments in each
    ]
    for one in running:
        one.start()
    told = [answers.get(timeout=120) for _ in range(answers_expected)]
    for one in running:
        one.join(60)
        assert one.exitcode == 0
    return told


def test_what_two_people_log_of_one_event_is_written_once_and_the_other_is_told(
    database_url: str, workshop: Store
) -> None:
    names = list(programs.both_do(workshop, 0, 0, 0))
    told = together(
        programs.act_at_once, [(database_url, 1), (database_url, 2)], 2 * len(names)
    )  # fmt: skip
    for name in names:
        said = {seed: text for text, seed in told if text.startswith(f"{name}:")}
        first = next(seed for seed, text in said.items() if text.endswith("written"))
        assert said[3 - first] == f"{name}: told of seat {first}"
    with open_store(database_url) as store:
        records = store.records()
    assert len(records.fittings) == 2
    assert records.maintenance["task"].tolist().count("stir_ink") == 1
    assert len(records.nozzle_checks) == len(records.counters) == len(records.stoppages) == 1
    assert len(records.orders) == 2
    assert records.stock["quantity"].tolist().count(2) == 1


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_whoever_is_first_no_field_that_was_written_is_lost_without_a_question(
    database_url: str, workshop: Store, seed: int
) -> None:
    drawn = random.Random(seed)
    row_id = int(workshop.records().maintenance.index[-1])
    values = {"minutes": "5 6 7", "fluid_ml": "15 16 17"}
    plans = []
    for person in range(3):
        columns = drawn.sample(FIELDS, 3)
        wanted = {name: values.get(name, "a b c").split()[person] for name in columns}
        plans.append((database_url, row_id, list(wanted.items())))
    told = together(programs.correct_at_once, plans, 9)
    with open_store(database_url) as store:
        row = store.records().maintenance.loc[row_id].to_dict()
    written = dict(entry for entry in told if not entry[0].endswith("asked"))
    asked = {column.removesuffix(" asked") for column, _ in told if column.endswith("asked")}
    for column in FIELDS:
        plan = [value for _, _, fields in plans for name, value in fields if name == column]
        said = [value for name, value in told if name == column]
        assert len(said) == min(1, len(plan)), "of those who differ one is written"
        assert (column in asked) == (len(plan) > 1), "and each of the others is asked"
        if plan:
            kept = row[column]
            assert (f"{kept:g}" if isinstance(kept, float) else kept) == written[column]
