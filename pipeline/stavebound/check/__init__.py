"""The rules of the trade, a small function each, and the two tables that list them.

`scores.check_score` holds a score against the rules, `books.check_book` a book
with the scores that it prints; `books.check_style` is for a house style.
"""
