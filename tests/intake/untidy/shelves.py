"""Stock, orders and the catalogue as workshops list them."""

from __future__ import annotations

from tests.intake.sheets import book
from tests.intake.untidy.sheet import WORKSHOP, Refused, Untidy, rows
from tracker.intake.reading import Mends

_WITH_TYPES = WORKSHOP.with_table(
    "printers", WORKSHOP.printers.assign(head_type=["6-channel", "8-channel"])
)
SHELVES = (
    Untidy(
        "pieces with their unit, prices with the currency before them, used without a minus",
        "moves.csv",
        "Part;Date;Quantity;Reason;Price\ndamper;2.3.2026;10 pcs;received;€ 6,50\n"
        "wiper;31.3.2026;2 pcs;used;\n",
        {
            "stock": rows(
                "part_kind, moved_on, quantity, reason, unit_cost",
                "damper, 2026-03-02, 10, received, 6.5\nwiper, 2026-03-31, -2, used,",
            )
        },
        refused=(Refused(3, "Quantity", "write -2"),),
        mends=Mends({("moves.csv", "", 3, 3): "-2"}),
    ),
    Untidy(
        "a count of the shelf without a day",
        "shelf 28 November.csv",
        "Part;On the shelf\nHead;1\nDamper;14\nWiper;3\nTotal;18\n",
        {
            "stock": rows(
                "part_kind, moved_on, quantity, reason",
                """
                head, 2026-11-28, 1, counted
                damper, 2026-11-28, 14, counted
                wiper, 2026-11-28, 3, counted
                """,
            )
        },
        {"|is": "stock", ":quantity:": "On the shelf", "moved_on": "2026-11-28"},
        aside=(5,),
    ),
    Untidy(
        "what lies there and delivery side by side, German",
        "Lager.csv",
        "Ersatzteile\nTeil;Bestand;gezählt am;Lieferzeit (Tage);Stückpreis\n"
        "Druckkopf;1;20.11.2026;21;980,00\nDämpfer;14;20.11.2026;10;7,50\n",
        {
            "stock": rows(
                "part_kind, moved_on, quantity, reason",
                "head, 2026-11-20, 1, counted\ndamper, 2026-11-20, 14, counted",
            ),
            "parts": rows("part_kind, lead_days, unit_cost", "head, 21, 980\ndamper, 10, 7.5"),
        },
        aside=(1,),
    ),
    Untidy(
        "delivery days beside what lies there, without a day",
        "spares.csv",
        "Part,In stock,Supplier,Delivery days\nHead,1,Nord,21\nWiper,3,Sud,7\n",
        {
            "stock": rows(
                "part_kind, moved_on, quantity, reason",
                "head, 2026-11-27, 1, counted\nwiper, 2026-11-27, 3, counted",
            ),
            "parts": rows("part_kind, lead_days", "head, 21\nwiper, 7"),
        },
        {"moved_on": "2026-11-27"},
        says=("Supplier",),
    ),
    Untidy(
        "a catalogue whose pieces may be those of a pack or those that lie there",
        "catalogue.csv",
        "Part,Qty,Lead time (days),Price\nHead,1,21,980\nDamper,6,10,7.5\n",
        {"parts": rows("part_kind, lead_days, unit_cost", "head, 21, 980\ndamper, 10, 7.5")},
        {"|stock|Qty": "leave out"},
        says=("not read, for the parts have no such column: Qty",),
    ),
    Untidy(
        "a shelf under a title that says it was counted, heads by their type",
        "shelf.csv",
        "What lies there - counted 28 October 2026\nArticle,Quantity,Date\n"
        "8-channel head,1,2026-10-28\nDamper,12,2026-10-28\n",
        {
            "stock": rows(
                "part_kind, variant, moved_on, quantity, reason",
                "head, 8-channel, 2026-10-28, 1, counted\ndamper, , 2026-10-28, 12, counted",
            )
        },
        {"|is": "stock", "word|part_kind|8-channel head": "head"},
        known=_WITH_TYPES,
        aside=(1,),
    ),
    Untidy(
        "orders of heads by their type beside a shelf whose day is headed as a count",
        "parts.xlsx",
        book(
            {
                "Shelf": [
                    ["Article", "Quantity", "Counted on"],
                    ["6-channel head", 2, "2026-10-28"],
                    ["Cap", 0, "2026-10-28"],
                ],
                "Orders": [
                    ["Article", "Quantity", "Ordered on", "Variant"],
                    ["8-channel head", 1, "2026-10-20", None],
                    ["6-channel head", 1, "2026-10-21", "6-channel"],
                    ["Damper", 10, "2026-10-22", None],
                ],
            }
        ),
        {
            "stock": rows(
                "part_kind, variant, moved_on, quantity, reason",
                "head, 6-channel, 2026-10-28, 2, counted\ncap, , 2026-10-28, 0, counted",
            ),
            "orders": rows(
                "part_kind, variant, ordered_on, quantity",
                """
                head, 8-channel, 2026-10-20, 1
                head, 6-channel, 2026-10-21, 1
                damper, , 2026-10-22, 10
                """,
            ),
        },
        {"|stock|words of cells": "yes", "|orders|words of cells": "yes", "word|": "head"},
        known=_WITH_TYPES,
    ),
    Untidy(
        "a bar code was scanned into the quantity",
        "stock.csv",
        "Part,Date,Quantity,Reason\ndamper,2026-03-02,8,received\nwiper,2026-03-02,"
        "4901234567894,received\ndamper,2026-03-09,-2,used\n",
        {
            "stock": rows(
                "part_kind, moved_on, quantity, reason",
                """
                damper, 2026-03-02, 8, received
                wiper, 2026-03-02, 3, received
                damper, 2026-03-09, -2, used
                """,
            )
        },
        refused=(Refused(3, "Quantity", "4901234567894"),),
        mends=Mends({("stock.csv", "", 3, 3): "3"}),
    ),
    Untidy(
        "orders in French with prices, a blank row and a sum",
        "Commandes.csv",
        "Commandes 2026\nPièce;Commandé le;Quantité;Reçu le;Fournisseur;Prix unitaire\n"
        "Tête;15 janvier 2026;1;12 février 2026;Nord;1 050,00 €\n"
        "Amortisseur;15 janvier 2026;10;;Nord;6,50 €\n;;;;;\nTotal;;11;;;\n",
        {
            "orders": rows(
                "part_kind, ordered_on, quantity, received_on, supplier, unit_cost",
                """
                head, 2026-01-15, 1, 2026-02-12, Nord, 1050
                damper, 2026-01-15, 10, , Nord, 6.5
                """,
            )
        },
        aside=(1, 6),
    ),
    Untidy(
        "a catalogue with units in the headings, German",
        "Katalog.csv",
        "Teil;Stückpreis (€);Lieferzeit (Tage);Packung\nDruckkopf;980,00;21;1\n"
        "Dämpfer;7,50;10;6\nWischer;9;10;1\n",
        {
            "parts": rows(
                "part_kind, unit_cost, lead_days, pack_size",
                "head, 980, 21, 1\ndamper, 7.5, 10, 6\nwiper, 9, 10, 1",
            )
        },
        {"|roles": "yes", ":columns": "unit_cost"},
    ),
)
