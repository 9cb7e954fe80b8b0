"""The notator's hand: shorthand unfolded to the plain dialect.

defined steps, croix, again, repeats ─ lines ─ passages ─ jumps ─▶ phrases
"""
