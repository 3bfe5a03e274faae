"""Seven part kinds for studies over many workshops.

Each workshop's lives, prices and delivery times differ from the usual ones.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.simulation.workshop_plan import PartPlan

SPREAD = 0.35  # of the logs of true lives, prices and delivery times about the usual ones
USUAL_PARTS = (
    PartPlan("head", 1.7, 430, accident_per_year=0.1, unit_cost=640, lead_days=21,
             lead_spread=0.45, first_stock=1, reorder_at=0, order_quantity=1),
    PartPlan("damper", 1.8, 300, white_scale_days=170, replaced_with="head", unit_cost=8.5,
             pack_size=7, lead_days=10, first_stock=14, reorder_at=7, order_quantity=14),
    PartPlan("wiper", 2.2, 190, unit_cost=7.8, pack_size=5, lead_days=10, first_stock=5),
    PartPlan("cap", 2.0, 330, unit_cost=42, lead_days=12),
    PartPlan("pump", 2.4, 620, unit_cost=58, lead_days=15, shelf_life_days=1800),
    PartPlan("encoder", 1.4, 1500, unit_cost=18, lead_days=12, shelf_life_days=3650),
    PartPlan("roller", 2.0, 1400, unit_cost=31, lead_days=12, shelf_life_days=3650),
)  # fmt: skip


def varied_parts(rng: np.random.Generator) -> tuple[PartPlan, ...]:
    """The usual parts with the lives, delivery times and prices of one workshop."""

    def factor() -> float:
        return float(np.exp(SPREAD * rng.standard_normal()))

    parts = []
    for part in USUAL_PARTS:
        life = factor()
        white = None if part.white_scale_days is None else part.white_scale_days * life
        parts.append(
            replace(
                part, scale_days=part.scale_days * life, white_scale_days=white,
                lead_days=max(2.0, part.lead_days * factor()),
                unit_cost=round(part.unit_cost * factor(), 2),
            )
        )  # fmt: skip
    return tuple(parts)
