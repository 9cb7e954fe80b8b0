"""Promises: what the name of a step promises, held against what is written.

In: a `Danced`. Out: diagnostics. `trade/steps.toml` has what names promise.

names ── named ─▶ rows ───────────┐
moments ─ steps ─▶ shots ─────────┴─ looks, ways ─▶ broken ─ kept ─▶ diagnostics
"""
