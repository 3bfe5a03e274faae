"""Sheets as a Spanish workshop keeps them; its words are common practice, no source."""

from __future__ import annotations

import pytest

from tests.intake.sheets import TODAY, taken
from tracker.errors import UsageError
from tracker.intake.headers.columns import contract_word, match_columns
from tracker.intake.layout.known import Known
from tracker.intake.layout.meaning import meaning_of
from tracker.intake.questions import Answers, Question, said_together, together
from tracker.intake.reading import File, Intake, read_files
from tracker.language import LANGUAGES, speaking
from tracker.say.entering.record_words import column_label
from tracker.workshop.contract import FITTINGS, TABLES
from tracker.workshop.declarations import Table
from tracker.workshop.records import Records

PARTS = """Impresora;Pieza;Sitio;Puesta;Quitada;Motivo;Coste
Sala;cabezal;H1;13/01/2026;23/06/2026;inyectores tapados;389,50 €
Sala;dámper;W1;13/01/2026;23/06/2026;con el cabezal;6,90 €
Sala;limpiador;;13/01/2026;22/05/2026;gastado;7,50 €
Sala;tubo de tinta;W1;13/01/2026;;;12,00 €
Sala;cinta del encoder;;13/01/2026;;;18,00 €
"""


def read(name: str, text: str, answers: Answers | None = None) -> Intake:
    return read_files([File(name, text.encode())], Records(), answers or {}, today=TODAY)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_what_a_screen_heads_a_column_with_is_read_as_that_column(
    table: Table, language: str
) -> None:
    with speaking(language):
        heads = [column_label(column.name) for column in table.columns]
    found = match_columns(heads, table)
    assert [match.column for match in found] == list(table.names)
    assert all(match.is_sure for match in found)


def test_parts_put_in_and_taken_out_are_read_without_a_question_on_words() -> None:
    asked = read("piezas.csv", PARTS).questions
    (names,) = asked
    intake = read("piezas.csv", PARTS, {names.key: names.proposal})
    columns = ("part_kind", "removal_reason", "unit_cost")
    assert sorted(taken(intake, "fittings", *columns)) == [
        ("damper", "with_other", "6.9"),
        ("encoder", "", "18"),
        ("head", "failed", "389.5"),
        ("line", "", "12"),
        ("wiper", "failed", "7.5"),
    ]


def test_a_sheet_of_closed_days_is_known_by_its_headings() -> None:
    sheet = "Día de cierre;Hasta;Nota\n13/10/2026;13/10/2026;Pilar\n03/08/2026;21/08/2026;agosto\n"
    days = taken(read("cierres.csv", sheet), "closures", "began_on", "ended_on")
    assert sorted(days) == [("2026-08-03", "2026-08-21"), ("2026-10-13", "2026-10-13")]


@pytest.mark.parametrize(
    ("said", "reason"),
    [("filtro sucio", "failed"), ("pierde vacío", "failed"), ("con cabezal", "with_other")],
)
def test_why_a_part_came_out_is_read_as_technicians_say_it(said: str, reason: str) -> None:
    assert contract_word(said, FITTINGS.column("removal_reason")) == reason


def test_bleeding_the_dampers_is_not_flushing_the_head() -> None:
    for said, task in (("purgar dámpers", "shake_dampers"), ("purgar cabezal", "flush_in_place")):
        meaning = meaning_of(said, Known(Records()))
        assert meaning is not None
        assert meaning.task == task


@pytest.mark.parametrize("kind", ["Amortiguador de tinta", "Banda del codificador"])
def test_former_names_of_parts_are_still_read_for_sure(kind: str) -> None:
    meaning = meaning_of(kind, Known(Records()))
    assert meaning is not None
    assert meaning.is_sure


def test_a_question_may_be_answered_in_the_language_it_was_put_in() -> None:
    days = Question("done_on", "?", ("day first", "month first"), source="t.csv")
    with speaking("es"):
        assert days.sentence().endswith('Responda "primero el día" o "primero el mes".')
        for said in ("primero el mes", "month first", "Month"):
            assert days.answered({days.key: said}) == "month first"
        with pytest.raises(UsageError, match="una de estas: primero el día, primero el mes"):
            days.answered({days.key: "primero el"})
        key = together("t.csv", [days])
        assert said_together({key: "sí"}, days) == "yes"
