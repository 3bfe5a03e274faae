"""Groups of lives compared in words: who fails sooner, of how many, and how sure that is."""

from __future__ import annotations

import pandas as pd

from tracker.forecast.group_comparison import SURE, GroupComparison
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
        return f"{first_up(_whose(part_kind, by, worse))} fail sooner: {_against(found, by)}."
    shown = found.groups.head(_NAMED)
    told = listed(
        [f"{row.failed} of {row.lives} {_called(by, str(row.Index))}" for row in shown.itertuples()]
    )
    if found.chance_alike < SURE:
        return (
            f"They do not all last equally long, but no single one can be named: {told} have "
            "failed so far."
        )
    return f"No difference found: {told} have failed so far, which chance alone can explain."


def overall(found: GroupComparison | None) -> str:
    """Which supplier's parts are worse over all kinds."""
    if found is None:
        return (
            "Suppliers cannot be compared yet: no kind of part was bought from two of them and "
            "failed while parts of both were in the printers."
        )
    rows = found.groups
    worse = found.worse
    if worse is not None:
        own = rows.loc[worse]
        return (
            f"Over all kinds, parts from {worse} fail sooner: {own['failed']:.0f} failed where "
            f"about {numbers.figure(own['usual'])} would be usual for the same parts at the same "
            "ages."
        )
    told = listed(
        [
            f"{row.failed} from {row.Index} (usual: {numbers.figure(row.usual)})"
            for row in rows.head(_NAMED).itertuples()
        ]
    )
    return f"Over all kinds, no supplier’s parts are clearly worse: {told} have failed."


def certainty(
    found: GroupComparison, *, comparisons: int = 1, dated_at_checks: bool = False
) -> str:
    """How sure that is: the test, its p-value, what it rests on."""
    within = ", each life compared with those of its own kind, type and ink" * found.stratified
    found_then = ", each dated on the day it was found" * dated_at_checks
    sentence = (
        f"Log-rank test (Mantel 1966){within}: p-value {p_value(found.chance_alike)}. Were all "
        "groups alike, a difference like this would still come up by chance with that "
        f"probability; below {numbers.chance(SURE)} it is told as a difference. It rests on "
        f"{numbers.count(found.failures, 'failure')}{found_then}."
    )
    if len(found.groups) > 2:
        sentence += (
            " A single group is named only where it differs from all others together beyond "
            "chance, the limit shared out among the groups (Bonferroni)."
        )
    if comparisons > 1:
        sentence += (
            f" With {comparisons} comparisons to choose from, one in twenty looks like a "
            "difference by chance alone."
        )
    return sentence


def groups_table(found: GroupComparison, head: str) -> pd.DataFrame:
    """Every group with its failures beside the usual, the one that fails soonest first."""
    rows = found.groups
    return pd.DataFrame(
        {
            head: [str(name) for name in rows.index],
            "Failed": rows["failed"],
            "Usual at those ages": rows["usual"].map(numbers.figure),
            "Watched": rows["lives"],
            "p-value alone": rows["chance_alike"].map(p_value),
        }
    )


def suppliers_table(found: GroupComparison) -> pd.DataFrame:
    """Every supplier over all kinds."""
    return groups_table(found, "Supplier")


def p_value(chance: float) -> str:
    """A p-value as people read it.

    >>> p_value(0.59), p_value(0.032), p_value(2e-7)
    ('0.59', '0.032', 'under 0.001')
    """
    return "under 0.001" if chance < 0.001 else numbers.figure(chance)


def _against(found: GroupComparison, by: str) -> str:
    """Its failures against those of the others; as counts where these say the same."""
    worse = str(found.groups.index[0])
    own, others = found.groups.loc[worse], found.others_than(worse)
    if own["failed"] / own["lives"] <= others["failed"] / others["lives"]:
        # Fewer of them failed only because they were watched for a shorter time.
        return (
            f"{own['failed']:.0f} of {own['lives']:.0f} failed where about "
            f"{numbers.figure(own['usual'])} would be usual at their ages"
        )
    rest = _called(by, str(found.groups.index[1])) if len(found.groups) == 2 else "of the others"
    return (
        f"{own['failed']:.0f} of {own['lives']:.0f} against "
        f"{others['failed']:.0f} of {others['lives']:.0f} {rest}"
    )


def _whose(part_kind: str, by: str, name: str) -> str:
    """The parts of one group: ``"white dampers"``, ``"dampers from Harbour Spares"``."""
    parts = f"{words.part_label(part_kind).lower()}s"
    return f"{name} {parts}" if by == "ink" else f"{parts} {_called(by, name)}"


def _called(by: str, name: str) -> str:
    """A group by what it has in common, after a noun."""
    return {
        "ink": name,
        "supplier": f"from {name}",
        "batch": f"of lot {name}",
        "printer": f"in {name}",
        "head_type": f"of type {name}",
        "site": f"at {name}",
        "ink_lot": f"fitted with ink lot {name} in use",
    }[by]
