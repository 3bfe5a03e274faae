"""A form and the record as it was read: what two people change meets field by field on saving."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from typing import Any

import streamlit as st

from pages.shell import acting, session, telling
from pages.shell.words import plain
from tracker.language import _
from tracker.say.entering import two_people
from tracker.store.meanwhile.as_read import ChangedMeanwhile, Disagreement

_FORMS = "forms-as-read"


@dataclass
class Form:
    """``read``: the record as this form shows it; ``key``: what the keys of its fields begin with.

    A form in which nothing was touched follows what others write; once something is, it stays as
    it was read until it is saved. ``shown``: in which workshop, of which generation.
    """

    name: str
    read: dict[str, Any]
    shown: tuple[str, int]
    times: int = 0
    began: dict[str, Any] = field(default_factory=dict)
    asked: tuple[Disagreement, ...] = ()
    theirs: dict[str, Any] = field(default_factory=dict)

    @property
    def key(self) -> str:
        """Another one each time the record is read anew, for a browser keeps what a field holds."""
        return self.name if not self.times else f"{self.name}-anew{self.times}"

    @property
    def is_touched(self) -> bool:
        """Does a field say something else than when it was drawn first?"""
        return any(st.session_state.get(key, value) != value for key, value in self.began.items())

    def drawn(self) -> None:
        """After its fields were drawn: what they began with."""
        for key in map(str, st.session_state):
            if key.startswith(f"{self.key}-"):
                self.began.setdefault(key, st.session_state[key])

    def goes(self, tapped: bool) -> bool:
        """Is it to be saved now: tapped, or the question about what both changed answered?

        The question is drawn here.
        """
        if tapped:
            self.asked = ()
            return True
        return bool(self.asked) and self._answered()

    def typed(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """The fields as they are to be saved: as typed, but those that are to stay as they are."""
        return {**values, **{name: self.theirs[name] for name in self.theirs if name in values}}

    @contextmanager
    def saving(self) -> Iterator[None]:
        """Inside, the record is saved, with ``as_read=form.read``."""
        try:
            yield
        except ChangedMeanwhile as problem:
            self.asked = problem.disagreements
            st.rerun()

    def close(self) -> None:
        """It was saved: the next one reads the record anew."""
        forms = st.session_state[_FORMS]
        forms[self.name] = Form(self.name, {}, self.shown, self.times + 1)

    def saved(self, sentence: str, batch: int | None) -> None:
        """Tell what was saved, or that nothing differed, and draw the form in another run.

        What is typed into fields that the next run draws no more would be lost.
        """
        self.close()
        same = _("Nothing was different, so nothing was changed.")
        telling.recorded(same if batch is None else sentence, batch)

    def _answered(self) -> bool:
        said: dict[str, bool | None] = {}
        with st.container(border=True):
            for number, one in enumerate(self.asked):
                st.warning(
                    plain(two_people.which_stays(one, session.now())), icon=":material/group:"
                )
                labels = {True: two_people.keep_theirs(one), False: two_people.take_mine(one)}
                said[self._field(one)] = st.radio(
                    _("Which is to stay?"),
                    list(labels),
                    index=None,
                    format_func=partial(_label, labels),
                    key=f"stays-{self.key}-{number}",
                    label_visibility="collapsed",
                )
            st.caption(_("The other one stays to be read under “What was changed”."))
            open_still = None in said.values()
            if not acting.button(
                _("Save it so"), type="primary", width="stretch", disabled=open_still,
                key=f"stays-{self.key}",
            ):  # fmt: skip
                return False
        for one in self.asked:
            name = self._field(one)
            self.read[name] = one.theirs
            if said[name]:
                self.theirs[name] = one.theirs
        self.asked = ()
        return True

    @staticmethod
    def _field(one: Disagreement) -> str:
        return one.record if one.table == "settings" else one.column


def _label(labels: Mapping[bool, str], theirs: bool) -> str:
    return plain(labels[theirs])


def opened(name: str, now: Mapping[str, Any]) -> Form:
    """The form of that name, for a record that says ``now``."""
    forms: dict[str, Form] = st.session_state.setdefault(_FORMS, {})
    form, shown = forms.get(name), session.workshop().shown
    if form is None:
        form = Form(name, dict(now), shown)
    elif not form.read:
        form = Form(name, dict(now), shown, form.times)
    elif form.shown != shown or not (form.asked or form.is_touched or _same(form.read, now)):
        form = Form(name, dict(now), shown, form.times + 1)
    forms[name] = form
    return form


def open_now(name: str) -> Form | None:
    """The form of that name where something is half typed in it; None where there is none."""
    form: Form | None = st.session_state.get(_FORMS, {}).get(name)
    return form if form is not None and form.read and (form.asked or form.is_touched) else None


def _same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Are two states of a record equal? A missing number is no number, and so unlike itself."""
    return all(
        other.get(name) == value or (value != value and other.get(name) != other.get(name))
        for name, value in one.items()
    )
