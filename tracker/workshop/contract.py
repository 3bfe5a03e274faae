"""The tables a workshop writes down, each column declared once.

Everything that needs to know a table reads it here: the database, spreadsheets in and out, the
checks, the entry forms. The same contract is used for export, so a round trip loses nothing.
"""

from __future__ import annotations

from tracker.language import N_
from tracker.workshop import limits
from tracker.workshop import vocabulary as words
from tracker.workshop.declarations import Column, Table

_PRINTER = Column("printer", "text", N_("name of the printer"), required=True)
_PART_KIND = Column(
    "part_kind",
    "choice",
    N_("kind of part"),
    required=True,
    choices=words.BUILT_IN_PART_KINDS,
    open_choices=True,
)
_TASK = Column(
    "task",
    "choice",
    N_("maintenance task"),
    required=True,
    choices=words.BUILT_IN_TASKS,
    open_choices=True,
)
_NOTE = Column("note", "text", N_("anything worth remembering"))
_VARIANT = Column("variant", "text", N_("type of the part, e.g. six-channel head; empty for any"))
_UNIT_COST = Column("unit_cost", "money", N_("price of one piece"), at_least=0, limit=limits.PRICE)

PRINTERS = Table(
    "printers",
    N_("The printers and their channels"),
    (
        _PRINTER,
        Column("started_on", "day", N_("first day in the workshop"), required=True),
        Column("site", "text", N_("where it stands")),
        Column("model", "text", N_("model of the printer")),
        Column("head_type", "text", N_("type of printhead it takes")),
        Column("retired_on", "day", N_("day it left the workshop")),
        Column("channels", "text", N_("ink channels, space-separated, e.g. C M Y K W1 W2")),
    ),
    key=("printer",),
    happened_on="started_on",
    known_later=(("retired_on", "retired_on"),),
)

FITTINGS = Table(
    "fittings",
    N_("Which part was in which position from when to when, and why it came out"),
    (
        _PRINTER,
        _PART_KIND,
        Column("position", "text", N_("place in the printer, e.g. H1, W1, wiper"), required=True),
        Column(
            "fitted_on",
            "day",
            N_(
                "day it went in; empty when it was in before the log began and the day is not known"
            ),
        ),
        Column(
            "fitted_counter_m2",
            "number",
            N_("printed-area counter when it went in"),
            at_least=0,
            limit=limits.COUNTER_AREA,
            unit="m²",
        ),
        Column("removed_on", "day", N_("day it came out")),
        Column(
            "removed_counter_m2",
            "number",
            N_("printed-area counter when it came out"),
            at_least=0,
            limit=limits.COUNTER_AREA,
            unit="m²",
        ),
        Column("removal_reason", "choice", N_("why it came out"), choices=words.REMOVAL_REASONS),
        Column("failure_mode", "text", N_("how it failed")),
        Column("last_ok_on", "day", N_("last day it was seen good before the failure was found")),
        Column("serial", "text", N_("serial number")),
        Column("supplier", "text", N_("who sold it")),
        Column("batch", "text", N_("batch or lot")),
        _UNIT_COST,
        Column(
            "variant", "text", N_("type of the part; empty for a head: the printer's head type")
        ),
        Column(
            "age_guess_days",
            "number",
            N_("rough age on the log's first day, where the fitting day is not known"),
            at_least=0,
            limit=limits.LONG_TIME,
            unit=N_("days"),
        ),
        Column("claim", "choice", N_("warranty claim"), choices=words.CLAIM_STATES),
        Column(
            "claim_amount",
            "money",
            N_("amount claimed or credited"),
            at_least=0,
            limit=limits.PRICE,
        ),
        _NOTE,
    ),
    key=("printer", "part_kind", "position", "fitted_on"),
    happened_on="fitted_on",
    known_later=(
        ("claim", "removed_on"),
        ("claim_amount", "removed_on"),
        ("removed_counter_m2", "removed_on"),
        ("removal_reason", "removed_on"),
        ("failure_mode", "removed_on"),
        ("last_ok_on", "removed_on"),
        ("removed_on", "removed_on"),
    ),
)

MAINTENANCE = Table(
    "maintenance",
    N_("Maintenance actions, planned or because of a symptom"),
    (
        _PRINTER,
        _TASK,
        Column("done_on", "day", N_("day it was done"), required=True),
        Column(
            "why",
            "choice",
            N_("planned, or because of a symptom"),
            required=True,
            choices=words.MAINTENANCE_REASONS,
        ),
        Column("position", "text", N_("which part it was done to, when not the whole printer")),
        Column(
            "minutes", "number", N_("time it took"), at_least=0, limit=limits.MINUTES, unit="min"
        ),
        Column(
            "fluid_ml",
            "number",
            N_("cleaning fluid or ink used"),
            at_least=0,
            limit=limits.FLUID,
            unit="ml",
        ),
        Column("done_by", "text", N_("who did it")),
        _NOTE,
    ),
    key=("printer", "task", "done_on", "why", "position"),
    happened_on="done_on",
)

COUNTERS = Table(
    "counters",
    N_("Readings of the printed-area counter"),
    (
        _PRINTER,
        Column("read_on", "day", N_("day of the reading"), required=True),
        Column(
            "area_m2",
            "number",
            N_("running total"),
            required=True,
            at_least=0,
            limit=limits.COUNTER_AREA,
            unit="m²",
        ),
        Column(
            "carried_m2",
            "number",
            N_("of that, what counters printed that were replaced since"),
            at_least=0,
            limit=limits.COUNTER_AREA,
            unit="m²",
        ),
    ),
    key=("printer", "read_on"),
    happened_on="read_on",
)

NOZZLE_CHECKS = Table(
    "nozzle_checks",
    N_("Nozzle checks: how many nozzles were missing"),
    (
        _PRINTER,
        Column("checked_on", "day", N_("day of the check"), required=True),
        Column("position", "text", N_("head position, e.g. H1"), required=True),
        Column("channel", "text", N_("ink channel, e.g. K or W1"), required=True),
        Column(
            "missing_nozzles",
            "whole",
            N_("nozzles missing"),
            required=True,
            at_least=0,
            limit=limits.NOZZLES,
        ),
    ),
    key=("printer", "checked_on", "position", "channel"),
    happened_on="checked_on",
)

STOPPAGES = Table(
    "stoppages",
    N_("Times a printer stood still"),
    (
        _PRINTER,
        Column("began_at", "moment", N_("when it stopped"), required=True),
        Column("ended_at", "moment", N_("when it ran again")),
        Column("cause", "text", N_("why it stood still")),
        Column(
            "part_kind",
            "choice",
            N_("part that caused it"),
            choices=words.BUILT_IN_PART_KINDS,
            open_choices=True,
        ),
        Column(
            "scrap_cost", "money", N_("spoiled film and garments"), at_least=0, limit=limits.PRICE
        ),
        Column(
            "began_pass",
            "choice",
            N_("which of two, where the clock was put back and showed that time twice"),
            choices=(words.FIRST_PASS, words.SECOND_PASS),
        ),
        Column(
            "ended_pass",
            "choice",
            N_("which of two, where the clock was put back and showed that time twice"),
            choices=(words.FIRST_PASS, words.SECOND_PASS),
        ),
        _NOTE,
    ),
    key=("printer", "began_at"),
    happened_on="began_at",
    known_later=(("ended_pass", "ended_at"), ("ended_at", "ended_at")),
)

STOCK = Table(
    "stock",
    N_("What went on the shelf and what came off it"),
    (
        _PART_KIND,
        _VARIANT,
        Column("moved_on", "day", N_("day of the movement"), required=True),
        Column(
            "quantity",
            "whole",
            N_("pieces; negative when taken from the shelf"),
            required=True,
            at_least=-limits.PIECES.at_most,
            limit=limits.PIECES,
        ),
        Column("reason", "choice", N_("why it moved"), choices=words.STOCK_REASONS),
        _UNIT_COST,
        Column("best_before", "day", N_("use before this day")),
        Column(
            "counted",
            "whole",
            N_("pieces that lay there when they were counted"),
            at_least=0,
            limit=limits.PIECES,
        ),
    ),
    key=("part_kind", "variant", "moved_on", "quantity", "reason"),
    happened_on="moved_on",
)

ORDERS = Table(
    "orders",
    N_("Parts ordered, expected and received"),
    (
        _PART_KIND,
        _VARIANT,
        Column(
            "quantity",
            "whole",
            N_("pieces ordered"),
            required=True,
            at_least=1,
            limit=limits.PIECES,
        ),
        Column("ordered_on", "day", N_("day of the order"), required=True),
        Column("expected_on", "day", N_("day the supplier promised")),
        Column("received_on", "day", N_("day it arrived")),
        Column("supplier", "text", N_("who sells it")),
        _UNIT_COST,
    ),
    key=("part_kind", "variant", "ordered_on", "supplier", "quantity"),
    happened_on="ordered_on",
    known_later=(("received_on", "received_on"),),
)

PARTS = Table(
    "parts",
    N_("The parts catalogue: prices, delivery, shelf life and what you believe about lives"),
    (
        _PART_KIND,
        _VARIANT,
        _UNIT_COST,
        Column("pack_size", "whole", N_("pieces per pack"), at_least=1, limit=limits.PACK),
        Column(
            "lead_days",
            "number",
            N_("usual delivery time"),
            at_least=0,
            limit=limits.DELIVERY,
            unit=N_("days"),
        ),
        Column(
            "lead_days_late",
            "number",
            N_("nine in ten arrive by then"),
            at_least=0,
            limit=limits.DELIVERY,
            unit=N_("days"),
        ),
        Column(
            "shelf_life_days",
            "number",
            N_("how long a spare keeps"),
            at_least=1,
            limit=limits.LONG_TIME,
            unit=N_("days"),
        ),
        Column(
            "warranty_days",
            "number",
            N_("warranty from purchase"),
            at_least=0,
            limit=limits.LONG_TIME,
            unit=N_("days"),
        ),
        Column("replaced_with", "text", N_("the kind whose change takes this one along")),
        Column(
            "typical_life_days",
            "number",
            N_("what you believe it lasts"),
            at_least=1,
            limit=limits.LONG_TIME,
            unit=N_("days"),
        ),
        Column(
            "belief_failures",
            "number",
            N_("how many failures' worth of evidence your belief counts"),
            at_least=0,
            limit=limits.FAILURES,
        ),
        Column(
            "hours_to_change",
            "number",
            N_("work to change it"),
            at_least=0,
            limit=limits.HOURS,
            unit="h",
        ),
        Column(
            "recovery_minutes",
            "number",
            N_("cleans and test prints after the change, until it prints well"),
            at_least=0,
            limit=limits.MINUTES,
            unit="min",
        ),
        Column(
            "refill_ml",
            "number",
            N_("ink to refill after the change"),
            at_least=0,
            limit=limits.FLUID,
            unit="ml",
        ),
        Column(
            "spoiled_per_failure",
            "money",
            N_("film and garments spoiled by a failure"),
            at_least=0,
            limit=limits.PRICE,
        ),
    ),
    key=("part_kind", "variant"),
    happened_on=None,
)

ROUTINES = Table(
    "routines",
    N_("Which task is due how often, on which printer, from when to when"),
    (
        _TASK,
        Column(
            "every_days",
            "number",
            N_("days between"),
            at_least=0.1,
            limit=limits.DAYS_BETWEEN,
            unit=N_("days"),
        ),
        Column(
            "every_m2",
            "number",
            N_("printed area between"),
            at_least=0.1,
            limit=limits.AREA_BETWEEN,
            unit="m²",
        ),
        Column("printer", "text", N_("one printer; empty for all")),
        Column("starts_on", "day", N_("first day it counts")),
        Column("ends_on", "day", N_("last day it counts")),
        Column(
            "demanded",
            "choice",
            N_("yes where the maker demands it, e.g. for the warranty; empty or no: not"),
            choices=words.DEMANDED,
        ),
    ),
    key=("task", "printer", "starts_on"),
    happened_on=None,
)

EXPERIMENTS = Table(
    "experiments",
    N_("Trials of a task at two intervals: which printer does it how often, from when to when"),
    (
        Column("experiment", "text", N_("name of the experiment"), required=True),
        _TASK,
        Column(
            "part_kind",
            "choice",
            N_("kind of part whose failures are counted"),
            required=True,
            choices=words.BUILT_IN_PART_KINDS,
            open_choices=True,
        ),
        _PRINTER,
        Column(
            "every_days",
            "number",
            N_("days between"),
            required=True,
            at_least=0.1,
            limit=limits.DAYS_BETWEEN,
            unit=N_("days"),
        ),
        Column("starts_on", "day", N_("first day at that interval"), required=True),
        Column("ends_on", "day", N_("last day at that interval"), required=True),
        Column("look_on", "day", N_("day of the one look before the end")),
        _NOTE,
    ),
    key=("experiment", "printer", "starts_on"),
    happened_on=None,
)

CLOSURES = Table(
    "closures",
    N_("Closed days: of the workshop, a site or a printer, or of a supplier, who sends nothing"),
    (
        Column("began_on", "day", N_("first closed day"), required=True),
        Column("ended_on", "day", N_("last closed day"), required=True),
        Column("site", "text", N_("one site; empty for all")),
        Column("printer", "text", N_("one printer; empty for all")),
        Column("supplier", "text", N_("a supplier who sends nothing then; the workshop works")),
        _NOTE,
    ),
    key=("began_on", "site", "printer", "supplier"),
    happened_on="began_on",
)

CONDITIONS = Table(
    "conditions",
    N_("Room and materials from a day on, where noted: humidity, share of white ink, lots in use"),
    (
        _PRINTER,
        Column("noted_on", "day", N_("day of the note"), required=True),
        Column(
            "humidity_percent",
            "number",
            N_("relative humidity of the room"),
            at_least=0,
            limit=limits.PERCENT,
            unit=N_("% RH"),
        ),
        Column(
            "white_share_percent",
            "number",
            N_("share of white in the printed ink"),
            at_least=0,
            limit=limits.PERCENT,
            unit="%",
        ),
        Column("ink_lot", "text", N_("lot of the ink in use from that day on")),
        Column("film_lot", "text", N_("lot of the film in use from that day on")),
        Column("powder_lot", "text", N_("lot of the powder in use from that day on")),
        _NOTE,
    ),
    key=("printer", "noted_on"),
    happened_on="noted_on",
)

_REVIEWED = Column("month", "day", N_("first day of the month under review"), required=True)
_WRITTEN_ON = Column("written_on", "day", N_("day it was written down"), required=True)

ACTIONS = Table(
    "actions",
    N_("What the monthly reviews gave to do: for which month, by whom, done or dropped"),
    (
        _REVIEWED,
        Column("action", "text", N_("what is to be done"), required=True),
        Column("reason", "text", N_("why")),
        Column("assigned_to", "text", N_("who does it")),
        _WRITTEN_ON,
        Column("done_on", "day", N_("day it was done")),
        Column("dropped_on", "day", N_("day it was found not to be needed")),
        Column(
            "place",
            "whole",
            N_("place in the month's list; without one it comes last"),
            at_least=1,
            limit=limits.PLACE,
        ),
        Column("made_from", "text", N_("what the program proposed it from; empty for one's own")),
        _NOTE,
    ),
    key=("month", "action"),
    happened_on="written_on",
    known_later=(("done_on", "done_on"), ("dropped_on", "dropped_on")),
)

REVIEW_NOTES = Table(
    "review_notes",
    N_("What the workshop wrote beside a month's review"),
    (
        _REVIEWED,
        Column("note", "text", N_("the note"), required=True),
        _WRITTEN_ON,
    ),
    key=("month",),
    happened_on="written_on",
)

SETTINGS = Table(
    "settings",
    N_("Settings of the workshop"),
    (
        Column("name", "text", N_("name of the setting"), required=True),
        Column("value", "text", N_("its value"), required=True),
    ),
    key=("name",),
    happened_on=None,
)

TABLES: tuple[Table, ...] = (
    PRINTERS,
    FITTINGS,
    MAINTENANCE,
    COUNTERS,
    NOZZLE_CHECKS,
    STOPPAGES,
    STOCK,
    ORDERS,
    PARTS,
    CLOSURES,
    ROUTINES,
    EXPERIMENTS,
    CONDITIONS,
    ACTIONS,
    REVIEW_NOTES,
    SETTINGS,
)

TABLE_BY_NAME: dict[str, Table] = {table.name: table for table in TABLES}
