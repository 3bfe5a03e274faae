"""A workshop whose every text is an attack on the page that shows it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tests.hands import by
from tracker.intake.exchange import read_folder
from tracker.store.database import open_store
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

ROOT = Path(__file__).parent.parent
ELSEWHERE = "evil.example"
# Markdown's picture and marks, HTML's, and a formula of a spreadsheet; without spaces, for some
# words stand in lists.
ATTACK = (
    f"![i](http://{ELSEWHERE}/i.png)<img/src=//{ELSEWHERE}/h.png><b>b</b>"
    "*e*-**s**:material/home:$x^2$"
)
# What the program itself reads; a printer's channels name its dampers' positions.
_KEPT = {"name", "channels", "channel", "replaced_with", "made_from"}
_KEPT_VALUES = {"position": {"H1", "H2"}}
_SETTING = "workshop"  # the one setting that is free text
_OWN_KIND, _OWN_TASK = "encoder", "wipe_encoder"  # as if the workshop had added them


def hostile(records: Records) -> Records:
    """The same workshop, each word of its own an attack, the same word always the same one."""
    inks = set(" ".join(records.printers["channels"]).split())
    tables = {}
    for table in TABLES:
        frame = records.table(table.name).copy()
        for column in table.columns:
            name, values = column.name, frame[column.name]
            if table.name == "settings":
                free = frame["name"] == _SETTING
                frame["value"] = frame["value"].where(~free, attacked("Larkfield"))
            elif name in ("part_kind", "task"):
                own = values.isin([_OWN_KIND, _OWN_TASK])
                frame[name] = values.where(~own, values.map(attacked))
            elif column.kind == "text" and name not in _KEPT:
                kept = _KEPT_VALUES.get(name, set()) | (inks if name == "position" else set())
                frame[name] = [text if text in kept else attacked(text) for text in values]
        tables[table.name] = frame
    return replace(records, **tables)


def attacked(text: str) -> str:
    """The word followed by the attack; also a formula, if a spreadsheet program reads it."""
    return f"={text}{ATTACK}" if text else ""


def hostile_demo() -> Records:
    """The demo workshop made hostile."""
    return hostile(read_folder(ROOT / "sample_data"))


def write_hostile_workshop(folder: Path) -> None:
    """The hostile demo as the folder's own workshop, from a hostile file by a hostile name."""
    with open_store(f"sqlite:///{folder / 'workshop.sqlite'}") as store:
        by(store, f"Eve {ATTACK}").load(hostile_demo(), f"attack {ATTACK}")
