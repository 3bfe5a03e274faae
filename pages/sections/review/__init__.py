"""Parts of the page Monthly review: its figures, its list of actions, its files."""
