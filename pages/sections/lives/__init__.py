"""Parts of the page Part lives: the evidence, groups, what runs now."""
