"""The invented demonstration workshop: every name, price and day in it is made up.

Larkfield Garment Printing decorates garments on two sites with four printers named after where
they stand: six-channel ones at Mill Lane, eight-channel ones at Station Yard, each type with heads
of its own. Its log runs from 1 April 2024 to 31 October 2026. In that time one lot of dampers is
bad, a head is struck once, one that dies early is credited, the fourth printer arrives, and the
routine of shaking the dampers changes printer by printer, so that its effect can be asked about.
Each August and each turn of the year the workshop is closed. Of some parts that were in before the
log nobody knows the age. At the end an eight-channel head is on its way, and for the six-channel
printers there is none on the shelf and none ordered. The true parameters are in ``demo_plan`` and,
beside the sample data, in ``truth.json``.

``python -m tests.simulation.demo FOLDER`` writes the sample data again, byte for byte.
"""

from __future__ import annotations

import json
import sys
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from tests.simulation.demo_reviews import demo_actions, demo_notes
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import (
    BadBatch,
    ClosedPlan,
    PartPlan,
    PrinterPlan,
    RoutinePlan,
    SupplierPlan,
    Truth,
    WorkshopPlan,
)
from tracker.intake.exchange import write_folder
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records

# Chosen so that the story above is complete: one head strike, six to twelve heads dead of wear.
DEMO_SEED = 3179
SIX, EIGHT = "six-channel head", "eight-channel head"

_HARBOUR = SupplierPlan("Harbour Spares", 0.6)
_MILLBROOK = SupplierPlan("Millbrook Supply", 0.4)
_BOTH = (_HARBOUR, _MILLBROOK)
_SIX_INKS = ("C", "M", "Y", "K", "W1", "W2")
_EIGHT_INKS = (*_SIX_INKS, "W3", "W4")
# Nothing in the invented workshop hangs on these lots: an analysis by them should find nothing.
_LOT_WEEKS = {"ink_lot": 9, "film_lot": 5, "powder_lot": 14}


def demo_plan() -> WorkshopPlan:
    """What the invented workshop is really like: the true parameters behind the sample data.

    >>> demo_plan().parts[2].kind, demo_plan().parts[2].effects
    ('damper', {'shake_dampers': -0.5})
    """
    return WorkshopPlan(
        printers=(
            PrinterPlan(
                "Window", date(2022, 9, 12), _SIX_INKS, "Mill Lane", "wide film printer",
                SIX, None, 9.0,
            ),
            PrinterPlan(
                "Door", date(2023, 2, 6), _SIX_INKS, "Mill Lane", "wide film printer",
                SIX, None, 7.0,
            ),
            PrinterPlan(
                "Yard", date(2023, 6, 19), _EIGHT_INKS, "Station Yard", "roll film printer",
                EIGHT, None, 12.0, 0.93,
            ),
            PrinterPlan(
                "Loft", date(2024, 11, 4), _EIGHT_INKS, "Station Yard", "roll film printer",
                EIGHT, None, 10.0, 0.93,
            ),
        ),
        parts=_parts(),
        routines=_routines(),
        log_began_on=date(2024, 4, 1),
        log_ends_on=date(2026, 10, 31),
        bad_batches=(BadBatch("damper", date(2025, 9, 1), 0.25, "Millbrook Supply", "Da-M77"),),
        closed=(
            ClosedPlan(date(2024, 8, 5), date(2024, 8, 16), "summer shutdown"),
            ClosedPlan(date(2024, 12, 23), date(2025, 1, 3), "winter holiday"),
            ClosedPlan(date(2025, 8, 4), date(2025, 8, 15), "summer shutdown"),
            ClosedPlan(date(2025, 12, 22), date(2026, 1, 2), "winter holiday"),
            ClosedPlan(date(2026, 8, 3), date(2026, 8, 14), "summer shutdown"),
        ),
        fitting_day_unknown=0.2,
        age_guessed=0.7,
        reason_unknown=0.02,
        nozzle_check_every_days=7,
        people=("Mara", "Jonas", "Ines"),
    )  # fmt: skip


def _parts() -> tuple[PartPlan, ...]:
    modes = {name: kind.failure_modes for name, kind in words.PART_KINDS.items()}
    six_channel_head = PartPlan(
        "head",
        1.7,
        430,
        SIX,
        effects={"flush_in_place": -0.3},
        reference_per_30_days={"flush_in_place": 1.0},
        accident_per_year=0.1,
        accident_mode="head strike",
        symptoms={"head_clean": 6.0, "strong_clean": 1.5},
        suppliers=(SupplierPlan("Quay Printheads", 0.7), _HARBOUR),
        modes=("nozzles blocked", "electrical", "ink behind nozzle plate"),
        unit_cost=590,
        lead_days=21,
        lead_spread=0.45,
        first_stock=1,
        reorder_at=0,
        order_quantity=1,
        not_ordered_from=date(2026, 6, 1),
        warranty_days=180,
        hours_to_change=3,
        hours_stood=6.5,
        scrap_cost=40,
    )
    return (
        six_channel_head,
        replace(
            six_channel_head, variant=EIGHT, scale_days=365, unit_cost=720, not_ordered_from=None
        ),
        PartPlan(
            "damper", 1.8, 400, white_scale_days=190, effects={"shake_dampers": -0.5},
            reference_per_30_days={"shake_dampers": 2.0}, replaced_with="head",
            symptoms={"shake_dampers": 1.2, "head_clean": 1.0},
            suppliers=_BOTH, modes=modes["damper"], unit_cost=8.5, pack_size=7, lead_days=10,
            first_stock=14, reorder_at=7, order_quantity=14, hours_to_change=0.5, hours_stood=1.2,
            scrap_cost=6,
        ),
        PartPlan(
            "wiper", 2.2, 190, effects={"clean_wiper_cap": -0.25},
            reference_per_30_days={"clean_wiper_cap": 8.0}, planned_age_days=180,
            suppliers=_BOTH, modes=modes["wiper"], unit_cost=7.8, pack_size=5, lead_days=10,
            first_stock=4, reorder_at=2, order_quantity=5, hours_to_change=0.2, hours_stood=0.4,
            scrap_cost=5,
        ),
        PartPlan(
            "cap", 2.0, 330, effects={"clean_wiper_cap": -0.2},
            reference_per_30_days={"clean_wiper_cap": 8.0}, suppliers=_BOTH, modes=modes["cap"],
            unit_cost=42, lead_days=12, hours_to_change=0.7, hours_stood=1.5, reorder_at=0,
            order_quantity=1, first_stock=1,
        ),
        PartPlan(
            "pump", 2.4, 620, suppliers=(_HARBOUR,), modes=modes["pump"], unit_cost=58,
            lead_days=15, reorder_at=0, order_quantity=1, first_stock=1, shelf_life_days=1800,
            hours_to_change=1, hours_stood=2,
        ),
        PartPlan(
            "line", 2.0, 1300, white_scale_days=900, suppliers=(_MILLBROOK,), modes=modes["line"],
            unit_cost=19, pack_size=2, lead_days=10, reorder_at=1, order_quantity=2,
            shelf_life_days=1800, hours_to_change=1, hours_stood=1.8,
        ),
        PartPlan(
            "encoder", 1.4, 1500, seen_in_nozzle_check=False, suppliers=(_HARBOUR,),
            modes=modes["encoder"], unit_cost=18, lead_days=12, reorder_at=0, order_quantity=1,
            first_stock=1, shelf_life_days=3650, hours_to_change=0.5, scrap_cost=3,
        ),
        PartPlan(
            "roller", 2.0, 1400, clock="area", seen_in_nozzle_check=False, suppliers=(_HARBOUR,),
            modes=modes["roller"], unit_cost=31, lead_days=12, reorder_at=0, order_quantity=1,
            first_stock=1, shelf_life_days=3650, hours_to_change=1, scrap_cost=3,
        ),
        PartPlan(
            "waste_tank", 4.0, 9000, planned_age_days=240, seen_in_nozzle_check=False,
            suppliers=(_MILLBROOK,), unit_cost=16, lead_days=6,
            reorder_at=1, order_quantity=2, shelf_life_days=3650, hours_to_change=0.2,
            scrap_cost=0,
        ),
    )  # fmt: skip


def _routines() -> tuple[RoutinePlan, ...]:
    shaking = (
        ("Window", 15, None, date(2025, 2, 2)),
        ("Window", 7, date(2025, 2, 3), None),
        ("Door", 15, None, date(2025, 8, 31)),
        ("Door", 30, date(2025, 9, 1), None),
        ("Yard", 30, None, date(2025, 6, 1)),
        ("Yard", 10, date(2025, 6, 2), None),
        ("Loft", 7, None, date(2026, 1, 18)),
        ("Loft", 21, date(2026, 1, 19), None),
    )
    return (
        RoutinePlan("stir_ink", 1, done=0.96),
        RoutinePlan("nozzle_check", 1),
        RoutinePlan("clean_wiper_cap", 3, ("Window", "Door"), done=0.85),
        RoutinePlan("clean_wiper_cap", 7, ("Yard", "Loft"), done=0.85),
        *(
            RoutinePlan("shake_dampers", every, (printer,), first, last)
            for printer, every, first, last in shaking
        ),
        RoutinePlan("flush_in_place", 30, ("Window", "Yard", "Loft")),
        RoutinePlan("flush_in_place", 60, ("Door",)),
        RoutinePlan("flush_before_shutdown", None),
        RoutinePlan("empty_waste", 7, done=0.93),
        RoutinePlan("wipe_encoder", 30, done=0.8),
        RoutinePlan("clean_rollers", 30, done=0.8),
    )


def make_demo(seed: int = DEMO_SEED) -> tuple[Records, Truth]:
    """The records of the invented workshop and the truth behind them; the same for a seed.

    >>> records, truth = make_demo()
    >>> records.is_demo, len(records.printers), truth.part("damper").shape
    (True, 4, 1.8)
    """
    rng = np.random.default_rng(seed)
    records, truth = simulate_workshop(demo_plan(), rng)
    records = records.with_table("conditions", _conditions(records, rng))
    records = records.with_table("parts", _catalogue(records.parts))
    records = records.with_table("actions", demo_actions())
    records = records.with_table("review_notes", demo_notes())
    return records.with_table("settings", _settings(records.settings)), truth


def _conditions(records: Records, rng: np.random.Generator) -> pd.DataFrame:
    """Noted where the counter was read: humidity (dry in winter), white share, a new lot in use."""
    noted = records.counters
    angle = 2 * np.pi * noted["read_on"].dt.dayofyear.to_numpy() / 365.25
    humidity = 46 - 7 * np.cos(angle) + rng.normal(0, 4, len(noted))
    white = noted["printer"].map({"Window": 48, "Door": 42, "Yard": 58, "Loft": 55}).to_numpy()
    return pd.DataFrame(
        {
            "printer": noted["printer"],
            "noted_on": noted["read_on"],
            **_lots(noted, records),
            "humidity_percent": np.clip(humidity, 20, 80).round(),
            "white_share_percent": np.clip(white + rng.normal(0, 6, len(noted)), 15, 85).round(),
        }
    )


def _lots(noted: pd.DataFrame, records: Records) -> dict[str, pd.Series]:
    """The lot each printer of a site is filled from, named on the day it is first in use."""
    site = noted["printer"].map(records.printers.set_index("printer")["site"])
    week = (noted["read_on"] - noted["read_on"].min()).dt.days // 7 + (site == "Mill Lane") * 3
    lots = {}
    for name, weeks in _LOT_WEEKS.items():
        material, number = name.removesuffix("_lot"), (week // weeks + 1).astype(int)
        lot = site.str[0] + "-" + material + " " + number.astype(str).str.zfill(2)
        lots[name] = lot.where(lot != lot.groupby(noted["printer"]).shift(), "")
    return lots


def _catalogue(parts: pd.DataFrame) -> pd.DataFrame:
    """The workshop's own belief beside prices and delivery: the trade's guesses, not the truth.

    Of dampers it says nothing, so that the trade's two guesses hold, by ink.
    """
    guess = parts["part_kind"].map(words.PART_KINDS)
    typical = pd.Series([kind.typical_life_days for kind in guess], index=parts.index)
    return parts.assign(
        typical_life_days=typical.where(parts["part_kind"] != "damper"),
        warranty_days=[180 if kind.name == "head" else kind.warranty_days for kind in guess],
        belief_failures=1.0,
    )


def _settings(settings: pd.DataFrame) -> pd.DataFrame:
    own = {
        "workshop": "Larkfield Garment Printing",
        "demo": "yes",
        "currency": "EUR",
        "labour_per_hour": "26",
        "margin_per_hour": "32",
        "service_level": "0.95",
        "review_days": "30",
        "holding_rate_per_year": "0.2",
        "hours_per_day": "8",
    }
    more = pd.DataFrame({"name": list(own), "value": list(own.values())})
    return pd.concat([more, settings], ignore_index=True)


def truth_as_json(truth: Truth, seed: int) -> str:
    """The true parameters as text, for the file beside the sample data."""
    plan = asdict(truth.plan)
    told = {
        "about": "True parameters of the invented workshop; see tests/simulation/workshop_plan.py.",
        "seed": seed,
        **{
            key: plan[key]
            for key in ("log_began_on", "log_ends_on", "printers", "parts", "bad_batches")
        },
        **{key: plan[key] for key in ("routines", "closed", "fitting_day_unknown", "age_guessed")},
        "lots_in_use_that_change_lives": [],
    }
    return json.dumps(told, indent=1, default=str) + "\n"


def write_sample_data(folder: Path, seed: int = DEMO_SEED) -> None:
    """Write the demo in the spreadsheet contract's format, and its truth, into that folder.

    The rows of ``fittings.csv`` stand in the order of ``Truth.lives``.
    """
    records, truth = make_demo(seed)
    write_folder(records, folder)
    (folder / "truth.json").write_text(truth_as_json(truth, seed), encoding="utf-8")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("Say where to write: python -m tests.simulation.demo FOLDER")
    write_sample_data(Path(sys.argv[1]))
