"""Pictures of lives: survival curves, groups compared, what each part has left."""
