"""How nothing of it is lost. Read in this order:

`turns` (who writes when), `one_file` (is it still the file we knew, is what lies beside its own),
`wholeness` (does it add up, and which one is it), `copies` (one whole copy, or none), `rotation`
(backups that make themselves), `whole_copy` (from one kind of database into the other), `backup`,
`restore` and `move` (what a person asks for).
"""
