"""Drawing: what goes on paper as it is, whatever it shows: figures by pen, and texts."""
