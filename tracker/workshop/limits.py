"""How large a figure of a workshop can be: one table of what is asked about and what is refused.

A bar code in the column of pieces, a price with its decimal mark lost, minutes since midnight: such
figures look like numbers and are none. Below ``asked_above`` nobody is asked; beyond it a person
says once that it is meant; beyond ``at_most`` nothing is taken. All limits are common practice, no
source, and lie far above what a large workshop writes down, so that whoever meets one has most
likely slipped.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Limit:
    """``asked_above``: what is larger is asked about (None: nothing is); ``at_most``: what is
    larger is refused. Both count for the size of a figure, whatever its sign.
    """

    at_most: float
    asked_above: float | None = None

    def is_unusual(self, number: float) -> bool:
        """True for what is possible but asked about."""
        if self.asked_above is None:
            return False
        return self.asked_above < abs(number) <= self.at_most


# One delivery or count; a bar code has eight digits and more.
PIECES = Limit(100_000, asked_above=1_000)
# Wipers and swabs come by the hundred.
PACK = Limit(10_000, asked_above=1_000)
# Whatever the currency: in those of the smallest unit a head costs some millions.
PRICE = Limit(1_000_000_000, asked_above=100_000)
# A printer prints some thousands of m² a year.
COUNTER_AREA = Limit(100_000_000, asked_above=1_000_000)
# Between two times of a task: once a year at the most.
AREA_BETWEEN = Limit(1_000_000, asked_above=20_000)
# Of work at one printer: longer than a day was not measured by a clock.
MINUTES = Limit(14_400, asked_above=720)
HOURS = Limit(240, asked_above=24)
# Of a printer that waits for a part: a year is no stop any more.
STANDING = Limit(8_784)
# A canister of cleaning fluid holds five litres.
FLUID = Limit(100_000, asked_above=5_000)
# A channel of a head has some hundred nozzles.
NOZZLES = Limit(20_000, asked_above=2_000)
# What takes longer than five years is not waited for; by ship it is three months.
DELIVERY = Limit(1_825, asked_above=365)
# A shelf life, a warranty, a life: a hundred years is no figure of a machine.
LONG_TIME = Limit(36_500, asked_above=7_300)
# Days between two times of a task.
DAYS_BETWEEN = Limit(3_650, asked_above=1_100)
# A belief worth more failures than a workshop sees in its time cannot be taught any more.
FAILURES = Limit(1_000_000, asked_above=1_000)
PERCENT = Limit(100)
PLACE = Limit(10_000)  # in a list that people read

# Outside these a year is a slip; nobody printed onto film for garments before.
FIRST_YEAR, LAST_YEAR = 1990, 2099

# Characters: a spreadsheet program keeps no more in one cell.
LONGEST_TEXT = 32_767
