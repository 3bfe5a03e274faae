"""A printer that broke or stood still, and that runs again."""
