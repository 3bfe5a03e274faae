"""Parts of the page Records: browse and correct, load and save files, settings, history."""
