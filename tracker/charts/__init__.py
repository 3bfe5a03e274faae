"""Pictures: what each shows, decided once and drawn twice.

``picture`` is the value that describes one; every other module makes the picture of one question
from its figures; ``screen`` draws any of them in the app and ``tracker/paper/svg`` for print. A new
picture is a new module here and needs no drawing of its own. ``colours`` says what a colour means.
"""
