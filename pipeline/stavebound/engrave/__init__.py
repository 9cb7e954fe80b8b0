"""The engraver: from poses in time to lines of signs at fixed places.

    gather → clear → columns → bars → cast off → place → stack

Distances are in spaces of the stave; x grows to the right from a line's left
edge, y upwards from the floor line.
"""
