"""The body that the stave is ruled on: proportions and reach."""
