"""The entry forms: few taps, big targets, details folded away."""
