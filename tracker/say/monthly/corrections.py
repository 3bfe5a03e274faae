"""What was written down or corrected since a review could first be made, in words."""

from __future__ import annotations

from collections.abc import Mapping

from tracker.language import _, month_name
from tracker.review.corrected import Corrections
from tracker.say import numbers


def corrections_sentence(found: Corrections | None) -> str:
    """What was written down or corrected since a review could first be made; "" where nothing."""
    if found is None:
        return ""
    groups = [
        _(
            "{records} {of_when} ({changes})",
            records=numbers.count(sum(counts.values()), "record", "records"),
            of_when=of_when,
            changes=_changes(counts),
        )
        for counts, of_when in (
            (found.of_month, _("of {month}", month=month_name(found.month))),
            (found.earlier, _("of earlier months")),
            (found.undated, _("that hold for every month")),
        )
        if counts
    ]
    files = [
        _(
            "{what} on {on} ({records})",
            what=load.what,
            on=numbers.day(load.on),
            records=numbers.count(load.records, "record", "records"),
        )
        for load in found.taken_back
    ]
    sentences = []
    if groups:
        since = numbers.day(found.since)
        sentences.append(
            _(
                "Written down or corrected after {since}: {groups}.",
                since=since,
                groups="; ".join(groups),
            )
        )
    if files:
        sentences.append(_("Files taken back since then: {files}.", files="; ".join(files)))
    if not sentences:
        return ""
    sentences.append(
        _(
            "So this review, computed again, can differ from the one first made; without "
            "these changes every figure would be the same."
        )
    )
    return " ".join(sentences)


def _changes(counts: Mapping[tuple[str, str], int]) -> str:
    """How many records of which table were added, corrected or removed."""
    return ", ".join(
        _change(verb, _records_of(table, number))
        for (table, verb), number in sorted(counts.items())
    )


def _change(verb: str, records: str) -> str:
    match verb:
        case "added":
            return _("{records} added", records=records)
        case "removed":
            return _("{records} removed", records=records)
        case _:
            return _("{records} corrected", records=records)


def _records_of(table: str, number: int) -> str:
    """So many records of a table, by the name that people call them."""
    count = numbers.count
    match table:
        case "printers":
            return count(number, "printer", "printers")
        case "fittings":
            return count(number, "part change", "part changes")
        case "maintenance":
            return count(number, "maintenance entry", "maintenance entries")
        case "counters":
            return count(number, "counter reading", "counter readings")
        case "nozzle_checks":
            return count(number, "nozzle check", "nozzle checks")
        case "stoppages":
            return count(number, "stoppage", "stoppages")
        case "stock":
            return count(number, "stock movement", "stock movements")
        case "orders":
            return count(number, "order", "orders")
        case "closures":
            return count(number, "closure", "closures")
        case "conditions":
            return count(number, "note on conditions", "notes on conditions")
        case "parts":
            return count(number, "price or part fact", "prices or part facts")
        case "routines":
            return count(number, "routine", "routines")
        case "experiments":
            return count(number, "step of an experiment", "steps of an experiment")
        case "settings":
            return count(number, "setting", "settings")
        case _:
            return count(number, table, f"{table}s")
