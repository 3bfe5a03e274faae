"""The first run: said (what was answered), then one file per step, then steps (the way through)."""
