"""The glossary: every statistical word once, explained in one sentence, found where it is used."""

from __future__ import annotations

import re

import pytest

from tracker.say.glossary import STATISTICS, TRADE, Term, explained, whole

TERMS = (*TRADE, *STATISTICS)
each = pytest.mark.parametrize("term", TERMS, ids=[term.word for term in TERMS])


@each
def test_a_term_is_explained_in_one_sentence(term: Term) -> None:
    assert term.means.endswith(".")
    assert not re.search(r"\. [A-Z]", term.means)
    assert term.sentence().endswith(".")


def test_no_word_stands_there_twice() -> None:
    words = [word.lower() for term in TERMS for word in (term.word, *term.said_as)]
    assert len(words) == len(set(words))


@pytest.mark.parametrize(
    "word",
    ["hazard", "median", "80 % range", "B10 life", "AICc", "censored", "p-value", "log-rank",
     "shape", "hazard ratio", "E-value", "95 % limits"],
)  # fmt: skip
def test_the_statistical_words_of_the_answers_are_explained(word: str) -> None:
    assert explained(f"this is about the {word}, for instance")


def test_a_word_inside_another_is_not_taken_for_it() -> None:
    # "Cox" is no part of "coxswain", nor "shape" of "reshaped".
    assert explained("the coxswain reshaped it") == ""


def test_terms_of_maintenance_and_dependability_name_their_standard() -> None:
    sources = " ".join(term.source for term in TERMS)
    for standard in ("EN 13306", "IEC 60050-192", "IEC 61649"):
        assert standard in sources


def test_the_whole_glossary_stands_by_the_alphabet() -> None:
    heads = re.findall(r"^\*\*(.+?)\*\*", whole(), re.MULTILINE)
    assert len(heads) == len(TERMS)
    assert heads == sorted(heads, key=str.lower)
