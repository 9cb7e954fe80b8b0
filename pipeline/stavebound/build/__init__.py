"""The conductor: the order of the stages, and all files read and written."""
