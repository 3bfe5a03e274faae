"""Parts of the page Maintenance: what is due, was kept, has an effect, is worth it."""
