"""SVG: drawings to text in a grammar of our own, and no more than that; lines of staves as
drawings."""
