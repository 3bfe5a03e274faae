"""Sheets of part changes: wide ones, lists of changes, several languages' words and days."""

from __future__ import annotations

from tests.intake.untidy.sheet import Untidy, rows

PART = "printer, part_kind, position, fitted_on, removed_on"
SET = ("C", "M", "Y", "K", "W1", "W2")


def _all_dampers(printer: str, fitted: str, removed: str = "") -> str:
    return "\n".join(f"{printer}, damper, {place}, {fitted}, {removed}" for place in SET)


CHANGES = (
    Untidy(
        "tasks and changed parts in one list, Italian participles",
        "lavori.csv",
        "Data;Stampante;Lavoro\n13/01/2026;Left;pulizia testina\n"
        "14/01/2026;Right;cambiato tergitestina\n15/01/2026;Left;sostituito smorzatore W2\n",
        {
            "maintenance": rows("printer, task, done_on", "Left, head_clean, 2026-01-13"),
            "fittings": rows(
                PART,
                "Right, wiper, wiper, 2026-01-14,\nLeft, damper, W2, 2026-01-15,",
            ),
        },
        {"|why": "planned"},
    ),
    Untidy(
        "two columns of one heading, the second the later change",
        "heads.csv",
        "Printer,Installed head,Installed head,Wiper\nLeft,12.01.2026,20.6.2026,3.3.2026\n",
        {
            "fittings": rows(
                PART,
                """
                Left, head, H1, 2026-01-12, 2026-06-20
                Left, head, H1, 2026-06-20,
                Left, wiper, wiper, 2026-03-03,
                """,
            )
        },
    ),
    Untidy(
        "cells that say that nothing is known, a count below, month first",
        "us.csv",
        "Printer,Cap changed,Head changed,Pump\nLeft,12/31/2025,n/a,02/03/2026\n"
        "Right,-,04/05/2026,\nCount,1,1,1\n",
        {
            "fittings": rows(
                PART,
                """
                Left, cap, cap, 2025-12-31,
                Left, pump, pump, 2026-02-03,
                Right, head, H1, 2026-04-05,
                """,
            )
        },
        aside=(4,),
        says=("month first",),
    ),
    Untidy(
        "positions down and changes across, Italian, two-digit years",
        "smorzatori.csv",
        "Left;;;\nSmorzatore;1° cambio;2° cambio;3° cambio\nW1;15.01.26;20.04.26;30.07.26\n"
        "W2;15.01.26;;\nK;;28.06.26;\n",
        {
            "fittings": rows(
                PART,
                """
                Left, damper, W1, 2026-01-15, 2026-04-20
                Left, damper, W1, 2026-04-20, 2026-07-30
                Left, damper, W1, 2026-07-30,
                Left, damper, W2, 2026-01-15,
                Left, damper, K, 2026-06-28,
                """,
            )
        },
        {"|roles": "yes"},
        aside=(1,),
    ),
    Untidy(
        "a numbered list of changes with a slip in a printer's name and words for why",
        "repairs.csv",
        "No.;Date;Printer;What was replaced;Because\n1;2026-01-05;Left;white damper W1;worn\n"
        "2;2026-02-07;Rihgt;print head;head strike\n3;2026-03-09;Right;wiper;planned\n",
        {
            "fittings": rows(
                PART + ", removal_reason",
                """
                Left, damper, W1, , 2026-01-05, failed
                Left, damper, W1, 2026-01-05, ,
                Right, head, H1, , 2026-02-07, accident
                Right, head, H1, 2026-02-07, ,
                Right, wiper, wiper, , 2026-03-09, planned
                Right, wiper, wiper, 2026-03-09, ,
                """,
            )
        },
        {"name|Rihgt": "Right", "|roles": "yes", "|is": "fittings"},
    ),
    Untidy(
        "one row per printer, one column per part, titles above and a note below, English",
        "parts.csv",
        "Our printers - what was changed last\nas of 20 November 2026\n\n"
        "Printer,Installed head,Dampers changed,Wiper,Cap\n"
        "Left,12 January 2026,3 March 2026,14 April 2026,\n"
        "Right,2 February 2026,,30 May 2026,1 June 2026\n\n"
        "ask Tom about the pump,,,,\n",
        {
            "fittings": rows(
                PART,
                f"""
                Left, head, H1, 2026-01-12,
                {_all_dampers("Left", "2026-03-03")}
                Left, wiper, wiper, 2026-04-14,
                Right, head, H1, 2026-02-02,
                Right, wiper, wiper, 2026-05-30,
                Right, cap, cap, 2026-06-01,
                """,
            )
        },
        aside=(1, 2, 8),
    ),
    Untidy(
        "one row per printer, German words, days that read one way only in one column",
        "Teile.csv",
        "Drucker;Druckkopf eingebaut;Wischer gewechselt;Pumpe\n"
        "Left;31.01.2026;05.06.2026;\nRight;04.03.2026;07.08.2026;30.09.2026\n",
        {
            "fittings": rows(
                PART,
                """
                Left, head, H1, 2026-01-31,
                Left, wiper, wiper, 2026-06-05,
                Right, head, H1, 2026-03-04,
                Right, wiper, wiper, 2026-08-07,
                Right, pump, pump, 2026-09-30,
                """,
            )
        },
    ),
    Untidy(
        "parts down and printers across, months in French words",
        "pieces.csv",
        "Pièce;Left;Right\nTête d'impression;3 février 2026;12 mars 2026\n"
        "Amortisseur W1;1er août 2026;\nRacle;;15 décembre 2025\n",
        {
            "fittings": rows(
                PART,
                """
                Left, head, H1, 2026-02-03,
                Right, head, H1, 2026-03-12,
                Left, damper, W1, 2026-08-01,
                Right, wiper, wiper, 2025-12-15,
                """,
            )
        },
    ),
    Untidy(
        "a row for each change, Spanish, reasons in words",
        "cambios.csv",
        "Fecha;Impresora;Pieza;Posición;Motivo;Proveedor\n"
        "3 de enero de 2026;Left;amortiguador;W1;roto;Norte\n"
        "20 de marzo de 2026;Left;amortiguador;W1;planificado;Sur\n"
        "5 de mayo de 2026;Right;cabezal;H1;roto;Norte\n",
        {
            "fittings": rows(
                PART + ", removal_reason, supplier",
                """
                Left, damper, W1, , 2026-01-03, failed,
                Left, damper, W1, 2026-01-03, 2026-03-20, planned, Norte
                Left, damper, W1, 2026-03-20, , , Sur
                Right, head, H1, , 2026-05-05, failed,
                Right, head, H1, 2026-05-05, , , Norte
                """,
            )
        },
        {"|words": "yes"},
    ),
    Untidy(
        "from day to day, Italian, prices with a decimal comma and a currency sign",
        "ricambi.csv",
        "Stampante;Ricambio;Posizione;Montato il;Smontato il;Motivo;Prezzo\n"
        'Left;testina;H1;07/01/2025;19/02/2026;guasto;"1.234,50 €"\n'
        'Left;testina;H1;19/02/2026;;;"1.180,00 €"\nRight;tappo;cap;28/05/2026;;;"35,90 €"\n',
        {
            "fittings": rows(
                PART + ", removal_reason, unit_cost",
                """
                Left, head, H1, 2025-01-07, 2026-02-19, failed, 1234.5
                Left, head, H1, 2026-02-19, , , 1180
                Right, cap, cap, 2026-05-28, , , 35.9
                """,
            )
        },
        {"|words": "yes"},
    ),
    Untidy(
        "days without a year, which is asked",
        "this year.csv",
        "Printer,Wiper changed,Head changed\nLeft,3 March,\nLeft,9 Aug,\nRight,,1 July\n",
        {
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, 2026-03-03, 2026-08-09
                Left, wiper, wiper, 2026-08-09,
                Right, head, H1, 2026-07-01,
                """,
            )
        },
        {"|year": "2026"},
    ),
    Untidy(
        "tasks and changed parts in one list, free words, German",
        "Logbuch.csv",
        "Wann;Drucker;Was;Wer\n28.02.2026;Left;Dämpfer geschüttelt;AB\n"
        "01.03.2026;Left;Wischer gewechselt;AB\n02.03.2026;Right;Druckkopf getauscht;Firma\n"
        "03.03.2026;Right;Resttank geleert;CD\n04.03.2026;Left;Dämpfer W2 neu;\n",
        {
            "maintenance": rows(
                "printer, task, done_on, done_by",
                """
                Left, shake_dampers, 2026-02-28, AB
                Right, empty_waste, 2026-03-03, CD
                """,
            ),
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, 2026-03-01,
                Right, head, H1, 2026-03-02,
                Left, damper, W2, 2026-03-04,
                """,
            ),
        },
        {"|why": "planned"},
    ),
    Untidy(
        "several days in one cell, and dampers by channel",
        "history.csv",
        "Printer;Wiper changed;Damper W1 changed\n"
        "Left;5.1.2026, 15.3.2026, 20.6.2026;31.1.2026\nRight;28.2.2026;\n",
        {
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, 2026-01-05, 2026-03-15
                Left, wiper, wiper, 2026-03-15, 2026-06-20
                Left, wiper, wiper, 2026-06-20,
                Left, damper, W1, 2026-01-31,
                Right, wiper, wiper, 2026-02-28,
                """,
            )
        },
    ),
    Untidy(
        "a list with its header again under each printer's name",
        "changed.csv",
        "Left,,\nDate changed,Part,Reason\n2026-01-05,wiper,worn\n2026-02-05,cap,planned\n,,\n"
        "Right,,\nDate changed,Part,Reason\n2026-01-08,wiper,worn\n",
        {
            "fittings": rows(
                PART + ", removal_reason",
                """
                Left, wiper, wiper, , 2026-01-05, failed
                Left, wiper, wiper, 2026-01-05, ,
                Left, cap, cap, , 2026-02-05, planned
                Left, cap, cap, 2026-02-05, ,
                Right, wiper, wiper, , 2026-01-08, failed
                Right, wiper, wiper, 2026-01-08, ,
                """,
            )
        },
        aside=(1, 6, 7),
    ),
    Untidy(
        "the header again under names nobody wrote down yet, without a gap, German",
        "Wechsel.csv",
        "Nord;;\nGewechselt am;Teil;Bemerkung\n13.01.2026;Abstreifer;hart\n"
        "14.02.2026;Kappe;\nSüd;;\nGewechselt am;Teil;Bemerkung\n15.01.2026;Abstreifer;\n",
        {
            "printers": rows("printer, started_on", "Nord, 2026-01-13\nSüd, 2026-01-15"),
            "fittings": rows(
                PART + ", note",
                """
                Nord, wiper, wiper, 2026-01-13, , hart
                Nord, cap, cap, 2026-02-14, ,
                Süd, wiper, wiper, 2026-01-15, ,
                """,
            ),
        },
        {"names|": "yes"},
        aside=(1, 5),
    ),
    Untidy(
        "a part of both printers, a set of all, Spanish",
        "cambios.csv",
        "Impresora;Pieza;Cambiado el\nambas;limpiador;05/01/2026\nLeft;capuchón;15/01/2026\n"
        "todas las impresoras;amortiguadores;20/02/2026\n",
        {
            "fittings": rows(
                PART,
                "Left, wiper, wiper, 2026-01-05,\nRight, wiper, wiper, 2026-01-05,\n"
                "Left, cap, cap, 2026-01-15,\n"
                + _all_dampers("Left", "2026-02-20")
                + "\n"
                + _all_dampers("Right", "2026-02-20"),
            )
        },
        {"names|": "yes"},
    ),
)
