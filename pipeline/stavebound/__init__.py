"""stavebound: from a dance score in XML to a bound, printed book."""

__version__ = "0.1.0"
