"""What lies on the shelf, what is on its way, and what to order."""
