"""What to do, and what it is worth. Read in this order:

`downtime` and `failure_cost` (what standing and a failure cost), `stock_level` and `stock_table`
(how many spares), `preorder` (when to order a costly part), `ordering/` (shelf, deliveries, orders,
budget), `replacement_age`,
`planned_change` and `changed_along` (change by plan?), `due`, `due_days/` and
`printer_month` (what is due), `routine/` (does it pay?), `warranty`.
"""
