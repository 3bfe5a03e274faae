"""What the columns are called on screens and in the tables that people take from them."""

from __future__ import annotations

from functools import cache

from tracker.language import N_
from tracker.workshop.vocabulary import in_each_language, said

COLUMN_LABELS = {
    "part_kind": N_("Part"),
    "started_on": N_("First day"),
    "retired_on": N_("Last day"),
    "head_type": N_("Type of printhead"),
    "fitted_counter_m2": N_("Counter when fitted"),
    "removed_counter_m2": N_("Counter when removed"),
    "removal_reason": N_("Why it came out"),
    "failure_mode": N_("How it failed"),
    "last_ok_on": N_("Last seen good on"),
    "unit_cost": N_("Price of one piece"),
    "pack_size": N_("Pieces in a pack"),
    "lead_days": N_("Usual delivery"),
    "lead_days_late": N_("Nine in ten delivered within"),
    "shelf_life_days": N_("Keeps on the shelf"),
    "warranty_days": N_("Warranty"),
    "typical_life_days": N_("Typical life"),
    "belief_failures": N_("Failures your belief counts as"),
    "hours_to_change": N_("Work to change it"),
    "replaced_with": N_("Changed along with"),
    "why": N_("Planned or symptom"),
    "fluid_ml": N_("Fluid used"),
    "minutes": N_("Time it took"),
    "area_m2": N_("Counter reading"),
    "carried_m2": N_("Of that, counters before"),
    "every_days": N_("Every so many days"),
    "every_m2": N_("Every so many m²"),
    "humidity_percent": N_("Humidity"),
    "white_share_percent": N_("Share of white"),
    "made_from": N_("Proposed from"),
    "printer": N_("Printer"),
    "site": N_("Site"),
    "model": N_("Model"),
    "channels": N_("Channels"),
    "position": N_("Position"),
    "fitted_on": N_("Fitted on"),
    "removed_on": N_("Removed on"),
    "serial": N_("Serial"),
    "serial_out": N_("Serial of the part that came out"),
    "hours_down": N_("Hours the printer stood still"),
    "hours_stood": N_("Hours the printer stood still"),
    "supplier": N_("Supplier"),
    "batch": N_("Batch"),
    "variant": N_("Variant"),
    "age_guess_days": N_("Age guess days"),
    "claim": N_("Claim"),
    "claim_amount": N_("Claim amount"),
    "note": N_("Note"),
    "task": N_("Task"),
    "done_on": N_("Done on"),
    "done_by": N_("Done by"),
    "read_on": N_("Read on"),
    "checked_on": N_("Checked on"),
    "channel": N_("Channel"),
    "missing_nozzles": N_("Missing nozzles"),
    "began_at": N_("Began at"),
    "ended_at": N_("Ended at"),
    "began_pass": N_("Began, which of two"),
    "ended_pass": N_("Ended, which of two"),
    "cause": N_("Cause"),
    "scrap_cost": N_("Scrap cost"),
    "moved_on": N_("Moved on"),
    "quantity": N_("Quantity"),
    "reason": N_("Reason"),
    "best_before": N_("Best before"),
    "counted": N_("Counted"),
    "ordered_on": N_("Ordered on"),
    "expected_on": N_("Expected on"),
    "received_on": N_("Received on"),
    "recovery_minutes": N_("Recovery minutes"),
    "refill_ml": N_("Refill"),
    "spoiled_per_failure": N_("Spoiled per failure"),
    "began_on": N_("Began on"),
    "ended_on": N_("Ended on"),
    "starts_on": N_("Starts on"),
    "ends_on": N_("Ends on"),
    "demanded": N_("Demanded"),
    "experiment": N_("Experiment"),
    "look_on": N_("Look on"),
    "noted_on": N_("Noted on"),
    "ink_lot": N_("Ink lot"),
    "film_lot": N_("Film lot"),
    "powder_lot": N_("Powder lot"),
    "month": N_("Month"),
    "action": N_("Action"),
    "assigned_to": N_("Assigned to"),
    "written_on": N_("Written on"),
    "dropped_on": N_("Dropped on"),
    "place": N_("Place"),
    "name": N_("Name"),
    "value": N_("Value"),
}


@cache
def column_labels(name: str) -> tuple[str, ...]:
    """What a column is called in each language: a sheet may be of another than the reader's.

    >>> column_labels("missing_nozzles")
    ('Missing nozzles', 'Inyectores que faltan')
    """
    label = COLUMN_LABELS.get(name)
    return tuple(dict.fromkeys(in_each_language(said, label))) if label else ()
