"""One dance: poses folded from changes, moves between them, and what is printed of them."""
