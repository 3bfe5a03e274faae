"""Commands that tell what to expect and what to do."""

from __future__ import annotations

from typing import Any

from tracker.commands import answers, experiment, order_dates, routine, stock, whole_routine
from tracker.commands.parser import shared, typed
from tracker.language import _


def add(commands: Any) -> None:
    """The parser of each of these commands."""
    for command in (_outlook, _stock, _preorder, _effect, _routine, _experiment, _life, _replay):
        command(commands)


def _outlook(commands: Any) -> None:
    outlook = shared.answer(
        commands, "outlook", answers.outlook, _("what each fitted part has left")
    )
    outlook.add_argument(
        "--days", type=typed.days, default=30, help=_("horizon in days (default 30)")
    )
    shared.what_if_done(outlook)


def _stock(commands: Any) -> None:
    asked = shared.answer(
        commands, "stock", stock.stock, _("how many spares to keep, what to order")
    )
    asked.add_argument(
        "--service",
        type=typed.chance,
        help=_("wanted chance of no shortage, e.g. 0.95 (default: the workshop's setting)"),
    )
    asked.add_argument(
        "--lead-days", type=typed.amount, help=_("what if deliveries took this long?")
    )
    asked.add_argument(
        "--more-printers",
        type=typed.count_of_printers,
        default=0,
        metavar="N",
        help=_("what if there were N more?"),
    )
    asked.add_argument(
        "--leaving",
        action="append",
        metavar="PRINTER[=DATE]",
        help=_("what if this printer left on that day (default: now)? May be given again"),
    )
    asked.add_argument("--site", help=_("the need of this site's printers alone"))
    asked.add_argument(
        "--by-site", action="store_true", help=_("also: one shelf for all sites, or one at each?")
    )
    shared.what_if_done(asked)
    asked.add_argument("--budget", type=typed.amount, help=_("money to spend: what to buy first"))


def _preorder(commands: Any) -> None:
    preorder = shared.answer(
        commands, "preorder", order_dates.preorder, _("when to order each costly part")
    )
    shared.what_if_done(preorder)
    preorder.add_argument(
        "--risk-limit",
        type=typed.risk,
        help=_("risk of standing still you accept, e.g. 0.05 (default: 1 - service level)"),
    )
    preorder.add_argument(
        "--express-premium",
        type=typed.amount,
        help=_(
            "extra price of an order placed only once the part is dead (default: the "
            "workshop's setting)"
        ),
    )


def _effect(commands: Any) -> None:
    effect = shared.answer(commands, "effect", routine.effect, _("does a maintenance task pay?"))
    effect.add_argument(
        "--part", metavar="KIND", help=_("one part kind only (default: all it protects)")
    )
    effect.add_argument("--task", required=True, help=_("task, e.g. shake_dampers"))
    effect.add_argument("--every", type=typed.days, required=True, help=_("days between, proposed"))
    effect.add_argument(
        "--instead-of", type=typed.days, required=True, help=_("days between, compared with")
    )
    effect.add_argument("--out", metavar="FILE.html", help=_("write one sheet to print"))


def _routine(commands: Any) -> None:
    shared.answer(
        commands,
        "routine",
        whole_routine.routine,
        _("how often every task costs least, all together"),
    )


def _experiment(commands: Any) -> None:
    trial = shared.answer(
        commands,
        "experiment",
        experiment.experiment,
        _("find out by trying; read out what was tried"),
    )
    trial.add_argument("--task", help=_("propose one with this task, e.g. shake_dampers"))
    trial.add_argument("--every", type=typed.days, help=_("days between, one interval"))
    trial.add_argument("--instead-of", type=typed.days, help=_("days between, the other interval"))
    trial.add_argument(
        "--part", metavar="KIND", help=_("count this kind's failures (default: the most frequent)")
    )
    trial.add_argument(
        "--start", type=typed.day, metavar="DATE", help=_("keep the proposal, begun on this day")
    )
    trial.add_argument("--end", metavar="NAME", help=_("end this experiment today"))


def _life(commands: Any) -> None:
    life = shared.answer(commands, "life", answers.life, _("how a part kind's lives end"))
    life.add_argument("--part", required=True, metavar="KIND", help=_("part kind, e.g. head"))


def _replay(commands: Any) -> None:
    shared.answer(
        commands, "replay", answers.replay, _("how well the advice would have done so far")
    )
