"""Sources as people type them: safe XML with exact places, and the schema that judges it.

`reading.read_source` turns a file into a tree, `schema.load_schema` loads what
may stand where, `validate.schema_faults` holds the one against the other.
"""
