"""Which header is which column: `columns` (matched by words and likeness), `synonyms` (English and
German) and `synonyms_romance` (Spanish, French, Italian), `column_labels` (what screens call them),
`column_choice` (asked or refused).
"""
