"""What fitted draws say of days to come and gone: `gathering` (hazard of wear, a day at a time),
`future` (chances and remaining life), `renewed` (parts yet to be fitted), `lived` (what was to be
expected of stretches already lived).
"""
