"""Every text of the catalogue is said in every language, whole and with its places."""

from __future__ import annotations

import ast
import re
from collections import Counter
from pathlib import Path

import pytest

from tests.language.catalogues import (
    extracted,
    read,
    room_of,
    sources,
    texts_in,
    translations,
)
from tests.language.scan import called, unwrapped
from tests.test_layers import ROOMS
from tracker.language import LANGUAGES, _, ngettext, speaking
from tracker.language.texts import PLURALS, catalogues
from tracker.sharing import pairing

OTHERS = [language for language in LANGUAGES if language != "en"]
_PLACE = re.compile(r"\{[^{}]*\}")
# Rooms whose texts all go through the catalogue; the others follow.
CONVERTED = (
    *(
        "errors",
        "workshop",
        "store",
        "defects",
        "lives",
        "forecast",
        "decisions",
        "charts",
        "paper",
    ),
    "replay",
    "review",
    "intake",
    "commands",
    "say",
    "pages",
)
# Looks like a text, and is read by the program alone: the file's end and the words.
_NO_TEXT: dict[str, set[str]] = {
    "shell/words.py": {"d MMM y"},
    "forecast/life_scale.py": {"cannot tell"},
    "intake/questions.py": {"swapped days"},
    "intake/sheet.py": {"refused because"},
    "intake/own_words.py": {"{}|{}|words of cells"},
    "layout/meaning.py": {"day of month"},
    "review/proposals.py": {
        "order {} {}",
        "order {} {} {}",
        "claim {} {} {} {}",
        "routine {} {}",
        "stoppages {}",
        "planned {} {} {}",
    },
    "review/printer_trend.py": {"getting worse", "too few to tell", "no sign of getting worse"},
    "replay/findings.py": {"always one on the shelf", "order when it breaks"},
    "forecast/life_summary.py": {"early failures", "cannot tell"},
    "decisions/failure_cost.py": {"own order"},
    "routine/guard_rails.py": {"no life"},
    "routine/effect.py": {"Wald"},
    "whole_routine/told_effects.py": {
        "one pace",
        "never logged",
        "goes along",
        "too little seen",
    },
    "whole_routine/options.py": {"more often", "less often"},
    "paper/svg.py": {"printed page"},
    "paper/blocks.py": {'<{} class="n">', "boxes {}"},
    "paper/log_sheet.py": {"group edge"},
    "pages/log.py": {"Part change"},
    "pages/records.py": {"Browse and correct", "Load files"},
    "forms/order.py": {"Promised for"},
    "forms/stock.py": {"Best before"},
    "start/steps.py": {"Load files"},
    "today/technician.py": {"Due", "Part change", "Routines", "Settings", "Something broke"},
    "paper/calendar_file.py": {"-//Printhead and consumables tracker//EN"},
    # Sources, named as the standards and books name them; units and forms of dates.
    "say/glossary.py": {
        "Meeker and Escobar, Statistical Methods for Reliability Data, 1998",
        "Klein and Moeschberger, Survival Analysis, 2003",
        "Kaplan and Meier 1958; Turnbull 1976",
        "Burnham and Anderson, Model Selection, 2002",
        "Aalen and Johansen 1978",
        "VanderWeele and Ding 2017",
        "{}: wear-out failure",
        "{}: competing risks",
        "{}: predetermined maintenance",
        "prior belief; {}",
        "{}: mean operating time to failure",
        "interval censoring; {}",
        "delayed entry; {}",
        "{}: instantaneous failure rate",
        "{}: failure rate",
    },
    "say/numbers.py": {"{} min", "{} h", "{}{} h", "{} m²", "d MMM y", "d MMM"},
    "say/today.py": {"{} h"},
    # Keys of forms, of their fields and of views: said in the language where they are shown.
    "pages/lives.py": {"Replace on schedule?"},
    "pages/maintenance.py": {"Due"},
    "maintenance/due.py": {"Settings", "Routines"},
    "maintenance/pays.py": {"Try it out"},
    "printer/ahead.py": {"Stoppage", "Part change", "Task done"},
    "printer/now.py": {"Part change"},
    "load/mistakes.py": {"Where", "What is wrong", "How to mend it"},
    "spares/shelf.py": {"Stock"},
    "today/also.py": {"Due", "Try it out", "Settings", "Routines"},
    "today/downtime.py": {"Part change"},
    "today/month.py": {"Does it pay?"},
    "pages/spares.py": {"On the shelf"},
    "store/migrations.py": {"next id", "next batch", "version of {}"},
    "store/reading.py": {"version of "},
}
# What sheets are matched against, in five languages: no word of it is said.
_MATCHED = ("headers/synonyms.py", "headers/synonyms_romance.py", "layout/words.py")


def places(text: str) -> set[str]:
    return set(_PLACE.findall(text))


def first(text: str | tuple[str, str]) -> str:
    return text if isinstance(text, str) else text[0]


@pytest.mark.parametrize("language", OTHERS)
def test_every_text_has_a_translation(language: str) -> None:
    known = translations(language)
    lacking = []
    for text in extracted():
        said = known[first(text)][1].string if first(text) in known else ""
        whole = all(said) if isinstance(said, (list, tuple)) else bool(said)
        if not whole or isinstance(said, (list, tuple)) != isinstance(text, tuple):
            lacking.append(first(text))
    assert lacking == [], "run python -m tests.language.catalogues and fill these in"


@pytest.mark.parametrize("language", OTHERS)
def test_no_translation_is_of_a_text_that_nobody_says(language: str) -> None:
    said = {first(text) for text in extracted()}
    assert [text for text in translations(language) if text not in said] == []


@pytest.mark.parametrize("language", OTHERS)
def test_a_text_stands_in_one_catalogue(language: str) -> None:
    count: Counter[str] = Counter()
    for path in catalogues(language):
        count.update(first(message.id) for message in read(path, language) if message.id)
    assert [text for text, times in count.items() if times > 1] == []


@pytest.mark.parametrize("language", OTHERS)
def test_no_translation_is_unsure(language: str) -> None:
    unsure = [text for text, (_path, message) in translations(language).items() if message.fuzzy]
    assert unsure == []


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_has_the_places_of_its_text(language: str) -> None:
    wrong = []
    for text, (_path, message) in translations(language).items():
        pairs = [(text, message.string)]
        if isinstance(message.string, (list, tuple)):
            pairs = list(zip(message.id, message.string, strict=True))
        wrong += [said for own, said in pairs if places(said) != places(own)]
    assert wrong == []


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_begins_and_ends_like_its_text(language: str) -> None:
    """The spaces around a piece, and the full stop of a sentence."""
    wrong = []
    for text, (_path, message) in translations(language).items():
        for form in [message.string] if isinstance(message.string, str) else message.string:
            spaces = (text[0] == " ", text[-1] == " ") == (form[0] == " ", form[-1] == " ")
            stop = text.rstrip().endswith((".", "?")) == form.rstrip().endswith((".", "?"))
            if not (spaces and stop):
                wrong.append(form)
    assert wrong == []


@pytest.mark.parametrize("language", OTHERS)
def test_each_catalogue_counts_as_the_program_does(language: str) -> None:
    for path in catalogues(language):
        assert f'"Plural-Forms: {PLURALS[language]}\\n"' in path.read_text(encoding="utf-8")


@pytest.mark.parametrize("room", CONVERTED)
def test_a_converted_room_says_nothing_past_the_catalogue(room: str) -> None:
    assert room in (*ROOMS, "pages")
    past = []
    for path in sources():
        if room_of(path) == room and not path.as_posix().endswith(_MATCHED):
            allowed = next(
                (words for end, words in _NO_TEXT.items() if path.as_posix().endswith(end)), set()
            )
            past += [
                f"{path.name}:{text.line}: {text.words}"
                for text in unwrapped(path)
                if text.words not in allowed
            ]
    assert past == []


def test_what_a_model_lacks_is_said_through_the_catalogue() -> None:
    """A person reads ``NotEnoughData``. A ``ModelError`` names the arrays of a call from Python
    and is read by whoever wrote that call, so it stays as the names of the arrays are."""
    past = []
    for path in [path for path in sources() if room_of(path) == "models"]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or called(node) != "NotEnoughData":
                continue
            if isinstance(node.args[0], (ast.Constant, ast.JoinedStr)):
                past.append(f"{path.name}:{node.lineno}")
    assert past == []


def test_the_same_text_is_said_in_the_language_in_use() -> None:
    with speaking("es"):
        assert _("Printhead") == "Cabezal"
        assert ngettext("{span} day", "{span} days", 2, span=2) == "2 días"
        assert ngettext("{span} day", "{span} days", 1, span=1) == "1 día"
    assert _("Printhead") == "Printhead"


def test_an_own_word_is_said_as_it_was_written() -> None:
    with speaking("es"):
        assert _("Trolley {1} hit it") == "Trolley {1} hit it"


def test_no_function_that_says_texts_takes_the_sayer_for_a_throwaway() -> None:
    """``for _, row in …`` beside ``_("…")`` calls what the loop left there."""
    inner = (ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp)
    wrong = []
    for path in sources():
        for function in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(function, ast.FunctionDef):
                continue
            own = {id(n) for c in ast.walk(function) if isinstance(c, inner) for n in ast.walk(c)}
            names = [n for n in ast.walk(function) if isinstance(n, ast.Name) and n.id == "_"]
            stored = any(isinstance(n.ctx, ast.Store) and id(n) not in own for n in names)
            if stored and any(isinstance(n.ctx, ast.Load) for n in names):
                wrong.append(f"{path.name}:{function.lineno}")
    assert wrong == []


def test_what_stands_inside_a_longer_text_is_found(tmp_path: Path) -> None:
    source = tmp_path / "said.py"
    source.write_text(
        """counted = row["n"]\nhtml = f'<b>{escape(_("Let in"))}</b>'\n"""
        """told = numbers.count(counted, "part", "parts"), _("{n} of " "them", n=counted)\n"""
    )
    assert sorted(text for _line, text in texts_in(source) if isinstance(text, str)) == [
        "Let in",
        "{n} of them",
    ]
    assert ("part", "parts") in [text for _line, text in texts_in(source)]


def test_the_page_that_pairs_a_device_is_whole_in_the_language_in_use() -> None:
    english = pairing.page("/")
    with speaking("es"):
        spanish = pairing.page("/")
    labels = re.compile(r"<(?:label|button)[^>]*>([^<]+)<")
    assert len(labels.findall(english)) == 3
    assert not set(labels.findall(english)) & set(labels.findall(spanish))
