"""What people do in a workshop, each as one change that goes in whole and is undone as a whole.

What is written down comes as a small value (``Removal``, ``NewPart``, ``Order`` …). Every function
takes the open store first and returns the number of the change (for ``undo``; None when nothing
differed). Who writes it down, and when, is told by the store (``Store.by``). RecordError says in
one sentence what cannot be, and nothing is written.

>>> import tempfile
>>> from datetime import date
>>> from tracker.store.database import open_store
>>> folder = tempfile.TemporaryDirectory()
>>> with open_store(f"sqlite:///{folder.name}/workshop.sqlite") as store:
...     new = NewPrinter("P1", date(2026, 1, 5), channels="C M Y K W1", usual_parts="new")
...     _ = add_printer(store, new)
...     damper = PartPosition("P1", "damper", "W1")
...     number = change_part(store, damper, Removal(date(2026, 4, 2), "failed"))
...     print(store.records().fittings["removal_reason"].tolist().count("failed"))
...     print(store.undo(number).what)
1
Undid change 2: Changed Damper W1 of P1 (failed)
>>> folder.cleanup()
"""

from tracker.store.acts.beginning import (
    FirstRecords,
    Interval,
    begin_interval,
    begin_routine,
    begin_workshop,
)
from tracker.store.acts.breakdown import (
    Breakdown,
    PartChange,
    WentIn,
    end_stoppage,
    something_broke,
)
from tracker.store.acts.claims import (
    ClaimState,
    claim_part,
)
from tracker.store.acts.closures import (
    Closure,
    change_closure,
    open_again,
    worked_through,
    write_closure,
)
from tracker.store.acts.daily import (
    RoomNote,
    Stoppage,
    TaskDetails,
    begin_stoppage,
    log_nozzle_check,
    log_tasks,
    note_room,
    read_counter,
)
from tracker.store.acts.experiments import (
    end_experiment,
    start_experiment,
)
from tracker.store.acts.figures import (
    put_setting,
    put_settings,
    state_figures,
)
from tracker.store.acts.names import (
    rename,
)
from tracker.store.acts.once import (
    Earlier,
    LoggedAlready,
)
from tracker.store.acts.parts import (
    NewPart,
    Removal,
    change_part,
    fit_first_part,
    usual_parts,
)
from tracker.store.acts.positions import (
    PartPosition,
)
from tracker.store.acts.printers import (
    NewPrinter,
    UsualParts,
    add_printer,
    retire_printer,
)
from tracker.store.acts.reasons import (
    call_symptom,
    confirm_planned,
    say_why,
)
from tracker.store.acts.review_list import (
    NewAction,
    drop_action,
    edit_action,
    finish_action,
    keep_actions,
    move_action_up,
    reopen_action,
    write_action,
    write_note,
)
from tracker.store.acts.shelf import (
    Delivery,
    Movement,
    Order,
    count_stock,
    move_stock,
    name_type,
    place_order,
    receive_order,
)

__all__ = [
    "Breakdown",
    "ClaimState",
    "Closure",
    "Delivery",
    "Earlier",
    "FirstRecords",
    "Interval",
    "LoggedAlready",
    "Movement",
    "NewAction",
    "NewPart",
    "NewPrinter",
    "Order",
    "PartChange",
    "PartPosition",
    "Removal",
    "RoomNote",
    "Stoppage",
    "TaskDetails",
    "UsualParts",
    "WentIn",
    "add_printer",
    "begin_interval",
    "begin_routine",
    "begin_stoppage",
    "begin_workshop",
    "call_symptom",
    "change_closure",
    "change_part",
    "claim_part",
    "confirm_planned",
    "count_stock",
    "drop_action",
    "edit_action",
    "end_experiment",
    "end_stoppage",
    "finish_action",
    "fit_first_part",
    "keep_actions",
    "log_nozzle_check",
    "log_tasks",
    "move_action_up",
    "move_stock",
    "name_type",
    "note_room",
    "open_again",
    "place_order",
    "put_setting",
    "put_settings",
    "read_counter",
    "receive_order",
    "rename",
    "reopen_action",
    "retire_printer",
    "say_why",
    "something_broke",
    "start_experiment",
    "state_figures",
    "usual_parts",
    "worked_through",
    "write_action",
    "write_closure",
    "write_note",
]
