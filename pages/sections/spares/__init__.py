"""Parts of the page Spares: need, shelf, orders, dates of costly parts, budget, replay."""
