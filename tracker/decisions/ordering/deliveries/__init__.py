"""What the workshop's own orders say of those to come. Read in this order:

`own_orders` (each once), `delivery_law` (how long one takes), `never_comes` (whether it comes).
"""
