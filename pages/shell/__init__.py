"""What lies around every page: looks, what a device keeps, links into a page, the phone's bar."""
