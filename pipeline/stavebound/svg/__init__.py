"""SVG: systems to text in a grammar of our own, and no more than that."""
