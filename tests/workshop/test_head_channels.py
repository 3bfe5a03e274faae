"""Which channels a head prints, told by the checks that were made of it."""

from __future__ import annotations

import pandas as pd

from tracker.workshop.parts.head_channels import head_channels, printer_channels
from tracker.workshop.records import Records


def checked(*checks: tuple[str, str, str, int], channels: str = "C M Y K W1 W2") -> Records:
    """One printer; of each check its day, head, channels with a space between, nozzles missing."""
    rows = [
        {"printer": "Bench", "checked_on": day, "position": head, "channel": channel,
         "missing_nozzles": missing}
        for day, head, names, missing in checks
        for channel in names.split()
    ]  # fmt: skip
    printer = {"printer": "Bench", "started_on": "2026-01-05", "channels": channels}
    tables = {"printers": pd.DataFrame([printer]), "nozzle_checks": pd.DataFrame(rows)}
    return Records.of({name: frame for name, frame in tables.items() if len(frame)})


def told(records: Records, *heads: str) -> dict[str, str]:
    return {head: " ".join(own) for head, own in head_channels(records, "Bench", heads).items()}


def test_an_only_head_prints_all_channels_whatever_was_checked() -> None:
    assert told(checked(("2026-10-05", "H1", "K", 0)), "H1") == {"H1": "C M Y K W1 W2"}


def test_each_of_several_heads_prints_what_was_checked_there_in_the_printers_order() -> None:
    records = checked(("2026-10-05", "H1", "K C M Y", 0), ("2026-10-05", "H2", "W2 W1", 0))
    assert told(records, "H1", "H2") == {"H1": "C M Y K", "H2": "W1 W2"}


def test_a_head_never_checked_has_what_no_other_head_has() -> None:
    records = checked(("2026-10-05", "H1", "C M Y K", 0))
    assert told(records, "H1", "H2") == {"H1": "C M Y K", "H2": "W1 W2"}
    assert told(checked(), "H1", "H2") == dict.fromkeys(("H1", "H2"), "C M Y K W1 W2")
    both = checked(("2026-10-05", "H1", "C M Y K W1 W2", 0))
    assert told(both, "H1", "H2")["H2"] == "C M Y K W1 W2", "nothing is left: all of them"


def test_what_was_looked_at_last_counts_not_what_once_was() -> None:
    records = checked(("2026-10-05", "H1", "C M Y K W1 W2", 0), ("2026-10-06", "H1", "C M", 0))
    assert told(records, "H1", "H2") == {"H1": "C M", "H2": "Y K W1 W2"}


def test_a_check_that_names_only_missing_nozzles_leaves_no_channel_out() -> None:
    whole, only_bad = ("2026-10-05", "H1", "C M", 0), ("2026-10-06", "H1", "C", 4)
    assert told(checked(whole, only_bad), "H1", "H2")["H1"] == "C M"
    several = checked(("2026-10-05", "H1", "M", 9), only_bad)
    assert told(several, "H1", "H2")["H1"] == "C M", "none found a channel whole: all of them"


def test_channels_that_the_printer_does_not_name_come_last() -> None:
    records = checked(("2026-10-05", "H1", "varnish K", 0))
    assert told(records, "H1", "H2")["H1"] == "K varnish"
    unnamed = checked(("2026-10-05", "H1", "W1 K", 0), channels="")
    assert printer_channels(unnamed, "Bench") == ("K", "W1")
