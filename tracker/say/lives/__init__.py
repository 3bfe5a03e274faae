"""The lives of parts in words: how long they last, which are worse, what each has left."""
