"""The dancer's body: heights on the stave, joints, and what limbs reach, of any person.

In: a person's measures (trade/person.toml) and numbers. Out: numbers and places in statures.
Nothing here knows a pose, a score or ink.
"""
