"""Words and numbers as people of several languages type them after a command."""

from __future__ import annotations

import argparse

import pytest

from tracker.commands.parser import typed
from tracker.commands.typed_words import known_task, part_kind
from tracker.errors import UsageError
from tracker.language import speaking
from tracker.workshop.records import Records


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("head", "head"),
        ("Cabezal", "head"),
        ("cabezales de impresión", "head"),
        ("dámper", "damper"),
    ],
)
def test_a_part_is_known_by_its_name_its_label_and_the_words_of_sheets(
    word: str, kind: str
) -> None:
    with speaking("es"):
        assert part_kind(word, Records()) == kind


def test_an_unknown_part_is_told_the_labels_that_would_do() -> None:
    with speaking("es"), pytest.raises(UsageError, match="'tostadora'; se conocen Absorbente"):
        part_kind("tostadora", Records())


def test_a_task_is_known_by_its_name_and_its_label() -> None:
    tasks = ("stir_ink", "shake_dampers")
    assert known_task("shake_dampers", tasks) == "shake_dampers"
    with speaking("es"):
        assert known_task("Agitar los dámpers y extraer el aire", tasks) == "shake_dampers"
        with pytest.raises(UsageError, match="Remover o agitar la tinta blanca"):
            known_task("dust it", tasks)


def test_a_number_is_read_with_a_decimal_comma_and_never_with_its_thousands_lost() -> None:
    assert typed.chance("0,95") == typed.chance("0.95") == 0.95
    assert typed.chance("0.125") == 0.125
    assert typed.amount("1500") == 1500
    for two_ways in ("1.500", "1,500", "12.500.000"):
        with pytest.raises(argparse.ArgumentTypeError, match="reads two ways; write it without"):
            typed.amount(two_ways)
    with speaking("es"), pytest.raises(argparse.ArgumentTypeError, match="como 0,95"):
        typed.chance("95")
