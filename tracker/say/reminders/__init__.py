"""What reaches people outside the app, in words: `events` (days of a calendar), then `weekly` (the
mail), which gathers them with what happened lately."""
