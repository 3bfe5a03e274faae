"""Groups of lives compared in words: who fails sooner, of how many, and how sure that is."""

from __future__ import annotations

import pandas as pd

from tracker.forecast.group_comparison import SURE, GroupComparison
from tracker.language import N_, _
from tracker.say import numbers
from tracker.say.phrases import first_up, listed
from tracker.workshop import vocabulary as words

_NAMED = 3  # groups told one by one where none stands out


def answer(found: GroupComparison, part_kind: str, by: str) -> str:
    """Who fails sooner: ``"White dampers fail sooner: 60 of 106 against 33 of 90 colour."``

    ``by``: the column that was compared, of ``life_table`` or ``ink_lot``.
    """
    worse = found.worse
    if worse is not None:
        return _(
            "{parts} fail sooner: {found}.",
            parts=first_up(_whose(part_kind, by, worse)),
            found=_against(found, by),
        )
    shown = found.groups.head(_NAMED)
    told = listed(
        [
            _(
                "{failed} of {lives} {group}",
                failed=row.failed,
                lives=row.lives,
                group=_called(by, str(row.Index)),
            )
            for row in shown.itertuples()
        ]
    )
    if found.chance_alike < SURE:
        return _(
            "They do not all last equally long, but no single one can be named: {told} "
            "have failed so far.",
            told=told,
        )
    return _(
        "No difference found: {told} have failed so far, which chance alone can explain.", told=told
    )


def overall(found: GroupComparison | None) -> str:
    """Which supplier's parts are worse over all kinds."""
    if found is None:
        return _(
            "Suppliers cannot be compared yet: no kind of part was bought from two of "
            "them and failed while parts of both were in the printers."
        )
    rows = found.groups
    worse = found.worse
    if worse is not None:
        own = rows.loc[worse]
        return _(
            "Over all kinds, parts from {worse} fail sooner: {failed} failed where about "
            "{usual} would be usual for the same parts at the same ages{lots}.",
            worse=worse,
            failed=f"{own['failed']:.0f}",
            usual=numbers.figure(own["usual"]),
            lots=_bad_lots(found, worse),
        )
    told = listed(
        [
            _(
                "{failed} from {supplier} (usual: {usual})",
                failed=row.failed,
                supplier=row.Index,
                usual=numbers.figure(row.usual),
            )
            for row in rows.head(_NAMED).itertuples()
        ]
    )
    return _(
        "Over all kinds, no supplier’s parts are clearly worse: {told} have failed.", told=told
    )


def _bad_lots(found: GroupComparison, worse: str) -> str:
    """How the supplier stands without the lots that stand out; "" where none does."""
    if not found.bad_lots:
        return ""
    lots = listed(
        [
            _(
                "{part} lot {batch} ({failed} failed, usual {usual})",
                part=words.part_label(one.part_kind).lower(),
                batch=one.batch,
                failed=one.failed,
                usual=numbers.figure(one.usual),
            )
            for one in found.bad_lots
        ]
    )
    if found.rest is None or worse not in found.rest.groups.index:
        return _("; that includes {lots}, and the rest is too little to compare", lots=lots)
    own = found.rest.groups.loc[worse]
    text = (
        N_("; that includes {lots}, and without it still {failed} where {usual} is usual: too many")
        if found.to_avoid == worse
        else N_(
            "; that includes {lots}, and without it {failed} where {usual} is usual: no "
            "difference beyond chance, so beware of the lot and not of the supplier"
        )
    )
    return _(text, lots=lots, failed=f"{own['failed']:.0f}", usual=numbers.figure(own["usual"]))


def certainty(
    found: GroupComparison, *, comparisons: int = 1, dated_at_checks: bool = False
) -> str:
    """How sure that is: the test, its p-value, what it rests on."""
    within = _(", each life compared with those of its own kind, type and ink") * found.stratified
    found_then = _(", each dated on the day it was found") * dated_at_checks
    sentence = _(
        "Log-rank test (Mantel 1966){within}: p-value {chance_alike}. Were all groups "
        "alike, a difference like this would still come up by chance with that "
        "probability; below {sure} it is told as a difference. It rests on "
        "{failures}{found_then}.",
        within=within,
        chance_alike=p_value(found.chance_alike),
        sure=numbers.chance(SURE),
        failures=numbers.count(found.failures, "failure", "failures"),
        found_then=found_then,
    )
    if len(found.groups) > 2:
        sentence += _(
            " A single group is named only where it differs from all others together "
            "beyond chance, the limit shared out among the groups (Bonferroni)."
        )
    if comparisons > 1:
        sentence += _(
            " With {comparisons} comparisons to choose from, one in twenty looks like a "
            "difference by chance alone.",
            comparisons=comparisons,
        )
    return sentence


def groups_table(found: GroupComparison, head: str) -> pd.DataFrame:
    """Every group with its failures beside the usual, the one that fails soonest first."""
    rows = found.groups
    return pd.DataFrame(
        {
            head: [str(name) for name in rows.index],
            _("Failed"): rows["failed"],
            _("Usual at those ages"): rows["usual"].map(numbers.figure),
            _("Watched"): rows["lives"],
            _("p-value alone"): rows["chance_alike"].map(p_value),
        }
    )


def suppliers_table(found: GroupComparison) -> pd.DataFrame:
    """Every supplier over all kinds."""
    return groups_table(found, _("Supplier"))


def p_value(chance: float) -> str:
    """A p-value as people read it.

    >>> p_value(0.59), p_value(0.032), p_value(2e-7)
    ('0.59', '0.032', 'under 0.001')
    """
    return (
        _("under {least}", least=numbers.figure(0.001))
        if chance < 0.001
        else numbers.figure(chance)
    )


def _against(found: GroupComparison, by: str) -> str:
    """Its failures against those of the others; as counts where these say the same."""
    worse = str(found.groups.index[0])
    own, others = found.groups.loc[worse], found.others_than(worse)
    if own["failed"] / own["lives"] <= others["failed"] / others["lives"]:
        # Fewer of them failed only because they were watched for a shorter time.
        return _(
            "{failed} of {lives} failed where about {usual} would be usual at their ages",
            failed=f"{own['failed']:.0f}",
            lives=f"{own['lives']:.0f}",
            usual=numbers.figure(own["usual"]),
        )
    rest = _called(by, str(found.groups.index[1])) if len(found.groups) == 2 else _("of the others")
    return _(
        "{failed} of {lives} against {others_failed} of {others} {rest}",
        failed=f"{own['failed']:.0f}",
        lives=f"{own['lives']:.0f}",
        others_failed=f"{others['failed']:.0f}",
        others=f"{others['lives']:.0f}",
        rest=rest,
    )


def _whose(part_kind: str, by: str, name: str) -> str:
    """The parts of one group: ``"white dampers"``, ``"dampers from Harbour Spares"``."""
    part = words.part_label(part_kind).lower()
    if by == "ink":
        return _("{ink} {part}s", ink=_(name), part=part)
    return _("{part}s {group}", part=part, group=_called(by, name))


def _called(by: str, name: str) -> str:
    """A group by what it has in common, after a noun."""
    return {
        "ink": _(name),
        "supplier": _("from {name}", name=name),
        "batch": _("of lot {name}", name=name),
        "printer": _("in {name}", name=name),
        "head_type": _("of type {name}", name=name),
        "site": _("at {name}", name=name),
        "ink_lot": _("fitted with ink lot {name} in use", name=name),
    }[by]
