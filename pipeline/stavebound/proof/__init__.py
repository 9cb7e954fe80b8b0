"""The proof: what goes on paper is drawn once, read back, and handed on as it was read.

lines     Engraved        → its lines as SVG, with the titles they will have
written   Engraved, Score → what was written in every line
lines     both            → diagnostics where the two disagree
outlines  SVG, Faces      → the same with the outlines of its words, for a file that
                            stands alone; and back, to the byte
"""
